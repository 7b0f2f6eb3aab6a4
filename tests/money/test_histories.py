"""Whatever happens to its costs, the tally is the sum of parts, jobs and the rest, once each."""

from collections import defaultdict
from contextlib import contextmanager
from datetime import timedelta
from decimal import Decimal as D

import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.money import actions as money_actions
from parts.money.models import CostAmount, CostItem
from parts.money.queries.costs import Sums, add_up, cost_lines
from parts.money.queries.tally import cost_tally, money_by_day
from parts.record.actions import removing
from parts.record.actions.saving import Refused
from parts.record.models import Heading
from parts.workshop.jobs.queries.job import costs_of_job
from parts.workshop.jobs.queries.jobs import parts_to_make
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import MetalLot
from parts.workshop.pours.actions import costs, pours
from parts.workshop.pours.actions.costs import BoughtItem
from parts.workshop.pours.actions.pours import Result, Weighed
from parts.workshop.pours.models import Pour, PourCasting
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY
RANK = {"estimated": 1, "quoted": 2, "ordered": 3}


class Shop:
    """An engine with three jobs of two parts, metal, and everything that can happen to its costs.

    Each act takes two numbers, of which it makes what it needs; what is refused has not happened.
    """

    def __init__(self):
        self.engine = make.engine()
        brass = make.part(self.engine, 90, material="bronze", mass_kg=1.0)
        gland = make.part(self.engine, 90, material="bronze", mass_kg=2.0)
        self.jobs = [make.job(part, "cast", 30) for part in (brass, brass, gland)]
        self.pot = make.crucible(self.engine, 200.0)
        self.bought = make.lot(self.engine, 400, value_per_kg=D("8.35"))
        self.given = make.lot(self.engine, 400, value_per_kg=D(0))
        self.clock = 0

    def day(self):
        self.clock += 1
        return DAY + timedelta(days=self.clock)

    def pick(self, n: int, model=CostItem, **which):
        rows = list(model.objects.filter(**which).order_by("pk"))
        return rows[n % len(rows)] if rows else None

    def item(self, n: int) -> CostItem:
        of = [{}, {"part": self.jobs[0].part}, {"job": self.jobs[n % 3]}][n % 3]
        heading = Heading.values[n % len(Heading.values)]
        return CostItem(engine=self.engine, heading=heading, what=f"Cost {n}", **of)

    def amount(self, item, basis: str, pence: int, **more) -> CostAmount:
        likely = D(pence) / 100
        low, high = (likely, likely) if basis != "estimated" else (likely / 2, likely * 2)
        low = low.quantize(D("0.01"))
        return CostAmount(
            item=item, basis=basis, low=low, likely=likely, high=high, day=self.day(), **more
        )

    def estimate(self, n, pence):
        money_actions.add_cost(self.item(n), self.amount(None, "estimated", pence), by=None)

    def quote(self, n, pence):
        if item := self.pick(n, engine=self.engine):
            money_actions.add_amount(self.amount(item, "quoted", pence), by=None)

    def order(self, n, pence):
        if item := self.pick(n, engine=self.engine):
            money_actions.add_amount(self.amount(item, "ordered", pence), by=None)

    def pay(self, n, pence):
        if item := self.pick(n, engine=self.engine):
            money_actions.add_amount(self.amount(item, "paid", pence, settles=n % 4 == 0), by=None)

    def receipt(self, n, pence):
        items = {self.pick(n + i, engine=self.engine) for i in range(1 + n % 3)} - {None}
        lines = [money_actions.ReceiptLine(item, D(pence) / 100, n % 2 == 0) for item in items]
        lines.append(money_actions.ReceiptLine(self.item(n), D(n % 7000) / 100))
        money_actions.book_receipt(lines, day=self.day(), by=None)

    def pour(self, n, pence):
        castings = [(m, 1 + n % 2, 1.5) for m in self.jobs[: 1 + n % 3]]
        row = Pour(engine=self.engine, metal="C93200", crucible=self.pot)
        row = pours.plan(row, castings, by=None)
        results = {c.pk: Result(n % 2 * c.pieces, "misrun") for c in row.castings.all()}
        returns = MetalLot.objects.filter(engine=self.engine, name__startswith="Returns").first()
        used = {self.bought: Weighed(10.0 + n % 5)}
        if n % 3 == 0:
            used[self.given] = Weighed(3.0)
        if returns is not None and metal_actions.free_kg(returns) > 1:
            used[returns] = Weighed(1.0)
        out_of = self.pick(n, engine=self.engine, pour=None) if n % 2 else None
        fuel = [BoughtItem("Propane", D(pence) / 100, out_of)]
        back = Weighed(4.0) if n % 4 else None
        pours.record_result(row, {"poured_on": self.day()}, results, used, back, fuel, by=None)

    def book_again(self, n, pence):
        if row := self.pick(n, Pour, engine=self.engine, poured_on__isnull=False):
            costs.book(row, [BoughtItem("Coke", D(pence) / 100)], by=None)

    def undo_pour(self, n, _):
        if row := self.pick(n, Pour, engine=self.engine, poured_on__isnull=False):
            pours.undo(row, by=None, reason="the wrong pour")

    def bought_under(self, n, _):
        item = self.pick(n, engine=self.engine, pour=None) if n % 3 else None
        lot = MetalLot.objects.get(pk=self.bought.pk)
        metal_actions.change_lot(lot, {"bought_as": item}, seen=lot.version, by=None)

    def revalue(self, n, pence):
        lot = MetalLot.objects.get(pk=self.bought.pk)
        metal_actions.change_lot(
            lot, {"value_per_kg": D(pence % 900) / 100}, seen=lot.version, by=None
        )

    def delete(self, n, _):
        model = (CostItem, CostAmount)[n % 2]
        rows = list(model.objects.order_by("pk"))
        if rows:
            removing.remove(rows[n % len(rows)], by=None, reason="typed twice")

    def restore(self, n, _):
        model = (CostItem, CostAmount)[n % 2]
        rows = list(model.everything.filter(removed_at__isnull=False).order_by("pk"))
        if rows:
            removing.bring_back(rows[n % len(rows)], by=None)


