"""The door: logging in and out."""

from django.contrib.auth.views import LoginView, LogoutView

from .throttle import remember_browser


class Login(LoginView):
    """Log in; the browser is known from then on, so that others' failures do not slow it."""

    def form_valid(self, form):
        response = super().form_valid(form)
        remember_browser(response, form.get_user())
        return response


class Logout(LogoutView):
    """Log out, and let the browser forget the pages it kept, but nothing that waits to be sent."""

    def post(self, request, *args, **kwargs):
        response = super().post(request, *args, **kwargs)
        response["Clear-Site-Data"] = '"cache"'
        return response
