"""Sheet 3: parts to make, and each job from the decision to the fitting."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.drafting.lettering import money
from parts.drafting.scales import nice_top
from parts.engineering.measures.reading import whole
from parts.record.access import Right, open_engine
from parts.record.actions import entries
from parts.record.models import Job, PieceEntry
from parts.record.views.common import (
    PAGE,
    act,
    form_page,
    kept_till_changed,
    page_of,
    row_page,
    sheet,
    today,
)

from ..forms import JobForm, MakeFilterForm, StepForm
from ..queries.job import (
    costs_of_job,
    in_words,
    job_status,
    mass_of_part,
    part_to_decide,
    stages_to_write,
)
from ..queries.jobs import parts_to_decide, parts_to_make
from ..queries.lines import Filters, MakeList
from ..sheets import lists

PRINTED = 500  # lines of one print with room to write
BESIDE = 12  # parts still to decide that stand beside the list


@kept_till_changed
def jobs(request, engine):
    """Parts to make, grouped by route; beside them what is still to decide."""
    access = open_engine(request.user, engine)
    made = _made(request, access)
    printing = request.GET.get("print") == "1"
    page = page_of(request, made.lines, PRINTED if printing else PAGE)
    highs = [line.cost.total.high for line in made.lines if line.cost]
    return sheet(
        request,
        access,
        "workshop/jobs/worksheet.html" if printing else "workshop/jobs/list.html",
        3,
        made=made,
        groups=made.groups_with(page),
        page=page,
        top=nice_top(float(max(highs, default=0)), 4),
        beside=made.to_decide[:BESIDE],
        filters=MakeFilterForm(request.GET, choices=made.choices),
        day=today(),
        facts=[
            ("Lines to make", made.sums.lines),
            ("Being made", made.being_made),
            ("Pieces to decide", made.pieces_to_decide),
            ("Likely cost", money(made.sums.cost.total.likely, made.currency, False)),
        ],
    )


def _made(request, access) -> MakeList:
    return parts_to_make(access.engine, None, _filters(request.GET))


def _filters(asked) -> Filters:
    return Filters(
        asked.get("route", ""),
        whole(asked.get("component")),
        asked.get("material", ""),
        asked.get("who", ""),
        asked.get("stage", ""),
        asked.get("q", ""),
        asked.get("sort", ""),
    )


@kept_till_changed
def undecided(request, engine):
    """All parts with pieces missing or beyond repair for which nothing is decided."""
    access = open_engine(request.user, engine)
    parts = parts_to_decide(access.engine, _filters(request.GET))
    return sheet(
        request,
        access,
        "workshop/jobs/undecided.html",
        3,
        parts=len(parts),
        pieces=sum(part.pieces for part in parts),
        page=page_of(request, parts),
        back=reverse("parts:jobs", args=[engine]),
    )


def jobs_csv(request, engine):
    """The list as a table, filtered and sorted as on the screen."""
    access = open_engine(request.user, engine)
    return _file(lists.make_csv(_made(request, access), access.engine.name))


def undecided_csv(request, engine):
    """What is still to decide, as a table."""
    access = open_engine(request.user, engine)
    return _file(lists.to_decide_csv(_made(request, access), access.engine.name))


def _file(document) -> HttpResponse:
    name, kind, content = document
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _job(access, pk) -> Job:
    rows = Job.objects.select_related("part__component", "engine")
    return get_object_or_404(rows, pk=pk, engine=access.engine)


def job(request, engine, pk):
    """One job: its stages, its next step, what it costs, what happened."""
    access = open_engine(request.user, engine)
    row = _job(access, pk)
    mass_kg, mass_from = mass_of_part(row.part, row.metal)
    told = job_status(row)
    return sheet(
        request,
        access,
        "workshop/jobs/job.html",
        3,
        job=row,
        part=row.part,
        told=told,
        metal=row.metal or row.part.material,
        size=row.size or row.part.size,
        mass_kg=mass_kg,
        mass_all_kg=mass_kg * told.left if mass_kg else None,
        mass_from=mass_from,
        costs=costs_of_job(row),
        photos=row.part.photos.all()[:8],
        step_url=_next_url(row, told),
        fitted=_said_last(row, kind=PieceEntry.Kind.FITTED) if told.fitted else None,
        today=today(),
        back=reverse("parts:jobs", args=[engine]),
    )


def _next_url(row, told) -> str:
    name = "job_fit" if told.next_key == PieceEntry.Kind.FITTED else "job_reach"
    return reverse(f"parts:{name}", args=[row.engine_id, row.pk])


def job_edit(request, engine, pk):
    """Mend who makes it, its size, its metal and the rest."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _job(access, pk)
    return row_page(
        request,
        access,
        JobForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Edit the job of {row.part}",
        said="The job is changed.",
        back=reverse("parts:job", args=[engine, pk]),
        sheet_no=3,
    )


def job_reach(request, engine, pk):
    """Say that pieces reached a stage."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _job(access, pk)
    told = job_status(row)
    form = _step(
        request,
        row,
        stages=[(s.key, s.word) for s in row.way.stages],
        initial={"stage": told.next_key, "pieces": max(told.next_pieces, 1)},
    )
    if _agreed(form, row, form["stage"].value(), told) and _done(request, form, entries.reach, row):
        return redirect("parts:job", engine, pk)
    press = "Save all these stages" if form.asked else "Save stage"
    return _step_page(request, access, row, form, f"{row.part}: a stage reached", press)


def job_fit(request, engine, pk):
    """Say that pieces were fitted to the engine."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _job(access, pk)
    told = job_status(row)
    form = _step(request, row, initial={"pieces": max(told.left, 1)})
    if _agreed(form, row, PieceEntry.Kind.FITTED, told) and _done(request, form, entries.fit, row):
        return redirect("parts:job", engine, pk)
    press = "Fitted, with all these stages" if form.asked else "Fitted"
    return _step_page(request, access, row, form, f"{row.part}: fitted", press)


