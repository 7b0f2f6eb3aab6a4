"""Addresses of finds."""

from django.urls import path

from . import views

urlpatterns = [
    path("finds/", views.site, name="site"),
    path("finds/new/", views.find_new, name="find_new"),
    path("finds/<row:pk>/", views.find, name="find"),
    path("finds/<row:pk>/edit/", views.find_edit, name="find_edit"),
    path("finds/<row:pk>/identify/", views.identify, name="identify"),
    path("finds/<row:pk>/parts/<row:part>/take-back/", views.take_back, name="take_back"),
    path("diary/", views.diary, name="diary"),
    path("diary/new/", views.diary_new, name="diary_new"),
    path("diary/<row:pk>/edit/", views.diary_edit, name="diary_edit"),
]
