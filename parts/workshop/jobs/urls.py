"""Addresses of jobs."""

from django.urls import path

from .views import job_sheets, jobs

urlpatterns = [
    path("makings/", jobs.makings, name="makings"),
    path("makings.csv", jobs.makings_csv, name="makings_csv"),
    path("makings/to-decide/", jobs.undecided, name="undecided"),
    path("makings/to-decide.csv", jobs.undecided_csv, name="undecided_csv"),
    path("makings/<row:pk>/", jobs.making, name="making"),
    path("makings/<row:pk>/edit/", jobs.making_edit, name="making_edit"),
    path("makings/<row:pk>/stage/", jobs.making_reach, name="making_reach"),
    path("makings/<row:pk>/fitted/", jobs.making_fit, name="making_fit"),
    path("makings/<row:pk>/set-back/", jobs.making_back, name="making_back"),
    path("makings/<row:pk>/taken-off/", jobs.making_off, name="making_off"),
    path("makings/<row:pk>/more/", jobs.making_more, name="making_more"),
    path("makings/<row:pk>/reopen/", jobs.making_withdraw, name="making_withdraw"),
    path("jobs/", job_sheets.jobs, name="jobs"),
    path("jobs.pdf", job_sheets.jobs_pdf, name="jobs_pdf"),
    path("makings/<row:pk>/job.pdf", job_sheets.job_pdf, name="job_pdf"),
]
