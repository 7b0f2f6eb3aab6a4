"""Sheet 6: progress, the funders' reports, and the links by which others read them."""

from datetime import timedelta

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from ..access import Right, open_engine
from ..actions import people as links
from ..actions import reports as acts
from ..actions.record import name_of
from ..documents import money as money_csv
from ..documents import paper
from ..documents import report as document
from ..documents.curves import progress_curve
from ..forms.reports import LinkForm, ReportForm
from ..models import Photo, ReadingLink, Report
from ..reckoning import report as reckoning
from ..reckoning.money import cost_tally
from ..reckoning.progress import progress
from .common import act, form_page, sheet, today
from .photos import picture


def report_list(request, engine):
    """How the work goes on, and the reports that were sent."""
    access = open_engine(request.user, engine)
    told = progress(access.engine, today())
    return sheet(
        request,
        access,
        "reports/list.html",
        6,
        progress=told,
        curves=[(curve, progress_curve(curve)) for curve in told.curves],
        reports=Report.objects.filter(engine=access.engine),
        links=ReadingLink.objects.filter(engine=access.engine).select_related("report")
        if access.may_manage
        else (),
        now=today(),
    )


def report_new(request, engine):
    """Draw up a report: look at it first, then freeze it."""
    access = open_engine(request.user, engine, Right.MANAGE)
    number = acts.next_number(access.engine)
    form = ReportForm(
        request.POST or None,
        engine=access.engine,
        today=today(),
        initial={
            "title": f"Report to funders, number {number}",
            "first_day": today() - timedelta(days=92),
            "last_day": today(),
        },
    )
    page = None
    if request.method == "POST" and form.is_valid():
        page = _draw_up(access, form.cleaned_data, number)
        if "freeze" in request.POST:
            report = _freeze(request, access, form, number, page)
            if report:
                return redirect("parts:report", engine, report.pk)
    return sheet(
        request,
        access,
        "reports/new.html",
        6,
        form=form,
        page=page,
        photo_base=reverse("parts:report_list", args=[engine]),
        back=reverse("parts:report_list", args=[engine]),
    )


def _draw_up(access, data, number: int) -> str:
    told = reckoning.funders_report(
        access.engine,
        data["first_day"],
        data["last_day"],
        title=data["title"],
        number=number,
        drawn_up=name_of(access.user),
        words=data["words"],
        next_words=data["next_words"],
        photos=tuple(data["photos"]),
    )
    return document.body(told, today())


def _freeze(request, access, form, number: int, page: str):
    data = form.cleaned_data
    row = act(
        request,
        acts.freeze,
        access.engine,
        number=number,
        title=data["title"],
        first_day=data["first_day"],
        last_day=data["last_day"],
        words=data["words"],
        next_words=data["next_words"],
        page=page,
        photos=document.pictures_of(page),
        pdf=None,
        said="The report is frozen. It stays as it is now.",
        form=form,
    )
    if row and not paper.trouble():
        # Made at once, so that the tally inside is of the same moment.
        acts.keep_pdf(row, make_pdf(row)[2])
    return row


def report(request, engine, pk):
    """A report as it was sent."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    return sheet(request, access, "reports/report.html", 6, report=row, trouble=paper.trouble())


def report_photo(request, engine, pk, photo, size):
    """A picture of a frozen report."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    return picture(get_object_or_404(row.photos, pk=photo), size)


def report_pdf(request, engine, pk):
    """The PDF of a report, made once and kept."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    return _pdf(request, row) or redirect("parts:report", engine, pk)


def _pdf(request, row: Report):
    """Answer with the PDF; None, with a sentence, when this machine cannot make one."""
    if not row.pdf:
        trouble = paper.trouble()
        if trouble:
            messages.error(request, trouble)
            return None
        acts.keep_pdf(row, make_pdf(row)[2])
        row.refresh_from_db()
    name = f"{row.engine.short_name or row.engine.name} {row.title}.pdf"
    return FileResponse(row.pdf.open(), as_attachment=True, filename=name)


def make_pdf(row: Report) -> tuple[str, str, bytes]:
    """Lay a frozen report on paper, with its cost tally inside as CSV."""
    files = {p.pk: p.shown_path(900) for p in row.photos.all()}
    tally = money_csv.tally_csv(cost_tally(row.engine, row.last_day), row.engine.name)
    return document.pdf(
        row.page,
        title=row.title,
        engine_name=row.engine.name,
        drawn_up=name_of(row.made_by),
        day=row.made_at.date(),
        taken=f"{row.last_day:%-d %b %Y}",
        files=files,
        attached={tally[0]: tally[2]},
    )


def link_new(request, engine, pk):
    """Make a reading link for someone without a login. Its address is shown once."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    form = LinkForm(request.POST or None, initial={"lapses_on": today() + timedelta(days=90)})
    if request.method == "POST" and form.is_valid():
        made = act(
            request,
            links.make_link,
            row,
            form.cleaned_data["for_whom"],
            form.cleaned_data["lapses_on"],
            today=today(),
            said="The link is made.",
            form=form,
        )
        if made:
            link, secret = made
            address = request.build_absolute_uri(reverse("parts:read", args=[secret]))
            return sheet(
                request, access, "reports/link.html", 6, link=link, address=address, report=row
            )
    return form_page(
        request,
        access,
        form,
        title="A link for someone without a login",
        press="Make the link",
        back=reverse("parts:report", args=[engine, pk]),
        sheet_no=6,
        intro="It shows this report as it was frozen, and nothing else. It holds no position.",
    )


@require_POST
def link_withdraw(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    link = get_object_or_404(ReadingLink, pk=pk, engine=access.engine)
    act(request, links.withdraw_link, link, said="The link opens nothing any more.")
    return redirect("parts:report_list", engine)


def _link(secret: str) -> ReadingLink:
    link = links.link_of(secret, today())
    if link is None:
        raise Http404("This link has lapsed or been withdrawn. Ask for a new one.")
    return link


def _private(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


@login_not_required
def read(request, secret):
    """A frozen report, for whoever holds the link."""
    link = _link(secret)
    links.note_reading(link)
    context = {"report": link.report, "link": link, "engine_name": link.engine.name}
    return _private(render(request, "reports/read.html", context))


@login_not_required
def read_photo(request, secret, photo, size):
    link = _link(secret)
    shown = get_object_or_404(link.report.photos, pk=photo)
    if size not in Photo.SIZES:
        raise Http404("There is no picture of that size.")
    return _private(picture(shown, size))


@login_not_required
def read_pdf(request, secret):
    link = _link(secret)
    response = _pdf(request, link.report)
    return _private(response) if response else redirect("parts:read", secret)
