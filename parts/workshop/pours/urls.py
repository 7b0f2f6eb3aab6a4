"""Addresses of pours."""

from django.urls import path

from . import views

urlpatterns = [
    path("pours/", views.pours, name="pours"),
    path("pours/new/", views.pour_new, name="pour_new"),
    path("pours/<row:pk>/", views.pour, name="pour"),
    path("pours/<row:pk>/edit/", views.pour_edit, name="pour_edit"),
    path("pours/<row:pk>/set-aside/", views.pour_aside, name="pour_aside"),
    path("pours/<row:pk>/free/", views.pour_free, name="pour_free"),
    path("pours/<row:pk>/poured/", views.pour_done, name="pour_done"),
    path("pours/<row:pk>/give-up/", views.pour_drop, name="pour_drop"),
    path("pours/<row:pk>/costs/", views.pour_costs, name="pour_costs"),
    path("pours/<row:pk>/undo/", views.pour_undo, name="pour_undo"),
    path("pours/<row:pk>/sheet.pdf", views.pour_sheet_pdf, name="pour_sheet_pdf"),
]
