"""Job sheets: what to make, on paper for the bench, with a code that opens the job."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.drafting.qr import square_code
from parts.engineering.measures.reading import whole
from parts.record.access import open_engine
from parts.record.actions.saving import name_of
from parts.record.models import Job
from parts.record.views.bench import bench, units_of
from parts.record.views.common import kept_till_changed, page_of, today
from parts.record.views.paper import on_paper, paper_size

from ..queries import by_person as queries
from ..sheets import job

MOST = 60  # sheets in one PDF


@kept_till_changed
def by_person(request, engine):
    """Jobs that are not yet fitted, by whose hands, to print as job sheets. ?who= for one."""
    access = open_engine(request.user, engine)
    everyone = queries.jobs_by_person(access.engine)
    who = request.GET.get("who")
    chosen = [person for person in everyone if who is None or person.who == who.strip()]
    page = page_of(request, [row for person in chosen for row in person.rows])
    shown = queries.open_jobs_of(page.object_list)
    lines = [
        (person, [shown[row["pk"]] for row in person.rows if row["pk"] in shown])
        for person in chosen
    ]
    return bench(
        request,
        access,
        "workshop/jobs/by_person.html",
        3,
        everyone=everyone,
        who=who,
        groups=[(person, jobs, person.prints(MOST)) for person, jobs in lines if jobs],
        page=page,
        back=reverse("parts:jobs", args=[engine]),
    )


def job_pdf(request, engine, pk):
    """The job sheet of one job."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Job, pk=pk, engine=access.engine)
    return _pdf(request, access, [row.pk], row.get_absolute_url())


def jobs_pdf(request, engine):
    """Job sheets of many jobs in one PDF: ?job=3&job=5, or ?who=, ?from= a sheet on."""
    access = open_engine(request.user, engine)
    back = reverse("parts:jobs_by_person", args=[engine])
    wanted = _asked(request, access)
    if not wanted:
        messages.error(request, "Choose a job first, or whose jobs to print.")
        return redirect(back)
    if len(wanted) > MOST:
        words = f"{len(wanted)} sheets are too many for one print. Choose {MOST} or fewer."
        messages.error(request, words)
        return redirect(back)
    return _pdf(request, access, wanted, back)


def _asked(request, access) -> list[int]:
    if "who" in request.GET:
        jobs = queries.jobs_of_person(access.engine, request.GET["who"])
        first = whole(request.GET.get("from"))
        return jobs if first is None else jobs[max(first - 1, 0) :][:MOST]
    asked = request.GET.getlist("job")
    numbers = [n for n in map(whole, asked) if n is not None]
    rows = Job.objects.filter(engine=access.engine, pk__in=numbers[: 10 * MOST])
    found = set(rows.values_list("pk", flat=True))
    if found != set(numbers):
        raise Http404("There is no such job.")
    return list(dict.fromkeys(numbers))


def _pdf(request, access, pks: list[int], back: str):
    units, _ = units_of(request, access.engine)

    def draw():
        sheets = queries.job_sheets(access.engine, pks)
        codes = [
            square_code(request.build_absolute_uri(one.job.get_absolute_url())) for one in sheets
        ]
        return job.pdf(
            sheets,
            codes,
            engine=access.engine,
            units=units,
            day=today(),
            size=paper_size(request),
            drawn_up=name_of(request.user),
        )

    return on_paper(request, draw, back)
