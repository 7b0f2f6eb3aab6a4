"""Addresses of record."""

from django.urls import path

from .views import history

urlpatterns = [
    path("parts/<row:pk>/history/", history.part_history, name="part_history"),
    path("history/", history.history, name="history"),
    path("rows/<slug:kind>/<row:pk>/remove/", history.row_remove, name="row_remove"),
    path("rows/<slug:kind>/<row:pk>/bring-back/", history.row_bring_back, name="row_bring_back"),
]
