"""Where the addresses begin."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from .account import Login, Logout

to_account = RedirectView.as_view(pattern_name="parts:account")

urlpatterns = [
    path("", include("parts.urls")),
    path("account/login/", Login.as_view(), name="login"),
    path("account/logout/", Logout.as_view(), name="logout"),
    # The admin has no doors of its own.
    path("admin/login/", Login.as_view()),
    path("admin/logout/", Logout.as_view()),
    path("admin/password_change/", to_account),
    path("admin/password_change/done/", to_account),
    path("admin/", admin.site.urls),
]
