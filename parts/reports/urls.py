"""Addresses of reports."""

from django.urls import path

from . import views

top = [
    path("read/<str:secret>/", views.read, name="read"),
    path("read/<str:secret>/report.pdf", views.read_pdf, name="read_pdf"),
    path("read/<str:secret>/photo/<row:photo>/<row:size>.jpg", views.read_photo, name="read_photo"),
]

urlpatterns = [
    path("reports/", views.report_list, name="report_list"),
    path("reports/new/", views.report_new, name="report_new"),
    path("reports/<row:pk>/", views.report, name="report"),
    path("reports/<row:pk>/report.pdf", views.report_pdf, name="report_pdf"),
    path(
        "reports/<row:pk>/photo/<row:photo>/<row:size>.jpg", views.report_photo, name="report_photo"
    ),
    path("reports/<row:pk>/links/new/", views.link_new, name="link_new"),
    path("links/<row:pk>/withdraw/", views.link_withdraw, name="link_withdraw"),
]
