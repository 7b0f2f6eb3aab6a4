"""Addresses of shapes."""

from django.urls import path

from . import views

urlpatterns = [
    path("parts/<row:part>/shapes/", views.bodies, name="bodies"),
    path("parts/<row:part>/shapes/new/", views.body_new, name="body_new"),
    path("shapes/<row:pk>/edit/", views.body_edit, name="body_edit"),
]
