"""The progress curve: what is done, against the plan."""

from datetime import date

from parts.drafting.charts import s_curve
from parts.drafting.lettering import money
from parts.drafting.pen import Markup


def _months(first: date, last: date) -> list[date]:
    months, day = [], date(first.year, first.month, 1)
    while day <= last:
        if day >= first:
            months.append(day)
        day = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return months


def _marks(months: list[date], most: int = 6) -> list[tuple[float, str]]:
    """Return the labels of the time axis: as many months as fit, January and July first."""
    for month_numbers in ((1, 4, 7, 10), (1, 7), (1,)):
        marked = [m for m in months if m.month in month_numbers]
        if 2 <= len(marked) <= most:
            break
    else:
        marked = months[:: max(1, len(months) // most + 1)]
    return [(m.toordinal(), f"{m:%b %Y}") for m in marked]


def progress_curve(curve, width: float = 620, height: float = 250) -> Markup:
    """Draw a `queries.progress.Curve`."""
    done = [(day.toordinal(), value) for day, value in curve.done]
    planned = [(day.toordinal(), value) for day, value in curve.planned]
    days = [day for day, _ in (*curve.done, *curve.planned)]
    months = _months(min(days), max(days))
    if curve.what == "money":

        def write(value):
            return money(value, curve.unit, False)
    else:

        def write(value):
            return f"{value:,.0f}"

    description = f"{curve.title}. Done by {curve.done[-1][0]:%-d %B %Y}: {write(curve.now)}"
    if curve.planned_now is not None:
        description += f"; planned by then: {write(curve.planned_now)}"
    top = 0.0
    if curve.what == "pieces" and curve.whole:
        top = float(curve.whole) if curve.whole % 20 == 0 else 0.0
    return s_curve(
        planned,
        done,
        marks=_marks(months),
        small=[m.toordinal() for m in months],
        # The name of the plan is in the text beside: here it would run over the curves.
        planned_word="Planned",
        head=curve.title,
        top=top,
        write=write,
        width=width,
        height=height,
        title=f"{description}.",
    )
