"""The general arrangement, the engine's own sheets, and what the pieces of the drawing are."""

from dataclasses import dataclass
from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from parts.drafting.lines import STATES
from parts.engineering.measures.reading import whole
from parts.record.access import Right, open_engine
from parts.record.actions.saving import Clash, Refused, name_of
from parts.record.views.common import act, form_page, row_page, send, sheet, today
from parts.record.views.paper import on_paper

from . import actions, forms, queries
from .models import Balloon, Drawing
from .sheets import arrangement as document
from .sheets import own, paper

SHEET = 1


@dataclass(frozen=True)
class Asked:
    """What an address asks of the drawing: ?day= ?state= ?balloons= ?part= or ?component=."""

    day: date | None
    state: str
    balloons: str
    what: str
    pk: int

    @classmethod
    def of(cls, request) -> "Asked":
        """Read an address; what cannot be read is as if it were not asked."""
        get = request.GET
        what = next((name for name in ("part", "component") if get.get(name)), "")
        return cls(
            _day(get.get("day", "")),
            get["state"] if get.get("state") in STATES else "",
            "parts" if get.get("balloons") == "parts" else "components",
            what,
            whole(get.get(what)) or 0,
        )

    @property
    def pick(self) -> tuple[str, int]:
        return self.what, self.pk

    def query(self, **changes) -> str:
        """The same address with changes: "?day=2026-05-01&state=missing"."""
        told = {
            "day": self.day.isoformat() if self.day else "",
            "balloons": self.balloons if self.balloons == "parts" else "",
            self.what: str(self.pk) if self.what and self.pk else "",
            "state": self.state,
        } | changes
        return "?" + "&".join(f"{name}={value}" for name, value in told.items() if name and value)

    def without_pick(self, **changes) -> str:
        return self.query(**({self.what: ""} | changes))


def _day(text: str) -> date | None:
    try:
        asked = date.fromisoformat(text)
    except ValueError:
        return None
    return asked if asked < today() else None


def address_of(engine: int, shown: queries.Target) -> str:
    """The page of a component or a part."""
    return reverse(f"parts:{shown.what}", args=[engine, shown.pk])


def elevation(request, access, **how) -> dict:
    """Draw what an address asks for: the context of whatever page shows the elevation."""
    asked = Asked.of(request)
    engine = access.engine
    stood = queries.engine_on_day(engine, asked.day)
    picked = stood.target(asked.what, asked.pk) if asked.what else None
    drawing = None
    if document.can_draw(engine.kind):
        drawing = document.draw(
            stood,
            balloons=asked.balloons,
            picked=picked,
            state=asked.state,
            href=_hrefs(engine, asked, picked),
            **how,
        )
    return {"stood": stood, "drawing": drawing} | _around(engine, asked, picked, drawing)


def _hrefs(engine, asked: Asked, picked):
    """Where balloons lead: the first press picks, the second opens."""

    def href(shown: queries.Target) -> str:
        if shown == picked:
            return address_of(engine.pk, shown)
        return asked.without_pick(**{shown.what: shown.pk}) + "#drawing"

    return href


def _around(engine, asked: Asked, picked, drawn) -> dict:
    """What stands round a drawing: the strip, days, other sheets, and links that keep the rest."""
    return {
        "asked": asked,
        "picked": picked,
        "picked_line": next((one for one in _lines(drawn) if one.target == picked), None),
        "picked_url": address_of(engine.pk, picked) if picked else "",
        "days": [
            (one, asked.query(day="" if one.day == today() else one.day.isoformat()))
            for one in queries.days_of(engine, today())
        ],
        "day_shown": asked.day or today(),
        "own_sheets": queries.sheets_of(engine),
        "state_link": asked.query(state="STATE").replace("STATE", ""),
        "to_components": asked.without_pick(balloons=""),
        "to_parts": asked.without_pick(balloons="parts"),
        "to_all_states": asked.query(state=""),
        "to_unpicked": asked.without_pick(),
    }


