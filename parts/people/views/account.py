"""One's own login."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from parts.record.actions.saving import name_of

from ..forms import OwnPasswordForm


@never_cache
def account(request):
    """Change one's own password. Guesses at the old one count as failed logins."""
    form = OwnPasswordForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid():
        form.save()
        update_session_auth_hash(request, request.user)
        messages.success(request, "Your password is changed. Other devices must log in again.")
        return redirect("parts:account")
    context = {
        "form": form,
        "title": name_of(request.user),
        "intro": f"Your login name is {request.user.get_username()}. Change your password here.",
        "press": "Save password",
        "back": reverse("parts:home"),
    }
    return render(request, "shared/form_page.html", context)
