"""Removing rows and bringing them back, with what each kind of row asks for first."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from ..models import (
    Balloon,
    Bar,
    BarBlank,
    Bearing,
    Body,
    BodySize,
    Component,
    ConditionNote,
    CostAmount,
    CostItem,
    CostPaper,
    DiaryEntry,
    Drawing,
    EngineSize,
    Fact,
    Fastener,
    Find,
    Freeing,
    Gear,
    HoursGiven,
    Lift,
    Making,
    Measurement,
    Option,
    Ownership,
    Part,
    PatternFace,
    Photo,
    PhotoPair,
    Plan,
    Quote,
    Repair,
    Tie,
)
from . import record
from .facts import unwrite
from .ledger import held
from .record import Refused

# Which rows can be removed by the one address for it, by the name they have there.
KINDS = {
    model._meta.model_name: model
    for model in (
        Quote,
        Fastener,
        Balloon,
        BarBlank,
        Bar,
        Bearing,
        Body,
        Component,
        ConditionNote,
        CostAmount,
        CostItem,
        CostPaper,
        DiaryEntry,
        Drawing,
        EngineSize,
        Fact,
        Find,
        Freeing,
        Gear,
        HoursGiven,
        Lift,
        Making,
        Measurement,
        Option,
        Ownership,
        Part,
        PatternFace,
        Photo,
        PhotoPair,
        Plan,
        Repair,
        Tie,
    )
}


def remove(row, *, by, reason: str) -> None:
    """Mark a row as removed. Raises Refused where something still rests on it."""
    if isinstance(row, Fact):
        unwrite(row, by=by, reason=reason)
        return
    with transaction.atomic():
        _no_pour_booked(row)
        _nothing_rests_on(row)
        record.remove(row, by=by, reason=reason)


def bring_back(row, *, by, reason: str = "") -> None:
    """Bring back a removed row. A fact comes back only if the ledger still holds."""
    if isinstance(row, Fact):
        with held(row.part, *([row.find] if row.find_id else [])):
            record.bring_back(row, by=by, reason=reason)
        return
    with transaction.atomic():
        _no_pour_booked(row)
        _its_place_is_free(row)
        record.bring_back(row, by=by, reason=reason)


def _its_place_is_free(row) -> None:
    """What it belongs to must be there, and nothing may have taken its number meanwhile."""
    for name in ("component", "part", "find", "item", "making", "drawing", "picture"):
        owner = getattr(row, name, None)
        if hasattr(owner, "removed_at") and owner.removed_at is not None:
            raise Refused(f"What it belongs to was removed too. Bring back “{owner}” first.")
    removed_at, row.removed_at = row.removed_at, None
    try:
        row.validate_constraints()
    except ValidationError as error:
        raise Refused(" ".join(error.messages)) from None
    finally:
        row.removed_at = removed_at


def _no_pour_booked(row) -> None:
    """What a pour booked comes and goes with the pour alone, or its sum would not hold."""
    item = row.item if isinstance(row, CostAmount) else row
    if isinstance(item, CostItem) and item.pour_id is not None:
        raise Refused(f"{item.pour} booked this cost. Change the costs of that pour, or undo it.")


def _nothing_rests_on(row) -> None:
    if isinstance(row, Component) and (
        Part.objects.filter(component=row).exists() or Component.objects.filter(parent=row).exists()
    ):
        raise Refused("This component still has parts. Move them to another component first.")
    if isinstance(row, Find) and Fact.objects.filter(find=row).exists():
        raise Refused("This find is identified as a part. Take that back first, then remove it.")
    if isinstance(row, Making) and Fact.objects.filter(making=row).exists():
        raise Refused(
            "This making has dated facts. Withdraw the decision, which keeps them, "
            "or remove the facts that were typed by mistake first."
        )
    if isinstance(row, Photo) and Drawing.objects.filter(picture=row).exists():
        raise Refused("A sheet with balloons is drawn on this picture. Remove the sheet first.")
    if isinstance(row, Bar) and row.moves.filter(removed_at__isnull=True).exists():
        raise Refused("Bars of this were booked. Book out what is left of them instead.")
    if isinstance(row, Part) and (
        Fact.objects.filter(part=row).exists() or CostItem.objects.filter(part=row).exists()
    ):
        raise Refused(
            "This part has finds, makings or costs. Leave it off instead, or remove those first."
        )
    if isinstance(row, Measurement) and _a_sheet_rests_on(row):
        raise Refused(
            "A shape, a pattern or a bearing of the part is reckoned from this measure. "
            "Give that another measure first."
        )


def _a_sheet_rests_on(row: Measurement) -> bool:
    sizes = ("journal", "shell", "length", "collar_diameter", "collar_thickness")
    of_bearing = Q()
    for name in sizes:
        of_bearing |= Q(**{name: row})
    return (
        BodySize.objects.filter(measurement=row, body__removed_at__isnull=True).exists()
        or PatternFace.objects.filter(measurement=row).exists()
        or Bearing.objects.filter(of_bearing).exists()
    )
