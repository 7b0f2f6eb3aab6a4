"""Addresses of decide."""

from django.urls import path

from . import views

urlpatterns = [
    path("parts/<row:part>/decide/", views.decide, name="decide"),
    path("parts/<row:part>/ways/<slug:way>/", views.option, name="option"),
]