ACTS = [name for name, act in vars(Shop).items() if callable(act) and not name.startswith("_")]
ACTS = sorted(set(ACTS) - {"day", "pick", "item", "amount"})
# Pours are what is new in most histories: some cost to be handed on is there before the first.
OFTEN = [*ACTS, "pour", "pour", "pour", "bought_under"]
HISTORIES = st.lists(
    st.tuples(st.sampled_from(OFTEN), st.integers(0, 5000), st.integers(1, 90_000)),
    min_size=5,
    max_size=15,
).map(lambda acts: [("estimate", 9, 12_000), ("pay", 1, 9000), ("bought_under", 1, 0), *acts])


@contextmanager
def rolled_back():
    """Each history begins on an empty record."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def live(history) -> Shop:
    shop = Shop()
    for name, n, pence in history:
        try:
            with transaction.atomic():
                getattr(shop, name)(n, pence)
        except Refused:
            pass
    return shop


def really_paid(engine) -> D:
    """Each bill once, read off the rows one by one: what was handed on from a bill is no bill."""
    total = D(0)
    for amount in CostAmount.objects.filter(item__engine=engine, item__removed_at=None):
        source = amount.out_of or (amount.lot.bought_as if amount.lot else None)
        if amount.basis == "paid" and (source is None or source.removed_at is not None):
            total += amount.likely
    return total


def expected_to_come(item) -> tuple[D, D, D]:
    rows = list(item.amounts.all())
    firm = [a for a in rows if a.basis != "paid"]
    if not firm or any(a.settles for a in rows):
        return D(0), D(0), D(0)
    top = max(firm, key=lambda a: (RANK[a.basis], a.day, a.pk))
    paid = sum((a.likely for a in rows if a.basis == "paid"), D(0))
    return tuple(max(end - paid, D(0)) for end in (top.low, top.likely, top.high))


def check(engine):
    tally = cost_tally(engine)
    lines = {line.pk: line for line in tally.lines}
    # What is spent is what was really paid, however it was handed on.
    assert tally.sums.spent == really_paid(engine)
    by_day = money_by_day(engine)
    assert (by_day[-1][1] if by_day else 0) == tally.sums.spent
    assert (tally.by_month[-1].so_far if tally.by_month else 0) == tally.sums.spent
    # What is to come is each cost's own, once.
    for item in CostItem.objects.filter(engine=engine):
        r = lines[item.pk].to_come
        assert (r.low, r.likely, r.high) == expected_to_come(item)
    # Headings, components, and parts with what is of no part, each sum to the whole.
    for rows in (tally.by_heading, tally.by_component):
        assert add_up(row.sums for row in rows) == tally.sums
    of_part = defaultdict(list)
    for line in tally.lines:
        of_part[line.part_id].append(line.sums)
    assert add_up(add_up(sums) for sums in of_part.values()) == tally.sums
    # Jobs: each its own, and what is of its part alone with the first.
    jobs = {line.job_id: line.cost or Sums() for line in parts_to_make(engine).lines}
    named = add_up(sums for key, all_of in of_part.items() if key for sums in all_of)
    assert add_up(jobs.values()) == named
    # What a pour booked is the charge less returns, and fuel; one that was undone booked nothing.
    for pour in Pour.objects.filter(engine=engine):
        booked = [line for line in tally.lines if line.pour_id == pour.pk]
        assert bool(booked) == (pour.poured_on is not None)
        jobs = PourCasting.objects.filter(pour=pour).values_list("job_id", flat=True)
        assert {line.job_id for line in booked} <= set(jobs)


@settings(max_examples=6, deadline=None)
@given(HISTORIES)
def test_the_tally_is_the_sum_of_its_parts_after_any_history(history):
    with rolled_back():
        check(live(history).engine)


@pytest.mark.long
@settings(max_examples=120, deadline=None)
@given(HISTORIES)
def test_the_tally_is_the_sum_of_its_parts_after_many_histories(history):
    with rolled_back():
        check(live(history).engine)


@settings(max_examples=4, deadline=None)
@given(HISTORIES, st.integers(0, 5000), st.integers(1, 9000))
def test_a_pour_that_is_undone_leaves_the_tally_as_it_was(history, n, pence):
    with rolled_back():
        shop = live(history)
        before = cost_tally(shop.engine).sums
        known = set(Pour.objects.values_list("pk", flat=True))
        try:
            with transaction.atomic():
                shop.pour(n, pence)
        except Refused:
            return
        pour = Pour.objects.exclude(pk__in=known).get()
        pours.undo(pour, by=None, reason="the wrong pour")
        assert cost_tally(shop.engine).sums == before
        assert not CostItem.objects.filter(pour=pour).exists()


def test_the_page_of_a_job_says_what_the_list_says():
    shop = live([("estimate", 1, 5000), ("estimate", 2, 700), ("estimate", 5, 900), ("pour", 2, 9)])
    listed = {line.job_id: line.cost for line in parts_to_make(shop.engine).lines}
    for job in shop.jobs:
        assert costs_of_job(job).sums == (listed[job.pk] or Sums())


def test_bought_metal_and_fuel_are_handed_on_and_the_whole_stays_the_same():
    """Ingot 40 kg for 334.00 (8.35 a kilogram), propane 86.00; a pour takes 12 kg and 6.50."""
    shop = Shop()
    ingot = make.cost(shop.engine, "material", ("paid", DAY, 334), what="Ingot")
    gas = make.cost(shop.engine, "other", ("paid", DAY, 86), what="Propane, two bottles")
    metal_actions.change_lot(shop.bought, {"bought_as": ingot}, seen=1, by=None)
    job = shop.jobs[0]
    pour = make.pour(shop.engine, (job, 2, 1.5), pot=shop.pot)
    pours.record_result(
        pour,
        {"poured_on": DAY + timedelta(days=3)},
        {pour.castings.get().pk: Result(2)},
        {shop.bought: Weighed(12.0)},
        Weighed(4.0),
        [BoughtItem("Propane", D("6.50"), gas)],
        by=None,
    )
    # (12 − 4) × 8.35 = 66.80, and 6.50.
    assert costs_of_job(job).sums.spent == D("73.30")
    spent = {line.what: line.spent for line in cost_lines(shop.engine)}
    assert spent["Ingot"] == D("267.20")
    assert spent["Propane, two bottles"] == D("79.50")
    assert cost_tally(shop.engine).sums.spent == D("420.00")
    # What came back is cast in another pour: its money comes from the ingot too.
    returns = MetalLot.objects.get(name="Returns of pour 1")
    assert returns.value_per_kg == D("8.35")
    second = make.pour(shop.engine, (shop.jobs[2], 1, 2.0), pot=shop.pot)
    pours.record_result(
        second,
        {"poured_on": DAY + timedelta(days=9)},
        {second.castings.get().pk: Result(1)},
        {returns: Weighed(4.0)},
        by=None,
    )
    assert costs_of_job(shop.jobs[2]).sums.spent == D("33.40")
    assert {line.what: line.spent for line in cost_lines(shop.engine)}["Ingot"] == D("233.80")
    assert cost_tally(shop.engine).sums.spent == D("420.00")
