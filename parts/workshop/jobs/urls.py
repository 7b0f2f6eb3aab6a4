"""Addresses of jobs."""

from django.urls import path

from .views import job_sheets, jobs

urlpatterns = [
    path("jobs/", jobs.jobs, name="jobs"),
    path("jobs.csv", jobs.jobs_csv, name="jobs_csv"),
    path("jobs/to-decide/", jobs.undecided, name="undecided"),
    path("jobs/to-decide.csv", jobs.undecided_csv, name="undecided_csv"),
    path("jobs/<row:pk>/", jobs.job, name="job"),
    path("jobs/<row:pk>/edit/", jobs.job_edit, name="job_edit"),
    path("jobs/<row:pk>/stage/", jobs.job_reach, name="job_reach"),
    path("jobs/<row:pk>/fitted/", jobs.job_fit, name="job_fit"),
    path("jobs/<row:pk>/set-back/", jobs.job_back, name="job_back"),
    path("jobs/<row:pk>/taken-off/", jobs.job_off, name="job_off"),
    path("jobs/<row:pk>/more/", jobs.job_more, name="job_more"),
    path("jobs/<row:pk>/reopen/", jobs.job_withdraw, name="job_withdraw"),
    path("jobs/by-person/", job_sheets.by_person, name="jobs_by_person"),
    path("jobs.pdf", job_sheets.jobs_pdf, name="jobs_pdf"),
    path("jobs/<row:pk>/job.pdf", job_sheets.job_pdf, name="job_pdf"),
]
