"""Addresses of overview."""

from django.urls import path

from .views import engine, gallery, part, search

top = [
    path("patterns/", gallery.page, name="patterns"),
    path("", engine.home, name="home"),
]

urlpatterns = [
    path("", engine.engine, name="engine"),
    path("parts/<row:pk>/", part.part, name="part"),
    path("search/", search.search, name="search"),
]
