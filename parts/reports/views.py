"""Sheet 6: progress, the funders' reports, and the links by which others read them."""

from dataclasses import replace
from datetime import timedelta

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from parts.drafting import paper
from parts.drafting.table_csv import file_name
from parts.photos.views import picture
from parts.record.access import Right, open_engine
from parts.record.views.common import act, form_page, sheet, today

from . import issuing
from .actions import links
from .forms import LinkForm, ReportForm
from .models import ReadingLink, Report
from .queries.issued import issued_before, next_number
from .queries.progress import progress
from .sheets.curves import progress_curve


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
    """New report: look at it first, then freeze it."""
    access = open_engine(request.user, engine, Right.MANAGE)
    number = next_number(access.engine)
    form = ReportForm(
        request.POST or None,
        engine=access.engine,
        today=today(),
        initial={
            "number": number,
            "title": f"Report to funders, number {number}",
            "first_day": today() - timedelta(days=92),
            "last_day": today(),
        },
    )
    draft = None
    if request.method == "POST" and form.is_valid():
        issued = issued_before(access.engine, form.details, by=request.user)
        if issued and "freeze" in request.POST:
            messages.info(request, "This report is issued already.")
            return redirect("parts:report", engine, issued.pk)
        details, photos = replace(form.details, number=number), form.cleaned_data["photos"]
        draft = issuing.draw_up(access.engine, details, photos, today())
        said = "The report is issued and cannot be changed."
        args = issuing.issue, access.engine, details, draft
        if "freeze" in request.POST and (row := act(request, *args, form=form, said=said)):
            return redirect("parts:report", engine, row.pk)
    return sheet(
        request,
        access,
        "reports/new.html",
        6,
        form=form,
        page=draft and draft.page,
        photo_base=reverse("parts:report_list", args=[engine]),
        back=reverse("parts:report_list", args=[engine]),
    )


def report(request, engine, pk):
    """A report as it was sent."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    return sheet(request, access, "reports/report.html", 6, report=row, trouble=paper.trouble())


def report_photo(request, engine, pk, photo, size):
    """A picture of a frozen report."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    return picture(request, get_object_or_404(row.pictures, pk=photo), size)


def report_pdf(request, engine, pk):
    """The PDF of a report, made once and kept."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    return _pdf(request, row) or redirect("parts:report", engine, pk)


def _pdf(request, row: Report):
    """Answer with the PDF; None, with a sentence, when this machine cannot make one."""
    if trouble := issuing.put_on_paper(row):
        messages.error(request, trouble)
        return None
    name = file_name(row.engine_name, row.title, suffix="pdf")
    return FileResponse(row.pdf.open(), as_attachment=True, filename=name)


@never_cache
def link_new(request, engine, pk):
    """Make a reading link for someone without a login. Its address is shown once."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Report, pk=pk, engine=access.engine)
    form = LinkForm(request.POST or None, initial={"lapses_on": today() + timedelta(days=90)})
    if request.method == "POST" and form.is_valid():
        made = act(
            request,
            links.add_link,
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
        intro="It shows this report as it was frozen, and nothing else. It contains no locations.",
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
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


@login_not_required
def read(request, secret):
    """A frozen report, for whoever holds the link."""
    link = _link(secret)
    links.count_reading(link)
    context = {"report": link.report, "link": link, "engine_name": link.report.engine_name}
    return _private(render(request, "reports/read.html", context))


@login_not_required
def read_photo(request, secret, photo, size):
    link = _link(secret)
    shown = get_object_or_404(link.report.pictures, pk=photo)
    return _private(picture(request, shown, size))


@login_not_required
def read_pdf(request, secret):
    link = _link(secret)
    response = _pdf(request, link.report)
    return _private(response) if response else redirect("parts:read", secret)
