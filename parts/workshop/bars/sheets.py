"""The cutting list for the saw on paper, and drawings of the bars of a plan."""

from __future__ import annotations

from dataclasses import dataclass

from parts.drafting import paper
from parts.drafting.bars import Piece, bar_drawing
from parts.drafting.pen import Markup
from parts.drafting.table_csv import file_name
from parts.engineering.bars.cutting import CAUTIONS
from parts.engineering.bars.cutting_list import Cutting, Kind, SawnBar
from parts.engineering.measures import Units, write_length


@dataclass(frozen=True)
class DrawnBar:
    """A bar of a cutting list with its drawing, and its pieces in words."""

    bar: SawnBar
    drawing: Markup
    left: str
    rows: list[tuple[str, str, int, str]]


@dataclass(frozen=True)
class DrawnKind:
    """The bars of one material and section, drawn to one scale."""

    kind: Kind
    bars: list[DrawnBar]
    boxes: list[tuple[str, str, int, range]]


def drawings_of(
    cutting: Cutting, units: Units, *, kerf_mm: float, trim_mm: float, width: float = 720
) -> list[DrawnKind]:
    """Return drawings of every bar of a plan, to the scale of the longest of its kind."""
    return [
        DrawnKind(
            kind,
            [
                _draw_bar(bar, kind.longest_mm, units, kerf_mm, trim_mm, width)
                for bar in kind.bars
            ],
            _boxes(kind, units),
        )
        for kind in cutting.kinds
    ]  # fmt: skip


def saw_length(mm: float, units: Units) -> str:
    """Return a length as marked out for the saw: to a tenth of a millimetre, or in inches."""
    return write_length(round(mm, 1) if units.length == "mm" else mm, units.length, 64)


def _draw_bar(bar: SawnBar, longest, units, kerf, trim, width) -> DrawnBar:
    def write(mm: float) -> str:
        return saw_length(mm, units)

    rows = [
        (f"{cut.item} {cut.name}", write(cut.length_mm), count, _places(places))
        for cut, count, places in bar.rows
    ]
    pieces = "; ".join(f"{count} of {name}, {length}" for name, length, count, _ in rows)
    return DrawnBar(
        bar,
        bar_drawing(
            bar.length_mm,
            [Piece(str(cut.item), cut.length_mm, cut.from_mm) for cut in bar.cuts],
            bar.left_mm,
            kerf_mm=kerf,
            trim_mm=trim,
            longest_mm=longest,
            write=write,
            width=width,
            title=f"{bar.name}: {pieces}; {write(bar.left_mm)} left",
        ),
        write(bar.left_mm),
        rows,
    )


def _places(places: list[int]) -> str:
    if len(places) == 1:
        return str(places[0])
    return f"{places[0]} to {places[-1]}"


def _boxes(kind: Kind, units: Units) -> list[tuple[str, str, int, range]]:
    """Return the pieces of each part over all bars, with up to forty boxes to tick."""
    counts: dict[tuple[str, float], int] = {}
    for bar in kind.bars:
        for cut in bar.cuts:
            key = (f"{cut.item} {cut.name}", cut.length_mm)
            counts[key] = counts.get(key, 0) + bar.bars
    return [(name, saw_length(mm, units), n, range(min(n, 40))) for (name, mm), n in counts.items()]


def saw_pdf(
    cutting: Cutting, row, *, engine_name: str, units: Units, drawn_up: str, paper_size: str = "A4"
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of a cutting list for the saw, `row` as it is kept."""
    title = f"Cutting list {row.number}"
    kerf_mm, trim_mm = row.kerf_mm, row.end_trim_mm
    content = paper.write_pdf(
        "workshop/bars/paper.html",
        {
            "title": title,
            "engine_name": engine_name,
            "drawn_up": drawn_up,
            "date": f"{row.drawn_on:%-d %b %Y}",
            "taken": f"{row.drawn_on:%-d %b %Y}",
            "paper": paper_size,
            "kinds": drawings_of(cutting, units, kerf_mm=kerf_mm, trim_mm=trim_mm, width=620),
            "cutting": cutting,
            "kerf": saw_length(kerf_mm, units),
            "trim": saw_length(trim_mm, units) if trim_mm else "",
            "cautions": CAUTIONS,
            "words": row.note,
            "units": units,
        },
    )
    return file_name(engine_name, title, suffix="pdf"), "application/pdf", content
