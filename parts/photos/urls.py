"""Addresses of photos."""

from django.urls import path

from . import views

urlpatterns = [
    path("photos/", views.photo_list, name="photos"),
    path("photos/new/", views.photo_new, name="photo_new"),
    path("photos/<row:pk>/", views.photo, name="photo"),
    path("photos/<row:pk>/edit/", views.photo_edit, name="photo_edit"),
    path("photos/<row:pk>/<row:size>.jpg", views.photo_file, name="photo_file"),
    path("photos/<row:pk>/original/", views.photo_original, name="photo_original"),
    path("photos/pairs/new/", views.pair_new, name="pair_new"),
]
