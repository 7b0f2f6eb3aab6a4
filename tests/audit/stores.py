"""Metal, pours, bars and lifts, and the formulas on their sheets."""

import math
import re
from collections import Counter
from decimal import Decimal

from tests.audit.page import folded, number, pk_of, rows_of, whole
from tests.audit.rows import LB, NOTHING


def _worth(raw, lot):
    return (max(raw.metal(lot)["on hand"], NOTHING) * raw.lots[lot]["value_per_kg"]).quantize(
        Decimal("0.01")
    )


def metal(a):
    raw, seen = a.raw, set()
    for page in a.pages_of("metal", used=1):
        for table in page.tables("Lot", "On hand", "Worth"):
            for row in table.rows:
                pk = pk_of(row["href"])
                seen.add(pk)
                a.near(
                    page, f"{row['Lot']}, on hand", row["On hand"] or "0", raw.metal(pk)["on hand"]
                )
                a.near(
                    page,
                    f"{row['Lot']}, set aside",
                    row["Set aside"] or "0",
                    raw.metal(pk)["aside"],
                )
                a.same(
                    page, f"{row['Lot']}, worth", number(row["Worth"]) or NOTHING, _worth(raw, pk)
                )
            a.near(
                page,
                "on hand in all",
                table.foot["On hand"],
                sum(raw.metal(pk)["on hand"] for pk in raw.lots),
            )
            a.near(
                page,
                "set aside in all",
                table.foot["Set aside"] or "0",
                sum(raw.metal(pk)["aside"] for pk in raw.lots),
            )
            a.same(
                page,
                "worth in all",
                number(table.foot["Worth"]),
                sum(_worth(raw, pk) for pk in raw.lots),
            )
    a.same("metal", "lots", seen, set(raw.lots))
    by_name = {raw.lots[pk]["name"]: pk for pk in raw.lots}
    for row in a.table_of("metal_csv"):
        told = raw.metal(by_name[row["lot"]])
        shown = [
            Decimal(row[h]) for h in ("in kg", "out kg", "on hand kg", "set aside kg", "on hand lb")
        ]
        rows = [told["in"], told["out"], told["on hand"], told["aside"], told["on hand"] / LB]
        a.same("metal.csv", row["lot"], [round(n, 3) for n in shown], [round(n, 3) for n in rows])
        a.same(
            "metal.csv",
            f"{row['lot']}, worth",
            Decimal(row["worth"]),
            _worth(raw, by_name[row["lot"]]),
        )
    for pk in raw.lots:
        page, left = a.get("lot", pk), NOTHING
        found = re.search(r"On hand\s*([\d.,]+ \w+)", page.text)
        a.near(page, "on hand", found[1], raw.metal(pk)["on hand"])
        moves = sorted(
            (m for m in raw.moves if m["lot_id"] == pk and not m["planned"]),
            key=lambda m: (m["day"], m["id"]),
        )
        tables = [row for table in page.tables("Day", "In", "Out", "Left") for row in table.rows]
        for row, move, line in zip(tables[::-1], moves, a.table_of("lot_csv", pk), strict=True):
            left += Decimal(repr(move["kg"]))
            a.near(page, f"left after {move['day']}", row["Left"] or "0", left)
            a.same("lot.csv", "left", Decimal(line["left kg"]), round(left, 3).normalize())


def pours(a):
    raw = a.raw
    for page in a.pages_of("pours"):
        for row in rows_of(page, "Pour", "Metal", "Castings", "Good"):
            pk = pk_of(row["href"])
            own = [c for c in raw.castings if c["pour_id"] == pk]
            pieces, good = sum(c["pieces"] for c in own), sum(c["good"] or 0 for c in own)
            a.same(page, row["Pour"], whole(row["Castings"]), pieces)
            if raw.pours[pk]["poured_on"]:
                shown = [int(n) for n in re.findall(r"\d+", row["Good"])]
                a.same(
                    page,
                    f"{row['Pour']}, good",
                    shown,
                    [good, pieces - good] if pieces > good else [good],
                )
    for pk, row in raw.pours.items():
        page = a.get("pour", pk)
        own = [c for c in raw.castings if c["pour_id"] == pk]
        pieces, good = sum(c["pieces"] for c in own), sum(c["good"] or 0 for c in own)
        told = f"{good} good of {pieces}" if row["poured_on"] else str(pieces)
        a.same(page, "castings", page.entries()["Castings"], told)
        a.near(
            page,
            "to pour",
            page.entries()["To pour"],
            sum(c["pieces"] * Decimal(repr(c["poured_kg"])) for c in own),
        )
        moves = [m for m in raw.moves if m["pour_id"] == pk]
        out = [m for m in moves if m["kg"] < 0 and m["planned"] == (row["poured_on"] is None)]
        for table in page.tables("Lot", "Kind"):
            if out:
                a.near(
                    page,
                    "in all",
                    table.foot[table.heads[2]],
                    -sum(Decimal(repr(m["kg"])) for m in out),
                )


def bars(a):
    raw = a.raw
    here = Counter()
    for move in raw.bar_moves:
        here[move["bar_id"]] += move["bars"]
    for page in a.pages_of("bars"):
        for table in page.tables("Bar", "Here", "Free"):
            shown = Counter((row["Length"], whole(row["Here"])) for row in table.rows)
            rows = [
                (b["length_written"], here[pk], b["offcut"])
                for pk, b in raw.bars.items()
                if b["in_store"]
            ]
            a.same(
                page,
                "bars here",
                Counter(n for _, n in shown.elements()),
                Counter(n for _, n, offcut in rows if n or not offcut),
            )


