"""All addresses."""

from django.urls import path

from .views import patterns, photos, site

app_name = "parts"

E = "engines/<int:engine>/"

urlpatterns = [
    path("patterns/", patterns.page, name="patterns"),
    # Site: finds and the diary
    path(f"{E}finds/", site.site, name="site"),
    path(f"{E}finds/new/", site.find_new, name="find_new"),
    path(f"{E}finds/<int:pk>/", site.find, name="find"),
    path(f"{E}finds/<int:pk>/edit/", site.find_edit, name="find_edit"),
    path(f"{E}finds/<int:pk>/identify/", site.identify, name="identify"),
    path(f"{E}finds/<int:pk>/parts/<int:part>/take-back/", site.take_back, name="take_back"),
    path(f"{E}diary/", site.diary, name="diary"),
    path(f"{E}diary/new/", site.diary_new, name="diary_new"),
    path(f"{E}diary/<int:pk>/edit/", site.diary_edit, name="diary_edit"),
    # Photographs
    path(f"{E}photos/", photos.photo_list, name="photos"),
    path(f"{E}photos/new/", photos.photo_new, name="photo_new"),
    path(f"{E}photos/<int:pk>/", photos.photo, name="photo"),
    path(f"{E}photos/<int:pk>/edit/", photos.photo_edit, name="photo_edit"),
    path(f"{E}photos/<int:pk>/<int:size>.jpg", photos.photo_file, name="photo_file"),
    path(f"{E}photos/<int:pk>/original/", photos.photo_original, name="photo_original"),
    path(f"{E}photos/pairs/new/", photos.pair_new, name="pair_new"),
]
