"""The fastener schedule as a table, and the order sheet of a supplier on paper."""

from parts.drafting import paper
from parts.drafting.table_csv import TYPE, file_name, table
from parts.engineering.constants import KG_PER_LB

from .queries.lines import ScheduleLine
from .queries.orders import OrderSheet
from .queries.schedule import Schedule

HEAD = (
    "thread",
    "certain",
    "kind",
    "head",
    "length mm",
    "material",
    "item",
    "part",
    "component",
    "quantity",
    "missing",
    "beyond repair",
    "to be made",
    "spares still to get",
    "to get",
    "to decide",
    "decided",
    "mass each kg",
    "mass of those to get kg",
    "mass of those to get lb",
    "mass known from",
    "make: setting up",
    "make: time for one",
    "make: bar for one",
    "make: all",
    "buy: supplier",
    "buy: day of the quote",
    "buy: each",
    "buy: carriage",
    "buy: least order",
    "buy: all",
    "cheaper",
    "turns at",
    "currency",
)


def schedule_csv(schedule: Schedule, engine_name: str) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the schedule: a row for each fastener."""
    rows = (_row(line, schedule.currency) for line in schedule.lines)
    return file_name(engine_name, "fastener schedule", schedule.day), TYPE, table(HEAD, rows)


def _row(line: ScheduleLine, currency: str) -> tuple:
    make, quote, lot = line.make, line.quote, line.mass_lot_kg
    return (
        line.thread_name,
        line.sure if line.thread_name else None,
        line.spec.kind_word if line.fastener_id else None,
        line.spec.head_word if line.fastener_id else None,
        line.spec.length_mm,
        line.material_word,
        line.item,
        line.name,
        line.component,
        line.quantity,
        line.counts.missing,
        line.counts.beyond_repair,
        line.counts.to_be_made,
        line.spares_short,
        line.to_get,
        line.to_decide,
        line.routes,
        line.mass_kg,
        lot,
        None if lot is None else lot / float(KG_PER_LB),
        line.mass_from,
        make.setting if make else None,
        make.each if make else None,
        make.bar if make else None,
        line.make_cost,
        quote.supplier if quote else None,
        quote.day if quote else None,
        quote.each if quote else None,
        quote.carriage if quote else None,
        quote.least if quote else None,
        line.buy_cost,
        line.cheaper,
        line.turn,
        currency,
    )


def order_pdf(
    order: OrderSheet, *, engine_name: str, units, drawn_up: str, paper_size: str = "A4"
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of an order sheet. Money as it was quoted."""
    title = f"Order sheet: {order.supplier or 'no price yet'}"
    content = paper.write_pdf(
        "workshop/fasteners/order_paper.html",
        {
            "title": title,
            "engine_name": engine_name,
            "drawn_up": drawn_up,
            "date": f"{order.day:%-d %b %Y}",
            "taken": f"{order.day:%-d %b %Y}",
            "order": order,
            "units": units,
            "paper": paper_size,
        },
    )
    return file_name(engine_name, title, order.day, suffix="pdf"), "application/pdf", content
