"""Addresses of care."""

from django.urls import path

from . import views

urlpatterns = [
    path("measures/new/", views.measurement_new, name="measurement_new"),
    path("measures/<row:pk>/edit/", views.measurement_edit, name="measurement_edit"),
    path("notes/new/", views.note_new, name="note_new"),
    path("notes/<row:pk>/edit/", views.note_edit, name="note_edit"),
    path("repairs/new/", views.repair_new, name="repair_new"),
    path("repairs/<row:pk>/edit/", views.repair_edit, name="repair_edit"),
    path("freeing/new/", views.freeing_new, name="freeing_new"),
    path("freeing/<row:pk>/edit/", views.freeing_edit, name="freeing_edit"),
]