def lifts(a):
    """The mass on the hook is what its own rows come to, to the figures they are shown with."""
    for pk, lift in a.raw.lifts.items():
        page = a.get("lift", pk, units="metric")
        tables = list(page.tables("Part", "No.", "All, at most"))
        total = page.figure(r"Mass on the hook(?:, at most)?\s*([\d.,]+) kg")
        if not tables or total is None:
            continue
        parts = [number(row["All, at most"]) for row in tables[0].rows]
        rough = sum(Decimal(10) ** (n.adjusted() - 3) for n in [*parts, total]) / 2
        a.same(
            page,
            "mass on the hook",
            abs(sum(parts) + Decimal(repr(lift["extra_kg"] or 0)) - total) <= rough,
            True,
        )


_SIGNS = {"×": "*", "÷": "/", "−": "-", "²": "**2", "³": "**3", "π": "pi", ",": "", "^": "**"}
_KNOWN = {name: getattr(math, name) for name in ("sin", "cos", "tan", "radians", "sqrt", "pi")}


# One of each unit in metres, kilograms and seconds; a turn is a turn.
_INCH, _POUND, _FORCE = 0.0254, 0.45359237, 4.4482216152605
_UNITS = {
    "mm": 1e-3, "mm²": 1e-6, "cm³": 1e-6, "m": 1.0, "m²": 1.0, "l": 1e-3, "kg": 1.0, "kPa": 1e3,
    "MPa": 1e6, "kW": 1e3, "N": 1.0, "N·m": 1.0, "J": 1.0, "kJ": 1e3, "m/s": 1.0, "kg/m³": 1.0,
    "kg·m²": 1.0, "kPa·m/s": 1e3, "rpm": 1 / 60, "min": 60.0, "%": 0.01,
    "in": _INCH, "in²": _INCH**2, "in³": _INCH**3, "ft": 12 * _INCH, "lb": _POUND, "lbf": _FORCE,
    "psi": _FORCE / _INCH**2, "hp": 550 * _FORCE * 12 * _INCH, "lb·ft": _FORCE * 12 * _INCH,
    "ft·lbf": _FORCE * 12 * _INCH, "ft/min": _INCH / 5, "lb/in³": _POUND / _INCH**3,
    "lb·ft²": _POUND * (12 * _INCH) ** 2, "psi·ft/min": _FORCE / _INCH**2 * _INCH / 5,
    "imp. gal": 4.54609e-3, "US gal": 3.785411784e-3,
}  # fmt: skip
_QUANTITY = re.compile(
    r"(?:(\d+) )?(\d+/\d+|\d[\d.]*)(?: ("
    + "|".join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True))
    + r")(?![\w·/²³°]))?"
)


def _plain_number(found):
    whole_, part, unit = found.groups()
    top, _, foot = part.rstrip(".").partition("/")
    value = int(whole_ or 0) + float(top) / float(foot or 1)
    return value, _UNITS.get(unit, 1.0)


def _put_in(figures):
    """What a formula with its numbers put in comes to, and what it says; None if not plain.

    Quantities are taken with their units, so that the sum holds whatever they are written in.
    """
    left, equals, right = figures.replace(",", "").partition(" = ")
    said = _QUANTITY.match(right)
    if not equals or not said:
        return None

    def plain(found):
        value, one = _plain_number(found)
        return f"({value * one!r})"

    sum_of = re.sub(r"(sin|cos|tan) ([\d.]+)°", r"\1(radians(\2))", left.replace("2π", "2 × π"))
    sum_of = _QUANTITY.sub(plain, sum_of).replace("½", "0.5")
    sum_of = sum_of.replace("√ ", "√").replace("√", "sqrt")
    for sign, other in _SIGNS.items():
        sum_of = sum_of.replace(sign, other)
    try:
        value = eval(sum_of, {"__builtins__": {}}, _KNOWN)  # noqa: S307, our own page
    except (SyntaxError, TypeError, NameError):
        return None
    number_, one = _plain_number(said)
    return value / one, str(number_) if said[1] or "/" in said[2] else said[2].rstrip(".")


def formulas(a):
    """The numbers put into a formula come to the answer that stands beside them."""
    raw = a.raw
    fasteners = [pk for pk in a.some(raw.parts) if raw.parts[pk]["fastener"]]
    pages = [a.get(name) for name in ("figures", "pours", "bar_plan")]
    pages += [a.get("pour", pk) for pk in raw.pours]
    pages += [a.get("lift", pk, calculation=n) for pk in raw.lifts for n in range(4)]
    for name in ("bodies", "pattern", "bearing"):
        pages += [a.get(name, pk) for pk in a.some(raw.parts)[::4]]
    pages += [a.get("fastener", pk) for pk in fasteners]
    for page in pages:
        for div in page.root.iter("div"):
            if div.get("class") != "formula" or not (found := _put_in(folded(div[-1]))):
                continue
            value, said = found
            places = len(said.partition(".")[2])
            # Whole numbers of more than four figures are written to four.
            step = 10.0 ** (-places if places else max(0, len(said) - 4))
            a.same(page, folded(div[-1]), abs(value - float(said)) <= 0.5001 * step, True)
