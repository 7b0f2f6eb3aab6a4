"""Addresses of money."""

from django.urls import path

from . import views

urlpatterns = [
    path("costs/", views.costs, name="costs"),
    path("costs.csv", views.costs_csv, name="costs_csv"),
    path("costs/tally.csv", views.tally_csv, name="tally_csv"),
    path("costs/new/", views.cost_new, name="cost_new"),
    path("costs/<row:pk>/", views.cost, name="cost"),
    path("costs/<row:pk>/edit/", views.cost_edit, name="cost_edit"),
    path("costs/<row:pk>/amounts/new/", views.amount_new, name="amount_new"),
    path("costs/<row:pk>/papers/new/", views.paper_new, name="paper_new"),
    path("costs/amounts/<row:pk>/edit/", views.amount_edit, name="amount_edit"),
    path("costs/papers/<row:pk>/", views.paper, name="paper"),
]
