"""Metal, pours, bars and lifts, and the formulas on their sheets."""

import math
import re
from collections import Counter
from decimal import Decimal

from .page import folded, number, pk_of, rows_of, whole
from .rows import LB, NOTHING


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
        a.same(page, "castings", page.facts()["Castings"], told)
        a.near(
            page,
            "to pour",
            page.facts()["To pour"],
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


def _put_in(figures):
    """What a formula with its numbers put in comes to, and what it says; None if not plain."""
    said = re.match(r"([^=a-zA-Zπ√]*(?:(?:sin|cos|tan|√|π)[^=a-zA-Zπ√]*)*)= ?([\d.,]+)", figures)
    if not said:
        return None
    sum_of = re.sub(r"(sin|cos|tan) ([\d.]+)°", r"\1(radians(\2))", said[1])
    sum_of = re.sub(r"√ ?([\d.]+)", r"sqrt(\1)", sum_of).replace("√", "sqrt")
    for sign, plain in _SIGNS.items():
        sum_of = sum_of.replace(sign, plain)
    try:
        value = eval(sum_of, {"__builtins__": {}}, _KNOWN)  # noqa: S307, our own page
    except (SyntaxError, TypeError):
        return None
    return value, said[2].rstrip(".").replace(",", "")


def formulas(a):
    """The numbers put into a formula come to the answer that stands beside them."""
    raw = a.raw
    fasteners = [pk for pk in a.some(raw.parts) if raw.parts[pk]["fastener"]]
    pages = [a.get(name) for name in ("figures", "pours", "bar_plan")]
    pages += [a.get("pour", pk) for pk in raw.pours]
    pages += [a.get("lift", pk, working=n) for pk in raw.lifts for n in range(4)]
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
