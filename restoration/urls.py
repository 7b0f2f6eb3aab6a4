"""Where the addresses begin."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("parts.urls")),
    path("account/", include("django.contrib.auth.urls")),
    path("admin/", admin.site.urls),
]
