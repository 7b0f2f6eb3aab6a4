"""The parts-to-make list as tables."""

from parts.drafting.table_csv import TYPE, file_name, table
from parts.engineering.constants import KG_PER_LB

from ..queries.lines import MakeLine, MakeList

HEAD = (
    "item",
    "part",
    "component",
    "state",
    "how",
    "stage",
    "next",
    "pieces",
    "decided",
    "fitted",
    "size",
    "metal",
    "mass each kg",
    "mass all kg",
    "mass all lb",
    "mass known from",
    "who",
    "wanted by",
    "cost low",
    "cost likely",
    "cost high",
    "spent",
    "currency",
    "why this way",
)
DECIDE_HEAD = (
    "item",
    "part",
    "component",
    "missing",
    "beyond repair",
    "size",
    "material",
    "usually",
    "fastener",
)


def make_csv(make_list: MakeList, engine_name: str) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the list: a row for each job still to be fitted."""
    rows = (_row(line, make_list.currency) for line in make_list.lines)
    return file_name(engine_name, "parts to make", make_list.day), TYPE, table(HEAD, rows)


def _row(line: MakeLine, currency: str) -> tuple:
    all_kg = line.mass_total_kg
    cost = line.cost.total if line.cost else None
    return (
        line.item,
        line.name,
        line.component,
        line.drawn.replace("_", " "),
        line.route_word,
        line.stage.text,
        line.stage.next_word,
        line.quantity,
        line.decided,
        line.fitted,
        line.size,
        line.metal_word,
        line.mass_kg,
        all_kg,
        None if all_kg is None else all_kg / float(KG_PER_LB),
        line.mass_from,
        line.who,
        line.wanted_by,
        cost.low if cost else None,
        cost.likely if cost else None,
        cost.high if cost else None,
        line.cost.spent if line.cost else None,
        currency if cost else None,
        line.reason,
    )


def to_decide_csv(make_list: MakeList, engine_name: str) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the parts still to decide."""
    rows = (
        (
            part.item,
            part.name,
            part.component,
            part.missing,
            part.beyond_repair,
            part.size,
            part.metal_word,
            part.route_word,
            part.fastener,
        )
        for part in make_list.to_decide
    )
    return file_name(engine_name, "still to decide", make_list.day), TYPE, table(DECIDE_HEAD, rows)
