"""Addresses of patterns."""

from django.urls import path

from . import views

urlpatterns = [
    path("parts/<row:part>/pattern/", views.pattern, name="pattern"),
    path("parts/<row:part>/pattern.pdf", views.pattern_pdf, name="pattern_pdf"),
    path("parts/<row:part>/pattern/new/", views.face_new, name="face_new"),
    path("pattern/<row:pk>/edit/", views.face_edit, name="face_edit"),
]
