"""What can be done with the pieces of a part, and what helpers proposed."""

from dataclasses import dataclass

from django.db.models import Count, Sum

from parts.record.models import Part, PieceEntry

from ..models import Proposal

Kind = PieceEntry.Kind


@dataclass(frozen=True)
class Balance:
    """What the dated entries of a part leave: the room for each act.

    Args:
        on_hand: Identified, less what was lost again.
        placed: Standing on the engine.
        bad_off, bad_on: Past use, off the engine and on it.
        lost: Lost again.
        left_off: Decided to be left off.
        wanted: Pieces of the need that are not on hand.
    """

    on_hand: int
    placed: int
    bad_off: int
    bad_on: int
    lost: int
    left_off: int
    wanted: int
    quantity: int

    @property
    def room(self) -> dict[str, int]:
        """How many pieces each act could take today, by the name of the act."""
        return {
            "still": self.wanted,
            "place": self.on_hand - self.placed - self.bad_off,
            "take-down": self.placed,
            "lose": self.on_hand - self.placed,
            "come-back": self.lost,
            "beyond-repair": self.on_hand - self.bad_off - self.bad_on,
            "fit-again": self.bad_off + self.bad_on,
            "leave-off": self.quantity - self.left_off,
            "want-again": self.left_off,
        }


def balance_of(part: Part) -> Balance:
    """The room for each act on the pieces of a part. One query."""
    told = dict(
        PieceEntry.objects.filter(part=part)
        .order_by()
        .values_list("kind")
        .annotate(n=Sum("pieces"))
    )

    def n(kind: str) -> int:
        return told.get(kind, 0)

    on_hand = n(Kind.IDENTIFIED) - n(Kind.LOST)
    return Balance(
        on_hand=on_hand,
        placed=n(Kind.PLACED),
        bad_off=n(Kind.BEYOND_REPAIR),
        bad_on=n(Kind.BEYOND_REPAIR_PLACED),
        lost=n(Kind.LOST),
        left_off=n(Kind.LEFT_OFF),
        wanted=max(part.quantity - n(Kind.LEFT_OFF) - on_hand - n(Kind.FITTED), 0),
        quantity=part.quantity,
    )


@dataclass(frozen=True)
class StillLine:
    """A part of a component with pieces that are not accounted for."""

    part: Part
    missing: int


def not_accounted_for(engine, component_ids) -> list[StillLine]:
    """Parts of components with missing pieces, which may still be on the engine. One query."""
    rows = (
        Part.objects.filter(engine=engine, component__in=component_ids)
        .values("pk", "quantity")
        .status()
        .with_pieces("missing")
        .values_list("pk", "missing")
    )
    missing = dict(rows)
    parts = Part.objects.filter(pk__in=missing).select_related("component").order_by("item")
    return [StillLine(part, missing[part.pk]) for part in parts]


def proposals_of(engine, answer: str = ""):
    """Proposals of an engine, newest first."""
    rows = Proposal.objects.filter(engine=engine).select_related("part", "made_by")
    return rows.filter(answer=answer) if answer else rows


def open_proposals(engine) -> int:
    rows = Proposal.objects.filter(engine=engine, answer=Proposal.Answer.OPEN)
    return rows.aggregate(n=Count("pk"))["n"]
