"""What happens to the pieces of a part, and what helpers propose about them."""

from collections.abc import Callable
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.record.access import Access, Right, open_engine
from parts.record.actions import entries
from parts.record.actions.saving import Clash
from parts.record.models import Component, Part
from parts.record.views.common import act, back_to, form_page, page_of, row_page, sheet, today

from ..actions import parts, proposals
from ..forms.parts import AnswerForm, PiecesForm, ProposalForm, StillForm
from ..models import Proposal
from ..queries import pieces as queries
from ..queries.parts import Tree


@dataclass(frozen=True)
class Act:
    """Something that can happen to pieces of a part.

    Args:
        title: What it is called, and the words of its button.
        right: Who may say so.
        verb: The action that writes it.
        said: What is said when it is done.
        why: An example of a reason.
        why_needed: It cannot be said without a reason.
        asks_place: It asks whether the pieces stand on the engine.
        danger: The button is a red one.
    """

    title: str
    right: Right
    verb: Callable
    said: str
    why: str = "Seen by two of us."
    why_needed: bool = False
    asks_place: bool = False
    danger: bool = False


def _still(part, pieces, *, day, by, reason=""):
    return entries.still_on_engine(part, pieces, day=day, by=by)


# By their names in the address.
ACTS = {
    "still": Act("Still on the engine", Right.IDENTIFY, _still, "Counted as in place."),
    "place": Act(
        "Mark as in place", Right.IDENTIFY, entries.place, "It stands on the engine.",
        "Bolted up to the bed again.",
    ),
    "take-down": Act(
        "Take it down", Right.IDENTIFY, entries.take_down, "It is off the engine.",
        "Taken down to be measured.",
    ),
    "lose": Act(
        "Mislaid", Right.IDENTIFY, entries.lose, "Counted as mislaid.",
        "Gone from the shed, told to the police.", why_needed=True, danger=True,
    ),
    "come-back": Act(
        "It has come back", Right.IDENTIFY, entries.find_again, "It is on hand again.",
        "Brought back by a neighbour.",
    ),
    "beyond-repair": Act(
        "Beyond repair", Right.DECIDE, entries.condemn, "The verdict is saved.",
        "Wasted to half its section at the neck.", why_needed=True, asks_place=True, danger=True,
    ),
    "fit-again": Act(
        "Withdraw beyond repair", Right.DECIDE, entries.reprieve, "The verdict is withdrawn.",
        "Tested by dye and by ringing: sound.", why_needed=True, asks_place=True,
    ),
    "leave-off": Act(
        "Leave it off", Right.DECIDE, entries.leave_off, "It will not be replaced.",
        "Added later, and not part of what is restored.", why_needed=True, danger=True,
    ),
    "want-again": Act(
        "Want it again", Right.DECIDE, entries.want_again, "It is wanted again.",
        "A drawing of it has turned up.", why_needed=True,
    ),
}  # fmt: skip


def acts_open(access: Access, balance: queries.Balance) -> list[tuple[str, str]]:
    """The acts that a person may do and that the record leaves room for: name and words."""
    room = balance.room
    return [
        (name, known.title)
        for name, known in ACTS.items()
        if room[name] > 0 and access.may(known.right)
    ]


def part_act(request, engine, pk, verb):
    """Say what happened to pieces of a part."""
    if verb not in ACTS:
        raise Http404("There is no such act.")
    known = ACTS[verb]
    access = open_engine(request.user, engine, known.right)
    row = get_object_or_404(Part, pk=pk, engine=access.engine)
    balance = queries.balance_of(row)
    room = max(balance.room[verb], 0)
    form = PiecesForm(
        request.POST or None,
        initial={"pieces": 1, "day": today(), "on_engine": _stands(verb, balance)},
        why=known.why,
        why_needed=known.why_needed,
        asks_place=known.asks_place,
        room=room,
    )
    if request.method == "POST" and form.is_valid():
        said = f"{row}: {known.said}"
        if act(request, known.verb, row, form=form, said=said, **form.cleaned_data):
            return back_to(row)
    return form_page(
        request,
        access,
        form,
        title=f"{known.title}: {row}",
        press=known.title,
        back=row.get_absolute_url(),
        danger=known.danger,
    )


def _stands(verb: str, balance: queries.Balance) -> bool:
    """Whether the pieces of an act most likely stand on the engine."""
    if verb == "fit-again":
        return balance.bad_on > 0 and balance.bad_off == 0
    return balance.placed > 0 and balance.on_hand == balance.placed


def component_still(request, engine, pk):
    """Say in one go which parts of a component are still on the engine."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = get_object_or_404(Component, pk=pk, engine=access.engine)
    tree = Tree(Component.objects.filter(engine=access.engine))
    lines = queries.parts_with_missing(access.engine, tree.within(row.pk))
    form = StillForm(request.POST or None, lines=lines, initial={"day": today()})
    if request.method == "POST" and form.is_valid():
        said = "They are counted as in place."
        day = form.cleaned_data["day"]
        if act(request, parts.still_on_engine, form.pieces, day=day, form=form, said=said):
            return back_to(row)
    return sheet(
        request,
        access,
        "engine/still.html",
        2,
        form=form,
        component=row,
        back=row.get_absolute_url(),
    )


def part_propose(request, engine, pk):
    """Propose to the leads that something be decided or put right."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = get_object_or_404(Part, pk=pk, engine=access.engine)
    new = Proposal(engine=access.engine, part=row, matter=request.GET.get("matter", ""))
    return row_page(
        request,
        access,
        ProposalForm(request.POST or None, instance=new, engine=access.engine),
        title=f"Propose: {row}",
        press="Put it to the leads",
        said="It is put before the leads.",
        write=proposals.propose,
        back=row.get_absolute_url(),
    )


def proposal_list(request, engine):
    """What was proposed; the open ones first."""
    access = open_engine(request.user, engine)
    rows = queries.proposals_of(access.engine)
    return sheet(
        request,
        access,
        "engine/proposals.html",
        2,
        waiting=rows.filter(answer=Proposal.Answer.OPEN),
        page=page_of(request, rows.exclude(answer=Proposal.Answer.OPEN)),
    )


def proposal_answer(request, engine, pk):
    """A lead accepts a proposal, which does it, or declines it with words."""
    access = open_engine(request.user, engine, Right.DECIDE)
    rows = Proposal.objects.select_related("part", "made_by")
    row = get_object_or_404(rows, pk=pk, engine=access.engine)
    if row.answer != Proposal.Answer.OPEN:
        messages.error(request, "This was answered already.")
        return redirect("parts:proposals", engine)
    form = AnswerForm(
        request.POST or None, proposal=row, initial={"day": today(), "seen": row.version}
    )
    if request.method == "POST" and form.is_valid() and _answer(request, form, row):
        return back_to(row.part)
    return sheet(
        request,
        access,
        "engine/proposal.html",
        2,
        form=form,
        proposal=row,
        back=reverse("parts:proposals", args=[engine]),
    )


def _answer(request, form, row):
    data = dict(form.cleaned_data)
    verb = proposals.accept if data.pop("answer") == "accepted" else proposals.decline
    if verb is proposals.decline:
        data = {"words": data["words"], "seen": data["seen"]}
    try:
        return act(request, verb, row, form=form, said="The proposal is answered.", **data)
    except Clash:
        form.add_error(None, "Someone else answered this while you were reading. Look again.")
        return None
