"""Addresses of bars."""

from django.urls import path

from . import views

urlpatterns = [
    path("bars/", views.bars, name="bars"),
    path("bars/new/", views.bar_new, name="bar_new"),
    path("bars/lengths/new/", views.stock_new, name="stock_new"),
    path("bars/<row:pk>/edit/", views.bar_edit, name="bar_edit"),
    path("bars/<row:pk>/book/", views.bar_book, name="bar_book"),
    path("bars/plan/", views.bar_plan, name="bar_plan"),
    path("bars/plan/draw-up/", views.bar_plan_freeze, name="bar_plan_freeze"),
    path("bars/lists/<row:pk>/", views.cut_plan, name="cut_plan"),
    path("bars/lists/<row:pk>/list.pdf", views.cut_plan_pdf, name="cut_plan_pdf"),
    path("bars/lists/<row:pk>/sawn/", views.cut_plan_cut, name="cut_plan_cut"),
    path("bars/lists/<row:pk>/take-back/", views.cut_plan_back, name="cut_plan_back"),
    path("jobs/<row:pk>/blank/", views.blank, name="blank"),
]
