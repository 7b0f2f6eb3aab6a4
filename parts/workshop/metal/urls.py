"""Addresses of metal."""

from django.urls import path

from . import views

urlpatterns = [
    path("metal/", views.metal, name="metal"),
    path("metal.csv", views.metal_csv, name="metal_csv"),
    path("metal/new/", views.lot_new, name="lot_new"),
    path("metal/<row:pk>/", views.lot, name="lot"),
    path("metal/<row:pk>.csv", views.lot_csv, name="lot_csv"),
    path("metal/<row:pk>/edit/", views.lot_edit, name="lot_edit"),
    path("metal/<row:pk>/in/", views.lot_in, name="lot_in"),
    path("metal/<row:pk>/out/", views.lot_out, name="lot_out"),
    path("metal/moves/<row:pk>/take-back/", views.move_remove, name="move_remove"),
    path("crucibles/new/", views.crucible_new, name="crucible_new"),
    path("crucibles/<row:pk>/edit/", views.crucible_edit, name="crucible_edit"),
]
