"""Addresses of lifting."""

from django.urls import path

from . import views

urlpatterns = [
    path("lifts/", views.lifts, name="lifts"),
    path("lifts/new/", views.lift_new, name="lift_new"),
    path("lifts/<row:pk>/", views.lift, name="lift"),
    path("lifts/<row:pk>/plan.pdf", views.lift_pdf, name="lift_pdf"),
    path("lifts/<row:pk>/edit/", views.lift_edit, name="lift_edit"),
    path("lifts/<row:pk>/done/", views.lift_done, name="lift_done"),
    path("lifts/<row:pk>/hang/", views.lift_put, name="lift_put"),
    path("lifts/<row:pk>/take-off/<row:part>/", views.lift_take, name="lift_take"),
    path("gear/", views.gear, name="gear"),
    path("gear/new/", views.gear_new, name="gear_new"),
    path("gear/<row:pk>/edit/", views.gear_edit, name="gear_edit"),
    path("hauling/<slug:kind>/", views.haul, name="haul"),
    path("lorry/", views.lorry, name="lorry"),
]
