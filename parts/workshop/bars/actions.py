"""Book bars into and out of the store; save, cut and withdraw cutting lists.

Rules that span rows are checked under a lock: the store never holds fewer than no bars, on any
day, and no two open cutting lists use the same bar or the same piece.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max, Q, Sum

from parts.engineering.bars.cutting_list import Cutting, Kind, SawnBar, in_plan, reserved_in
from parts.engineering.measures import write_length
from parts.money.actions import add_cost
from parts.money.models import CostAmount, CostItem
from parts.record.actions import entries, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis, Engine, Heading, Job, PieceEntry

from .models import Bar, BarMove, CutPlan

KEEP_MM = 100.0  # a shorter remnant is swarf; common practice, no source


def add_bar(bar: Bar, bars: int = 0, *, day: date, by, reason: str = "") -> Bar:
    """Add a bar; if it is in the store, book how many there are."""
    with writing(bar.engine_id):
        saving.add(bar, by=by)
        if bar.in_store and bars:
            book(bar, bars, day=day, by=by, reason=reason)
    return bar


def book(bar: Bar, bars: int, *, day: date, by, reason: str = "", plan=None) -> BarMove:
    """Book bars into the store, or out of it when negative. Raises Refused below none."""
    if not bars:
        raise Refused("How many bars? Give a number other than 0.")
    with writing(bar.engine_id):
        if not bar.in_store:
            raise Refused(f"{bar} is a length that can be bought, not a bar in the store.")
        move = BarMove(
            engine_id=bar.engine_id, bar=bar, bars=bars, day=day, reason=reason, cut_plan=plan
        )
        saving.add(move, by=by)
        _check_balance(bar, -bars)
    return move


def _check_balance(bar: Bar, taken: int) -> None:
    """Refuse if the store would hold fewer than no bars at the end of any day."""
    rows = BarMove.objects.filter(bar=bar).values("day").annotate(n=Sum("bars")).order_by("day")
    on_hand = 0
    for row in rows:
        on_hand += row["n"]
        if on_hand < 0:
            before = on_hand + taken
            raise Refused(
                f"Only {before} of {bar} {'lies' if before == 1 else 'lie'} in the store on "
                f"{row['day']:%-d %b %Y}; {taken} cannot be taken out. Nothing is booked."
            )


def _on_hand(bars) -> dict[int, int]:
    rows = BarMove.objects.filter(bar__in=bars).order_by().values_list("bar_id")
    return dict(rows.annotate(n=Sum("bars")))


@dataclass(frozen=True)
class BarCost:
    """The estimate for the bars to buy."""

    low: Decimal
    likely: Decimal
    high: Decimal
    note: str = ""


def save_cutting_list(
    engine: Engine,
    cutting: Cutting,
    *,
    kerf_mm: float,
    end_trim_mm: float,
    day: date,
    by,
    cost: BarCost | None = None,
    note: str = "",
) -> CutPlan:
    """Number and save a cutting list, and add the bars to buy to the costs once.

    Raises:
        Refused: nothing to saw, or another list has taken the same pieces or bars meanwhile.
    """
    if not cutting.pieces:
        raise Refused("There is nothing to saw: no open blank has a bar.")
    with writing(engine.pk):
        others = list(
            CutPlan.objects.filter(engine=engine, cut_on__isnull=True).values_list(
                "plan", flat=True
            )
        )
        _bars_are_free(engine, cutting, others)
        _pieces_are_open(engine, cutting, others)
        last = CutPlan.everything.filter(engine=engine).aggregate(n=Max("number"))["n"] or 0
        data = cutting.plain()
        if cost is not None and cost.likely:
            data["cost_item"] = _add_cost(engine, last + 1, cutting, cost, day, by).pk
        return saving.add(
            CutPlan(
                engine=engine,
                number=last + 1,
                drawn_on=day,
                kerf_mm=kerf_mm,
                end_trim_mm=end_trim_mm,
                plan=data,
                note=note,
            ),
            by=by,
        )


def _bars_are_free(engine: Engine, cutting: Cutting, others: list[dict]) -> None:
    needed = cutting.from_store
    rows = {bar.pk: bar for bar in Bar.objects.filter(engine=engine, pk__in=needed)}
    on_hand, reserved = _on_hand(needed), reserved_in(others)
    for pk, n in needed.items():
        free = on_hand.get(pk, 0) - reserved[pk]
        if pk not in rows or n > free:
            name = rows.get(pk, "a bar that was deleted")
            raise Refused(
                f"This list saws {n} of {name}, and {max(free, 0)} of them "
                f"{'is' if free == 1 else 'are'} free now. Look at the plan again."
            )


def _pieces_are_open(engine: Engine, cutting: Cutting, others: list[dict]) -> None:
    needed, on_lists = cutting.by_job, in_plan(others)
    not_removed = Q(entries__removed_at__isnull=True)
    rows = Job.objects.filter(engine=engine, pk__in=needed).select_related("part")
    rows = rows.annotate(
        decided=Sum(
            "entries__pieces",
            filter=not_removed & Q(entries__kind=PieceEntry.Kind.DECIDED),
            default=0,
        ),
        stock=Sum("entries__pieces", filter=not_removed & Q(entries__begins=True), default=0),
    )
    jobs = {row.pk: row for row in rows}
    for pk, n in needed.items():
        row = jobs.get(pk)
        left = row.decided - row.stock - on_lists[pk] if row else 0
        if n > left:
            raise Refused(
                f"This list saws {n} of {row.part if row else 'a job that was deleted'}, and "
                f"{max(left, 0)} {'is' if left == 1 else 'are'} still to saw. "
                "Look at the plan again."
            )


def _add_cost(engine, number, cutting, cost, day, by) -> CostItem:
    bars = cutting.bought
    names = {bar.pk: bar for bar in Bar.everything.filter(pk__in=bars)}
    what = ", ".join(f"{n} × {names[pk]}" for pk, n in bars.items())
    suppliers = {names[pk].supplier for pk in bars} - {""}
    item = CostItem(
        engine=engine,
        heading=Heading.MATERIAL,
        what=f"Bars for cutting list {number}: {what}"[:160],
        supplier=suppliers.pop() if len(suppliers) == 1 else "",
    )
    amount = CostAmount(
        day=day,
        basis=Basis.ESTIMATED,
        low=cost.low,
        likely=cost.likely,
        high=cost.high,
        note=cost.note[:200],
    )
    return add_cost(item, amount, by=by)


def cut(
    plan: CutPlan,
    *,
    day: date,
    by,
    seen: int,
    keep_mm: float = KEEP_MM,
    stages: bool = True,
) -> CutPlan:
    """Record that a cutting list was sawn: stock out, offcuts back, stages on, all or nothing.

    Bars bought for it are never booked into the store; only their offcuts are.

    Args:
        keep_mm: Remnants shorter than this are thrown away.
        stages: Move the jobs to "stock in".

    Raises:
        Refused: it is cut already, a bar is gone, or the jobs were changed meanwhile.
        Clash: the list itself was changed meanwhile.
    """
    with writing(plan.engine_id):
        row = CutPlan.everything.get(pk=plan.pk)
        if row.removed_at is not None:
            raise Refused(f"{row} was taken back meanwhile.")
        if row.cut_on is not None:
            raise Refused(f"{row} was cut on {row.cut_on:%-d %b %Y} already. Nothing is booked.")
        cutting = Cutting.read(row.plan)
        reason = f"Sawn by cutting list {row.number}"
        needed = cutting.from_store
        bars = {bar.pk: bar for bar in Bar.everything.filter(pk__in=needed)}
        for pk, n in needed.items():
            book(bars[pk], -n, day=day, by=by, reason=reason, plan=row)
        for kind, bar in cutting.offcuts(keep_mm):
            back = f"Left by cutting list {row.number}"
            book(_offcut(row, kind, bar, by=by), bar.bars, day=day, by=by, reason=back, plan=row)
        if stages:
            _stock_in(cutting, row, day=day, by=by)
        return saving.change(row, {"cut_on": day}, seen=seen, by=by)


def _offcut(plan: CutPlan, kind: Kind, bar: SawnBar, *, by) -> Bar:
    """Return the store row for offcuts of this length: an existing one, or a new one."""
    whole_mm = float(int(bar.left_mm))
    same = Bar.objects.filter(
        engine_id=plan.engine_id,
        in_store=True,
        offcut=True,
        material=kind.material,
        section=kind.section,
        across_mm__range=(kind.across_mm - 0.05, kind.across_mm + 0.05),
        length_mm__range=(whole_mm - 0.5, whole_mm + 0.5),
    ).first()
    if same is not None:
        return same
    source = Bar.everything.get(pk=bar.bar)
    unit = "mm" if source.length_unit in ("mm", "cm", "m") else "in"
    written = write_length(whole_mm, unit, 64)
    return saving.add(
        Bar(
            engine_id=plan.engine_id,
            material=kind.material,
            section=kind.section,
            across_written=source.across_written,
            across_unit=source.across_unit,
            across_mm=source.across_mm,
            length_written=written,
            length_unit=unit,
            length_mm=whole_mm,
            in_store=True,
            offcut=True,
            kept_at=source.kept_at,
        ),
        by=by,
    )


def _stock_in(cutting: Cutting, plan: CutPlan, *, day: date, by) -> None:
    reason = f"Sawn by cutting list {plan.number}"
    jobs = Job.objects.filter(pk__in=cutting.by_job).select_related("part")
    rows = {job.pk: job for job in jobs}
    for pk, n in cutting.by_job.items():
        if pk not in rows:
            raise Refused("A job of this list was deleted. Cut it without moving stages.")
        entries.reach(rows[pk], "stock_in", n, day=day, by=by, reason=reason)


def take_back(plan: CutPlan, *, by, reason: str) -> bool:
    """Withdraw a cutting list that is not cut: its bars and pieces are free again.

    Returns:
        Whether the estimate of its bars was deleted too. A cost that was quoted, ordered or
        paid meanwhile stays.

    Raises:
        Refused: it is cut or withdrawn already.
    """
    with writing(plan.engine_id):
        row = CutPlan.everything.get(pk=plan.pk)
        if row.cut_on is not None:
            raise Refused(f"{row} was cut on {row.cut_on:%-d %b %Y}: it cannot be taken back.")
        if row.removed_at is not None:
            raise Refused(f"{row} is taken back already.")
        saving.remove(row, by=by, reason=reason)
        item = CostItem.objects.filter(pk=row.plan.get("cost_item")).first()
        if item is None or item.amounts.exclude(basis=Basis.ESTIMATED).exists():
            return False
        saving.remove(item, by=by, reason=reason)
        return True
