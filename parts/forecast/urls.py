"""Addresses of forecast."""

from django.urls import path

from . import views

urlpatterns = [
    path("plans/", views.plans, name="plans"),
    path("plans/new/", views.plan_new, name="plan_new"),
]
