"""Addresses of people."""

from django.urls import path

from .views import account, people

top = [
    path("account/", account.account, name="account"),
]

urlpatterns = [
    path("people/", people.people, name="people"),
    path("people/new/", people.person_new, name="person_new"),
    path("people/<row:pk>/role/", people.person_role, name="person_role"),
    path("people/<row:pk>/password/", people.person_password, name="person_password"),
    path("people/<row:pk>/let-go/", people.person_remove, name="person_remove"),
    path("hours/", people.hours, name="hours"),
    path("hours/new/", people.hours_new, name="hours_new"),
    path("hours/<row:pk>/edit/", people.hours_edit, name="hours_edit"),
]