def _lines(drawn) -> tuple:
    if drawn is None:
        return ()
    return (*drawn.lines, *getattr(drawn, "unseen", getattr(drawn, "left_over", ())))


def zone_of_part(engine, part) -> str:
    """The zone of the elevation that shows a part: "C4"; nothing where none does."""
    if not document.can_draw(engine.kind):
        return ""
    return document.zone_of(queries.outline(engine, part.component), part.pk)


def arrangement(request, engine):
    """The elevation alone, large: to look at and to print, with its part list."""
    access = open_engine(request.user, engine)
    context = elevation(request, access)
    return sheet(
        request,
        access,
        "drawings/elevation.html",
        SHEET,
        paper=_paper(request),
        papers=paper.PAPERS,
        drawn_up=name_of(request.user),
        back=reverse("parts:engine", args=[engine]),
        **context,
    )


def _paper(request) -> str:
    asked = request.GET.get("paper", "")
    return asked if asked in paper.PAPERS else "A4"


def arrangement_pdf(request, engine):
    """The elevation on paper: ?paper=a3, A4 or letter."""
    access = open_engine(request.user, engine)
    asked = Asked.of(request)
    back = reverse("parts:engine", args=[engine])
    if not document.can_draw(access.engine.kind):
        return redirect(back)
    stood = queries.engine_on_day(access.engine, asked.day)

    def on_sheet():
        drawn = document.draw(stood, balloons=asked.balloons, state=asked.state)
        return paper.pdf(drawn, title="General arrangement", **_title_block(request, access, asked))

    return on_paper(request, on_sheet, back)


def _title_block(request, access, asked: Asked) -> dict:
    return {
        "engine": access.engine,
        "day": asked.day or today(),
        "paper_size": _paper(request),
        "drawn_up": name_of(request.user),
    }


def ties(request, engine):
    """What each piece of the elevation is: ?piece= says which is being changed."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = access.engine
    if not document.can_draw(row.kind):
        return redirect("parts:engine", engine)
    stood = queries.engine_on_day(row)
    pieces, sentences = document.pieces_of(stood)
    asked = next((one for one in pieces if one.key == request.GET.get("piece")), None)
    form = None
    if asked is not None:
        form = forms.PieceForm(
            request.POST or None, engine=row, initial={"of": asked.choice or "by-name"}
        )
        if request.method == "POST" and form.is_valid() and _tie(request, row, asked.key, form):
            return redirect(f"{reverse('parts:ties', args=[engine])}#{asked.key}")
    return sheet(
        request,
        access,
        "drawings/ties.html",
        SHEET,
        pieces=pieces,
        sentences=sentences,
        asked=asked,
        form=form,
        back=reverse("parts:engine", args=[engine]),
    )


def _tie(request, engine, key: str, form):
    if form.cleaned_data["of"] == form.BY_NAME:
        said = "It is what its name says."
        return act(request, actions.untie_piece, engine, key, form=form, said=said)
    return act(
        request, actions.tie_piece, engine, key, form=form, said="It is tied.", **form.rows()
    )


def _own(access, pk) -> Drawing:
    rows = Drawing.objects.select_related("picture", "engine")
    return get_object_or_404(rows, pk=pk, engine=access.engine, picture__removed_at__isnull=True)


def drawing(request, engine, pk):
    """A sheet of one's own, with its balloons."""
    access = open_engine(request.user, engine)
    row, asked = _own(access, pk), Asked.of(request)
    marks = queries.marks_of(row, asked.day)
    picked = next((m.target for m in marks if (m.target.what, m.target.pk) == asked.pick), None)
    drawn = _draw_own(
        row, marks, asked, row.picture.large_url, picked, _hrefs(access.engine, asked, picked)
    )
    return sheet(
        request,
        access,
        "drawings/sheet.html",
        SHEET,
        row=row,
        drawing=drawn,
        form=forms.BalloonForm(engine=access.engine, instance=Balloon(engine=access.engine))
        if access.may_decide
        else None,
        back=reverse("parts:engine", args=[engine]),
        papers=paper.PAPERS,
        **_around(access.engine, asked, picked, drawn),
    )


