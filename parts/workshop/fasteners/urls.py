"""Addresses of fasteners."""

from django.urls import path

from . import views

urlpatterns = [
    path("fasteners/", views.fasteners, name="fasteners"),
    path("fasteners.csv", views.fasteners_csv, name="fasteners_csv"),
    path("fasteners/order.pdf", views.fasteners_order, name="fasteners_order"),
    path("parts/<row:part>/thread/", views.fastener, name="fastener"),
    path("parts/<row:part>/thread/edit/", views.fastener_edit, name="fastener_edit"),
    path("parts/<row:part>/thread/pick/", views.fastener_pick, name="fastener_pick"),
    path("parts/<row:part>/thread/choose/", views.fastener_choose, name="fastener_choose"),
    path("parts/<row:part>/quotes/new/", views.quote_new, name="quote_new"),
    path("quotes/<row:pk>/edit/", views.quote_edit, name="quote_edit"),
]
