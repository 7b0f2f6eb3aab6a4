"""The decision on a part: its ways side by side, and the choice."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect
from django.urls import reverse

from ..access import Right, open_engine
from ..actions import options as acts
from ..documents.svg.scales import nice_top
from ..forms.options import DecideForm, OptionForm
from ..models import Making, Option
from ..reckoning import options as reckoning
from ..reckoning.care import GRAPHITISED
from ..reckoning.making_sheet import mass_of_part
from .bodies import part_of
from .common import act, form_page, save_change, sheet, today


def decide(request, engine, part):
    """Weigh the ways of a part and choose one, with the reason."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = part_of(access, part)
    shown = reckoning.decide_page(row, today())
    asked = request.GET.get("way", "")
    form = DecideForm(
        request.POST or None,
        instance=Making(engine=access.engine, part=row),
        engine=access.engine,
        initial={
            "route": asked if asked in Option.Way.values else row.usual_route,
            "pieces": max(shown.pieces, 1),
            "day": today(),
        },
    )
    if request.method == "POST" and form.is_valid():
        chosen = _choose(request, access, row, shown, form)
        if chosen:
            return chosen
    return sheet(
        request,
        access,
        "workshop/decide.html",
        3,
        form=form,
        part=row,
        shown=shown,
        top=nice_top(shown.top, 4),
        mass=mass_of_part(row),
        soft_iron=GRAPHITISED if row.material in ("cast_iron", "not_known") else "",
        back=row.get_absolute_url(),
    )


def _choose(request, access, row, shown, form):
    """Do what was chosen, and lead on to where it goes from there. None when refused."""
    data = form.cleaned_data
    way, pieces = data["route"], data["pieces"]
    done = act(
        request,
        acts.choose,
        row,
        way,
        pieces,
        day=data["day"],
        reason=data["reason"],
        estimate=_estimate(shown, data) if access.may_manage else None,
        form=form,
        said=f"Decided: {pieces} of {row}.",
        **form.details(),
    )
    if not done:
        return None
    if isinstance(done, Making):
        tell_if_spare(request, pieces, shown.pieces)
        return redirect("parts:making", access.engine.pk, done.pk)
    if way == Option.Way.REPAIR:
        return redirect(f"{reverse('parts:repair_new', args=[access.engine.pk])}?part={row.pk}")
    return redirect(row.get_absolute_url())


def _estimate(shown, data) -> acts.Estimate | None:
    one = shown.way(data["route"])
    if not data["into_tally"] or one is None or one.likely is None:
        return None
    return acts.Estimate(one.low, one.likely, one.high)


def tell_if_spare(request, pieces: int, wanted: int) -> None:
    if pieces > wanted:
        messages.warning(
            request,
            f"Only {wanted} {'was' if wanted == 1 else 'were'} wanted; {pieces} are decided. "
            "If spares are meant, let it stand.",
        )


def option(request, engine, part, way):
    """Write down what a way would cost, or change it; the record's own figures stand beforehand."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = part_of(access, part)
    if way not in Option.Way.values:
        raise Http404("There is no such way.")
    weighed = reckoning.decide_page(row, today()).way(way)
    standing = weighed.row
    new = Option(engine=access.engine, part=row, way=way)
    form = OptionForm(
        request.POST or None,
        instance=standing or new,
        engine=access.engine,
        initial={} if standing else _suggested(weighed),
    )
    back = reverse("parts:decide", args=[engine, part])
    if request.method == "POST" and form.is_valid() and _keep(request, form, standing):
        return redirect(back)
    return form_page(
        request,
        access,
        form,
        title=f"{weighed.word}: {row}",
        press="Keep it",
        back=back,
        sheet_no=3,
        intro=weighed.guess.how,
        remove=("option", standing.pk) if standing else None,
    )


def _suggested(weighed) -> dict:
    guess = weighed.guess
    found = {name: getattr(guess, name) for name in ("low", "likely", "high")}
    found |= {"hours": guess.hours, "wants": "\n".join(guess.wants), "note": guess.how}
    return {name: value for name, value in found.items() if value is not None}


def _keep(request, form, standing):
    said = "It is written down."
    if standing is None:
        return act(request, acts.weigh, form.instance, form=form, said=said)
    return save_change(request, form, said=said)
