"""Job sheets: what to make, on paper for the bench, with a code that opens the making."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.drafting.qr import square_code
from parts.engineering.measures.reading import whole
from parts.record.access import open_engine
from parts.record.actions.saving import name_of
from parts.record.models import Making
from parts.record.views.bench import bench, units_of
from parts.record.views.common import kept_till_changed, page_of, today
from parts.record.views.paper import on_paper, paper_size

from ..queries import by_hands
from ..sheets import job

MOST = 60  # sheets in one PDF


@kept_till_changed
def jobs(request, engine):
    """Makings that are not yet fitted, by whose hands, to print as job sheets. ?who= for one."""
    access = open_engine(request.user, engine)
    everyone = by_hands.jobs_by_hands(access.engine)
    who = request.GET.get("who")
    chosen = [hands for hands in everyone if who is None or hands.who == who.strip()]
    page = page_of(request, [row for hands in chosen for row in hands.rows])
    shown = by_hands.jobs_of(page.object_list)
    lines = [
        (hands, [shown[row["pk"]] for row in hands.rows if row["pk"] in shown]) for hands in chosen
    ]
    return bench(
        request,
        access,
        "workshop/jobs/by_hands.html",
        3,
        everyone=everyone,
        who=who,
        groups=[(hands, jobs, hands.prints(MOST)) for hands, jobs in lines if jobs],
        page=page,
        back=reverse("parts:makings", args=[engine]),
    )


def job_pdf(request, engine, pk):
    """The job sheet of one making."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Making, pk=pk, engine=access.engine)
    return _pdf(request, access, [row.pk], row.get_absolute_url())


def jobs_pdf(request, engine):
    """Job sheets of many makings in one PDF: ?making=3&making=5, or ?who=, ?from= a sheet on."""
    access = open_engine(request.user, engine)
    back = reverse("parts:jobs", args=[engine])
    wanted = _asked(request, access)
    if not wanted:
        messages.error(request, "Choose a making first, or whose makings to print.")
        return redirect(back)
    if len(wanted) > MOST:
        words = f"{len(wanted)} sheets are too many for one print. Choose {MOST} or fewer."
        messages.error(request, words)
        return redirect(back)
    return _pdf(request, access, wanted, back)


def _asked(request, access) -> list[int]:
    if "who" in request.GET:
        makings = by_hands.makings_of_hands(access.engine, request.GET["who"])
        first = whole(request.GET.get("from"))
        return makings if first is None else makings[max(first - 1, 0) :][:MOST]
    asked = request.GET.getlist("making")
    numbers = [n for n in map(whole, asked) if n is not None]
    rows = Making.objects.filter(engine=access.engine, pk__in=numbers[: 10 * MOST])
    found = set(rows.values_list("pk", flat=True))
    if found != set(numbers):
        raise Http404("There is no such making.")
    return list(dict.fromkeys(numbers))


def _pdf(request, access, pks: list[int], back: str):
    units, _ = units_of(request, access.engine)

    def draw():
        sheets = by_hands.job_sheets(access.engine, pks)
        codes = [
            square_code(request.build_absolute_uri(one.making.get_absolute_url())) for one in sheets
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