def _agreed(form, row, stage: str, told) -> bool:
    """Whoever says that pieces reached a stage knows which earlier ones are written with it.

    More pieces than there are is not worth asking about: the action refuses them.
    """
    if not form.is_valid():
        return False
    data = form.cleaned_data
    reached = next(s.reached for s in told.stages if s.key == stage)
    if reached + data["pieces"] > told.decided:
        return True
    written = stages_to_write([(row, stage, data["pieces"])], data["day"])[row.pk]
    return form.agreed_to(", ".join(f"{s.word} {n}" for s, n in written if s.key != stage))


def job_back(request, engine, pk):
    """Say that pieces have not reached a stage after all."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _job(access, pk)
    reached = [s for s in job_status(row).stages if s.reached and s.key != PieceEntry.Kind.FITTED]
    stages = [(s.key, s.word) for s in reached] or [(s.key, s.word) for s in row.way.stages]
    form = _step(
        request,
        row,
        stages=stages,
        because="Why it goes back",
        example="misrun in the thin flange",
        initial={"pieces": 1, "stage": stages[-1][0]},
    )
    if form.is_valid():
        _own_or_lead(access, row, stage=form.cleaned_data["stage"])
    if _done(request, form, entries.set_back, row):
        return redirect("parts:job", engine, pk)
    return _step_page(
        request, access, row, form, f"{row.part}: set back", "Undo stage", danger=True
    )


def job_off(request, engine, pk):
    """Say that fitted pieces were taken off again."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _job(access, pk)
    _own_or_lead(access, row, kind=PieceEntry.Kind.FITTED)
    form = _step(
        request,
        row,
        because="Why it was taken off",
        example="the flange leaks",
        initial={"pieces": 1},
    )
    if _done(request, form, entries.take_off, row):
        return redirect("parts:job", engine, pk)
    return _step_page(
        request, access, row, form, f"{row.part}: taken off", "Taken off", danger=True
    )


def job_more(request, engine, pk):
    """Decide to make more pieces in the same way."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _job(access, pk)
    counts = part_to_decide(row.part)
    wanted = counts.missing + counts.beyond_repair
    form = _step(request, row, initial={"pieces": max(wanted, 1)})
    if _done(request, form, entries.decide_more, row):
        tell_if_spare(request, form.cleaned_data["pieces"], wanted)
        return redirect("parts:job", engine, pk)
    return _step_page(request, access, row, form, f"Make more of {row.part}", "Decide")


def job_withdraw(request, engine, pk):
    """Withdraw the decision for some pieces."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _job(access, pk)
    form = _step(
        request,
        row,
        because="Why it is reopened",
        example="one turned up under the bed",
        initial={"pieces": max(job_status(row).left, 1)},
    )
    if _done(request, form, entries.withdraw, row):
        _tell_of_its_costs(request, row)
        return redirect("parts:job", engine, pk)
    title = f"Withdraw the decision on {row.part}"
    return _step_page(request, access, row, form, title, "Withdraw decision", danger=True)


def _tell_of_its_costs(request, row) -> None:
    """What was to be paid for a job does not go with it: somebody may have ordered it."""
    to_come = costs_of_job(row).own_sums.to_come
    if to_come.high:
        amount = money(to_come.likely, row.engine.currency)
        messages.warning(
            request,
            f"The costs of this job still count: {amount} to come. Settle or delete what is not "
            "needed any more, or let the next decision replace it.",
        )


def _step(request, row, *, initial, **more) -> StepForm:
    return StepForm(request.POST or None, initial={"day": today()} | initial, **more)


def _done(request, form, verb, row):
    """Do what a sent form asks, and say what was written. None when it is refused or not sent."""
    if request.method != "POST" or not form.is_valid():
        return None

    def said(written):
        rows = written if isinstance(written, list) else [written]
        return f"Saved: {in_words(row, rows)}."

    data = {name: value for name, value in form.cleaned_data.items() if name != "also"}
    return act(request, verb, row, form=form, said=said, **data)


def _step_page(request, access, row, form, title: str, press: str, danger=False):
    return form_page(
        request,
        access,
        form,
        title=title,
        press=press,
        danger=danger,
        back=reverse("parts:job", args=[row.engine_id, row.pk]),
        sheet_no=3,
    )


def _own_or_lead(access, row, **which) -> None:
    """Helpers undo only what they said themselves; a lead undoes anyone's, with a reason."""
    said = _said_last(row, **which)
    if said is not None:
        access.need_mend(said)


def _said_last(row, **which) -> PieceEntry | None:
    return PieceEntry.objects.filter(job=row, pieces__gt=0, **which).last()


def tell_if_spare(request, pieces: int, wanted: int) -> None:
    if pieces > wanted:
        messages.warning(
            request,
            f"Only {wanted} {'was' if wanted == 1 else 'were'} wanted; {pieces} are decided. "
            "If spares are meant, let it stand.",
        )
