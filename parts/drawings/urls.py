"""Addresses of drawings."""

from django.urls import path

from . import views

urlpatterns = [
    path("drawing/", views.arrangement, name="arrangement"),
    path("drawing.pdf", views.arrangement_pdf, name="arrangement_pdf"),
    path("drawing/pieces/", views.ties, name="ties"),
    path("drawings/new/", views.drawing_new, name="drawing_new"),
    path("drawings/<row:pk>/", views.drawing, name="drawing"),
    path("drawings/<row:pk>/sheet.pdf", views.drawing_pdf, name="drawing_pdf"),
    path("drawings/<row:pk>/edit/", views.drawing_edit, name="drawing_edit"),
    path("drawings/<row:pk>/balloons/new/", views.balloon_new, name="balloon_new"),
    path("balloons/<row:pk>/edit/", views.balloon_edit, name="balloon_edit"),
    path("balloons/<row:pk>/move/", views.balloon_move, name="balloon_move"),
]
