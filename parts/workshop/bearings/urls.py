"""Addresses of bearings."""

from django.urls import path

from . import views

urlpatterns = [
    path("parts/<row:part>/bearing/", views.bearing, name="bearing"),
    path("parts/<row:part>/bearing.pdf", views.bearing_pdf, name="bearing_pdf"),
    path("parts/<row:part>/bearing/edit/", views.bearing_edit, name="bearing_edit"),
]