def _draw_own(row: Drawing, marks, asked: Asked, picture: str, picked=None, href=lambda _: ""):
    return own.draw(
        marks,
        picture,
        (row.picture.width, row.picture.height),
        title=f"{row.name}, {len(marks)} balloons",
        picked=picked,
        state=asked.state,
        href=href,
    )


def drawing_pdf(request, engine, pk):
    """A sheet of one's own on paper."""
    access = open_engine(request.user, engine)
    row, asked = _own(access, pk), Asked.of(request)

    def on_sheet():
        marks = queries.marks_of(row, asked.day)
        drawn = _draw_own(row, marks, asked, f"media:{row.picture.shown_path(1600)}")
        block = _title_block(request, access, asked)
        return paper.pdf(drawn, title=row.name, note=row.note, **block)

    return on_paper(request, on_sheet, row.get_absolute_url())


def drawing_new(request, engine):
    """Add a sheet of one's own."""
    access = open_engine(request.user, engine, Right.DECIDE)
    form = forms.SheetForm(
        request.POST or None,
        request.FILES or None,
        user=request.user,
        instance=Drawing(engine=access.engine),
        engine=access.engine,
    )
    if request.method == "POST":

        def keep(by):
            return actions.add_sheet(form.instance, form.cleaned_data["picture_file"], by=by)

        if row := send(request, form, keep, said="The sheet is saved. Set its balloons now."):
            return redirect(row.get_absolute_url())
    return form_page(
        request,
        access,
        form,
        title="Add a sheet",
        press="Save sheet",
        back=reverse("parts:engine", args=[engine]),
        sheet_no=SHEET,
    )


def drawing_edit(request, engine, pk):
    """Change what a sheet is called."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _own(access, pk)
    return row_page(
        request,
        access,
        forms.SheetForm(request.POST or None, instance=row, engine=access.engine),
        title="Change this sheet",
        said="The sheet is changed.",
        back=row.get_absolute_url(),
        sheet_no=SHEET,
    )


def balloon_new(request, engine, pk):
    """Set a balloon on a sheet."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _own(access, pk)
    return _balloon_page(
        request,
        access,
        Balloon(engine=access.engine, drawing=row),
        title=f"Set a balloon on {row.name}",
        press="Save",
        said="The balloon is set.",
        write=actions.add_balloon,
    )


def _balloon_page(request, access, row: Balloon, **page):
    form = forms.BalloonForm(request.POST or None, instance=row, engine=access.engine)
    back = row.drawing.get_absolute_url()
    to = f"{back}#drawing"
    return row_page(request, access, form, back=back, to=to, sheet_no=SHEET, **page)


def _balloon(access, pk) -> Balloon:
    rows = Balloon.objects.select_related("drawing", "part", "component")
    return get_object_or_404(rows, pk=pk, engine=access.engine, drawing__removed_at__isnull=True)


def balloon_edit(request, engine, pk):
    """Move a balloon by numbers, or let it stand for something else."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _balloon(access, pk)
    return _balloon_page(
        request,
        access,
        row,
        title=f"Balloon {row.part or row.component}",
        said="The balloon is changed.",
        write=actions.change_balloon,
    )


@require_POST
def balloon_move(request, engine, pk):
    """Keep where the script moved a balloon to: x and y in parts of the sheet, 0 to 1.

    Answers 204 when it is kept, else leads to the sheet with a sentence why not.
    """
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _balloon(access, pk)
    try:
        place = {name: round(float(request.POST.get(name, "")), 5) for name in ("x", "y")}
        if not all(0 <= value <= 1 for value in place.values()):
            raise Refused("A balloon points at a place on the drawing.")
        seen = whole(request.POST.get("seen")) or row.version
        actions.change_balloon(row, place, seen=seen, by=request.user)
    except ValueError:
        messages.error(request, "The place could not be read: x and y go from 0 to 1.")
    except (Clash, Refused) as no:
        messages.error(request, str(no))
    else:
        return HttpResponse(status=204)
    return redirect(row.drawing.get_absolute_url())
