"""The decision on a part: its ways side by side, and the choice."""

from django.http import Http404
from django.shortcuts import redirect
from django.urls import reverse

from parts.care.queries import GRAPHITISED
from parts.drafting.lettering import money
from parts.drafting.scales import nice_top
from parts.engineering.routes import ROUTES
from parts.money.forms import SettlesForm
from parts.money.models import CostItem
from parts.money.queries.costs import costs_to_come
from parts.record.access import Right, open_engine
from parts.record.models import Basis, Job
from parts.record.views.bench import part_of
from parts.record.views.common import act, row_page, sheet, today
from parts.workshop.jobs.queries.job import mass_of_part
from parts.workshop.jobs.views.jobs import tell_if_spare

from . import actions, queries
from .forms import DecideForm, OptionForm
from .models import Option


def decide(request, engine, part):
    """Weigh the ways of a part and choose one, with the reason."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = part_of(access, part)
    shown = queries.decide_page(row, today())
    asked = request.GET.get("way", "")
    form = DecideForm(
        request.POST or None,
        instance=Job(engine=access.engine, part=row),
        engine=access.engine,
        initial={
            "route": asked if asked in Option.Way.values else row.usual_route,
            "pieces": max(shown.pieces, 1),
            "day": today(),
        },
    )
    asks = None
    if request.method == "POST" and form.is_valid():
        estimate = _estimate(access, shown, form)
        asks = _what_it_replaces(request, row, estimate)
        if form.is_valid() and (asks is None or asks.is_valid()):
            chosen = _choose(request, access, row, shown, form, estimate, asks)
            if chosen:
                return chosen
    return sheet(
        request,
        access,
        "decide/decide.html",
        3,
        form=form,
        asks=asks,
        part=row,
        shown=shown,
        top=nice_top(shown.top, 4),
        mass=mass_of_part(row),
        soft_iron=GRAPHITISED if row.material in ("cast_iron", "not_known") else "",
        back=row.get_absolute_url(),
    )


def _estimate(access, shown, form) -> actions.Estimate | None:
    """What is to be added to the costs. That there is nothing to add is told, and not passed by."""
    data = form.cleaned_data
    if not data["into_tally"]:
        return None
    one = shown.option(data["route"])
    if data["route"] not in ROUTES:
        form.add_error("into_tally", "Only a way of making has a cost to add. Take the tick off.")
    elif one is None or one.likely is None:
        form.add_error(
            "into_tally",
            "There are no figures for this option yet: press it above and enter them, or take "
            "the tick off.",
        )
    elif access.may_manage:
        return actions.Estimate(one.low, one.likely, one.high)
    else:
        form.add_error("into_tally", "Only a lead adds costs. Take the tick off.")
    return None


def _what_it_replaces(request, row, estimate) -> SettlesForm | None:
    """Ask which cost of the part an estimate replaces, where something is still to come of any."""
    if estimate is None:
        return None
    lines = costs_to_come(row)
    asks = SettlesForm(request.POST, lines=lines, currency=row.engine.currency, one=True)
    return asks if lines else None


def _choose(request, access, row, shown, form, estimate, asks):
    """Do what was chosen, and lead on to where it goes from there. None when refused."""
    data = form.cleaned_data
    way, pieces = data["route"], data["pieces"]
    line = next(iter(asks.settled), None) if asks else None
    done = act(
        request,
        actions.choose,
        row,
        way,
        pieces,
        day=data["day"],
        reason=data["reason"],
        estimate=estimate,
        replaces=CostItem.objects.get(pk=line.pk) if line else None,
        form=form,
        said=f"Decided: {pieces} of {row}. {_added(row, estimate, line)}".strip(),
        **form.details(),
    )
    if not done:
        return None
    if isinstance(done, Job):
        tell_if_spare(request, pieces, shown.pieces)
        return redirect("parts:job", access.engine.pk, done.pk)
    if way == Option.Way.REPAIR:
        return redirect(f"{reverse('parts:repair_new', args=[access.engine.pk])}?part={row.pk}")
    return redirect(row.get_absolute_url())


def _added(row, estimate, line) -> str:
    """What was written into the costs, in a sentence; "" where nothing was asked."""
    if estimate is None:
        return ""
    currency = row.engine.currency
    low, likely, high = (money(getattr(estimate, n), currency) for n in ("low", "likely", "high"))
    if line is None:
        return f"Added to the costs: {likely} estimated, {low} to {high}."
    if line.basis == Basis.ESTIMATED:
        return f"“{line.what}” is now estimated at {likely}, {low} to {high}, for this job."
    return (
        f"“{line.what}” is now a cost of this job. It stands on what is {line.basis_word.lower()}"
        f", {money(line.total.likely, currency)}: the estimate is kept with it and adds nothing."
    )


def option(request, engine, part, way):
    """Write down what a way would cost, or change it; the record's own figures stand beforehand."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = part_of(access, part)
    if way not in Option.Way.values:
        raise Http404("There is no such option.")
    weighed = queries.decide_page(row, today()).option(way)
    standing = weighed.row
    form = OptionForm(
        request.POST or None,
        instance=standing or Option(engine=access.engine, part=row, way=way),
        engine=access.engine,
        initial={} if standing else _suggested(weighed),
    )
    return row_page(
        request,
        access,
        form,
        title=f"{weighed.word}: {row}",
        press="Save",
        said="It is saved.",
        write=None if standing else actions.add_option,
        back=reverse("parts:decide", args=[engine, part]),
        sheet_no=3,
        intro=weighed.guess.how,
    )


def _suggested(weighed) -> dict:
    guess = weighed.guess
    found = {name: getattr(guess, name) for name in ("low", "likely", "high")}
    found |= {"hours": guess.hours, "wants": "\n".join(guess.wants), "note": guess.how}
    return {name: value for name, value in found.items() if value is not None}
