"""The changes of status possible for the pieces of a part, and proposals of helpers."""

from dataclasses import dataclass

from django.db.models import Count, Sum

from parts.record.models import Part, PieceEntry

from ..models import Proposal

Kind = PieceEntry.Kind


@dataclass(frozen=True)
class Balance:
    """The pieces of a part by the sums of its dated entries.

    Args:
        on_hand: Identified and not mislaid.
        placed: In place on the engine.
        bad_off, bad_on: Beyond repair, off the engine and on it.
        lost: Mislaid.
        left_off: Decided to be left off.
        wanted: Pieces needed that are not on hand.
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
        """The number of pieces that each act could change today, by the name of the act."""
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
    """Return the balance of a part. One query."""
    sums = dict(
        PieceEntry.objects.filter(part=part)
        .order_by()
        .values_list("kind")
        .annotate(n=Sum("pieces"))
    )

    def total(kind: str) -> int:
        return sums.get(kind, 0)

    on_hand = total(Kind.IDENTIFIED) - total(Kind.LOST)
    return Balance(
        on_hand=on_hand,
        placed=total(Kind.PLACED),
        bad_off=total(Kind.BEYOND_REPAIR),
        bad_on=total(Kind.BEYOND_REPAIR_PLACED),
        lost=total(Kind.LOST),
        left_off=total(Kind.LEFT_OFF),
        wanted=max(part.quantity - total(Kind.LEFT_OFF) - on_hand - total(Kind.FITTED), 0),
        quantity=part.quantity,
    )


@dataclass(frozen=True)
class MissingLine:
    """A part with missing pieces, which may still be on the engine."""

    part: Part
    missing: int


def parts_with_missing(engine, component_ids) -> list[MissingLine]:
    """Return parts of components with missing pieces. Two queries."""
    rows = (
        Part.objects.filter(engine=engine, component__in=component_ids)
        .values("pk", "quantity")
        .status()
        .with_pieces("missing")
        .values_list("pk", "missing")
    )
    missing = dict(rows)
    parts = Part.objects.filter(pk__in=missing).select_related("component").order_by("item")
    return [MissingLine(part, missing[part.pk]) for part in parts]


def proposals_of(engine, answer: str = ""):
    """Return proposals of an engine, newest first."""
    rows = Proposal.objects.filter(engine=engine).select_related("part", "made_by")
    return rows.filter(answer=answer) if answer else rows


def open_proposals(engine) -> int:
    """Return the number of proposals that wait for an answer. One query."""
    rows = Proposal.objects.filter(engine=engine, answer=Proposal.Answer.OPEN)
    return rows.aggregate(n=Count("pk"))["n"]
