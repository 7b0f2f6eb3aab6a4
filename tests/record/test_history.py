"""Each way of writing leaves its line of history, and nothing that was written is lost."""

import importlib
import inspect
import pkgutil
from datetime import date, timedelta
from decimal import Decimal

import pytest

import parts.actions
from parts.actions import (
    care,
    drawings,
    engine,
    facts,
    money,
    people,
    photos,
    proposals,
    record,
    removing,
    reports,
    site,
)
from parts.actions import parts as part_acts
from parts.actions.record import Clash
from parts.models import (
    Balloon,
    Change,
    Component,
    CostAmount,
    CostItem,
    DiaryEntry,
    Drawing,
    Engine,
    Find,
    Part,
    Proposal,
    Repair,
)
from tests import make
from tests.record import ways_workshop

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY
SOON = date.today() + timedelta(days=30)


class Bench:
    """An engine with something of each kind to act on."""

    def __init__(self):
        self.engine = make.engine()
        self.lead = make.member(self.engine, "lead")
        self.helper = make.member(self.engine, "helper")
        self.member = self.engine.memberships.get(user=self.helper)
        self.component = make.component(self.engine)
        self.part = make.part(self.engine, 6, component=self.component)
        self.find = make.found(self.part, 3)
        self.find.refresh_from_db()
        self.making = make.making(self.part, pieces=2)
        self.cost = make.cost(self.engine, "castings", ("estimated", DAY, 1, 2, 3))
        self.photo = photos.take_in(self.engine, make.upload(), by=self.lead)
        self.other = photos.take_in(self.engine, make.upload(colour="red"), by=self.lead)
        self.proposal = Proposal(
            engine=self.engine, part=self.part, matter="past_use", words="worn", pieces=1
        )

    def report(self):
        return reports.freeze(
            self.engine,
            by=self.lead,
            number=1,
            title="R",
            first_day=DAY,
            last_day=DAY,
            words="",
            next_words="",
            page="<p></p>",
            photos=[],
            tables={},
        )


def _placed(b):
    facts.place(b.part, 1, day=DAY, by=b.lead)


def _reached(b):
    facts.reach(b.making, "poured", 2, day=DAY, by=b.lead)


def _proposed(b):
    b.proposal = proposals.propose(b.proposal, by=b.helper)


# What is done, after what was done before: (module.verb, before, act)
WAYS = {
    "record.add": lambda b: record.add(DiaryEntry(engine=b.engine, day=DAY, done="dug"), by=b.lead),
    "record.add_many": lambda b: record.add_many(
        [DiaryEntry(engine=b.engine, day=DAY, done="dug")], by=b.lead
    ),
    "record.change": lambda b: record.change(
        b.part, {"name": "Other"}, seen=b.part.version, by=b.lead
    ),
    "record.remove": lambda b: record.remove(b.photo, by=b.lead),
    "record.bring_back": lambda b: (
        record.remove(b.photo, by=b.lead),
        record.bring_back(b.photo, by=b.lead),
    ),
    "removing.remove": lambda b: removing.remove(b.photo, by=b.lead, reason="blurred"),
    "removing.bring_back": lambda b: (
        removing.remove(b.photo, by=b.lead, reason="blurred"),
        removing.bring_back(b.photo, by=b.lead),
    ),
    "facts.identify": lambda b: facts.identify(make.find(b.engine), b.part, 1, day=DAY, by=b.lead),
    "facts.take_back": lambda b: facts.take_back(
        b.find, b.part, 1, day=DAY, by=b.lead, reason="no"
    ),
    "facts.place": _placed,
    "facts.take_down": lambda b: (_placed(b), facts.take_down(b.part, 1, day=DAY, by=b.lead)),
    "facts.still_on_engine": lambda b: facts.still_on_engine(b.part, 1, day=DAY, by=b.lead),
    "facts.lose": lambda b: facts.lose(b.part, 1, day=DAY, by=b.lead, reason="stolen"),
    "facts.find_again": lambda b: (
        facts.lose(b.part, 1, day=DAY, by=b.lead, reason="stolen"),
        facts.find_again(b.part, 1, day=DAY, by=b.lead),
    ),
    "facts.condemn": lambda b: facts.condemn(b.part, 1, day=DAY, by=b.lead, reason="worn"),
    "facts.reprieve": lambda b: (
        facts.condemn(b.part, 1, day=DAY, by=b.lead, reason="worn"),
        facts.reprieve(b.part, 1, day=DAY, by=b.lead, reason="brazed"),
    ),
    "facts.leave_off": lambda b: facts.leave_off(b.part, 1, day=DAY, by=b.lead, reason="x"),
    "facts.want_again": lambda b: (
        facts.leave_off(b.part, 1, day=DAY, by=b.lead, reason="x"),
        facts.want_again(b.part, 1, day=DAY, by=b.lead, reason="x"),
    ),
    "facts.decide": lambda b: facts.decide(b.part, "cast", 1, day=DAY, by=b.lead),
    "facts.decide_more": lambda b: facts.decide_more(b.making, 1, day=DAY, by=b.lead),
    "facts.withdraw": lambda b: facts.withdraw(b.making, 1, day=DAY, by=b.lead, reason="x"),
    "facts.reach": _reached,
    "facts.set_back": lambda b: (
        _reached(b),
        facts.set_back(b.making, "moulded", 1, day=DAY, by=b.lead, reason="misrun"),
    ),
    "facts.fit": lambda b: facts.fit(b.making, 1, day=DAY, by=b.lead),
    "facts.take_off": lambda b: (
        facts.fit(b.making, 1, day=DAY, by=b.lead),
        facts.take_off(b.making, 1, day=DAY, by=b.lead, reason="tight"),
    ),
    "facts.unwrite": lambda b: facts.unwrite(
        facts.place(b.part, 1, day=DAY, by=b.lead), by=b.lead, reason="wrong part"
    ),
    "site.record_find": lambda b: site.record_find(
        Find(engine=b.engine, day=DAY, looks_like="rod"), by=b.lead
    ),
    "site.change_find": lambda b: site.change_find(
        b.find, {"looks_like": "a lever"}, seen=b.find.version, by=b.lead
    ),
    "site.identify_and_place": lambda b: site.identify_and_place(
        make.find(b.engine), b.part, 1, day=DAY, by=b.lead, placed=True
    ),
    "site.write_diary": lambda b: site.write_diary(
        DiaryEntry(engine=b.engine, day=DAY, done="dug"), [make.upload()], by=b.lead
    ),
    "photos.take_in": lambda b: photos.take_in(b.engine, make.upload(), by=b.lead),
    "photos.pair": lambda b: photos.pair(b.photo, b.other, "The bed", by=b.lead),
    "photos.pass_for_funders": lambda b: photos.pass_for_funders([b.photo], by=b.lead),
    "care.write_repair": lambda b: care.write_repair(
        Repair(engine=b.engine, part=b.part, day=DAY, what="brazed"), by=b.lead
    ),
    "parts.add_part": lambda b: part_acts.add_part(
        Part(engine=b.engine, component=b.component, item=9001, name="Pin"), by=b.lead
    ),
    "parts.add_component": lambda b: part_acts.add_component(
        Component(engine=b.engine, number=901, name="Pump"), by=b.lead
    ),
    "parts.change_part": lambda b: part_acts.change_part(
        b.part, {"quantity": 8}, seen=b.part.version, by=b.lead
    ),
    "parts.change_component": lambda b: part_acts.change_component(
        b.component, {"name": "Valve gear"}, seen=b.component.version, by=b.lead
    ),
    "parts.still_on_engine": lambda b: part_acts.still_on_engine({b.part: 1}, day=DAY, by=b.lead),
    "proposals.propose": _proposed,
    "proposals.accept": lambda b: (
        _proposed(b),
        proposals.accept(b.proposal, words="", by=b.lead, seen=b.proposal.version, day=DAY),
    ),
    "proposals.decline": lambda b: (
        _proposed(b),
        proposals.decline(b.proposal, words="no", by=b.lead, seen=b.proposal.version),
    ),
    "money.write_cost": lambda b: money.write_cost(
        CostItem(engine=b.engine, heading="hire", what="Crane"), by=b.lead
    ),
    "money.change_cost": lambda b: money.change_cost(
        b.cost, {"what": "Two patterns"}, seen=b.cost.version, by=b.lead
    ),
    "money.write_amount": lambda b: money.write_amount(
        CostAmount(item=b.cost, day=DAY, basis="quoted", low=2, likely=2, high=2), by=b.lead
    ),
    "money.change_amount": lambda b: money.change_amount(
        b.cost.amounts.get(), {"high": Decimal(9)}, seen=1, by=b.lead
    ),
    "money.book_receipt": lambda b: money.book_receipt(
        [money.ReceiptLine(make.cost(b.engine), Decimal(12))], day=DAY, by=b.lead
    ),
    "money.keep_paper": lambda b: money.keep_paper(
        b.cost, make.upload(), kind="quote", name="q", day=DAY, by=b.lead
    ),
    "engine.start_engine": lambda b: engine.start_engine(
        Engine(name="New", kind="vertical"), by=b.lead
    ),
    "engine.change_engine": lambda b: engine.change_engine(
        b.engine, {"maker": "A maker"}, {"bore": "12 in"}, seen=b.engine.version, by=b.lead
    ),
    "engine.set_size": lambda b: engine.set_size(b.engine, "stroke", "18 in", by=b.lead),
    "engine.freeze_plan": lambda b: engine.freeze_plan(
        b.engine, "Plan", DAY, [(DAY, 0, 0, 0), (SOON, 9, 9, 9)], by=b.lead
    ),
    "people.add_person": lambda b: people.add_person(
        b.engine, make.user().username, "reader", by=b.lead
    ),
    "people.change_role": lambda b: people.change_role(
        b.member, "reader", seen=b.member.version, by=b.lead
    ),
    "people.remove_person": lambda b: people.remove_person(b.member, by=b.lead),
    "people.make_link": lambda b: people.make_link(
        b.report(), "a fund", SOON, by=b.lead, today=date.today()
    ),
    "people.withdraw_link": lambda b: people.withdraw_link(
        people.make_link(b.report(), "a fund", SOON, by=b.lead, today=date.today())[0], by=b.lead
    ),
    "reports.freeze": lambda b: b.report(),
    "drawings.keep_sheet": lambda b: drawings.keep_sheet(
        Drawing(engine=b.engine, name="Plan"), make.upload(colour="blue"), by=b.lead
    ),
    "drawings.set_balloon": lambda b: drawings.set_balloon(
        Balloon(engine=b.engine, drawing=make.drawing(b.engine), part=b.part, x=0.1, y=0.2),
        by=b.lead,
    ),
    "drawings.change_balloon": lambda b: drawings.change_balloon(
        make.balloon(make.drawing(b.engine), b.part), {"x": 0.9}, seen=1, by=b.lead
    ),
    "drawings.tie_piece": lambda b: drawings.tie_piece(b.engine, "bed", part=b.part, by=b.lead),
    "drawings.untie_piece": lambda b: (
        drawings.tie_piece(b.engine, "bed", by=b.lead),
        drawings.untie_piece(b.engine, "bed", by=b.lead),
    ),
}
WAYS |= ways_workshop.WAYS
# Verbs that change no row of the record, or that another verb of the table calls.
NOT_OF_THE_RECORD = {
    "people.set_password": "the password of a login",
    "photos.keep": "called by take_in",
    "photos.whole": "called by record_find",
    "photos.add_all": "called by record_find",
    "engine.lay_out": "called by start_engine",
}


def verbs() -> set[str]:
    """Every public function of the actions that is told by whom."""
    found = set()
    for info in pkgutil.iter_modules(parts.actions.__path__):
        module = importlib.import_module(f"parts.actions.{info.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            told = "by" in inspect.signature(function).parameters
            if function.__module__ == module.__name__ and not name.startswith("_") and told:
                found.add(f"{info.name}.{name}")
    return found


def test_every_verb_stands_in_the_table():
    assert verbs() - {"record.change_of"} == set(WAYS) | set(NOT_OF_THE_RECORD)


@pytest.mark.parametrize("verb", WAYS)
def test_each_way_of_writing_leaves_its_line(verb):
    bench = Bench()
    before = set(Change.objects.values_list("pk", flat=True))
    WAYS[verb](bench)
    lines = Change.objects.exclude(pk__in=before)
    assert lines
    assert all(line.by_name and (line.before or line.after) for line in lines)


def test_a_change_tells_what_it_was_before():
    bench = Bench()
    record.change(bench.part, {"name": "Rod", "quantity": 6}, seen=1, by=bench.lead, reason="wrong")
    line = Change.objects.filter(kind="part", verb="changed").get()
    assert line.before == {"name": bench.part.name}
    assert line.after == {"name": "Rod"}
    assert (line.by, line.reason, line.part) == (bench.lead, "wrong", bench.part)


def test_a_change_of_nothing_leaves_no_line():
    bench = Bench()
    record.change(bench.part, {"name": bench.part.name}, seen=1, by=bench.lead)
    assert not Change.objects.filter(kind="part", verb="changed").exists()


def test_a_removed_row_is_kept_and_comes_back():
    bench = Bench()
    removing.remove(bench.photo, by=bench.lead, reason="blurred")
    assert bench.photo not in bench.engine.photos.all()
    removing.bring_back(bench.photo, by=bench.lead)
    assert bench.photo in bench.engine.photos.all()


def test_the_second_of_two_is_told_and_nothing_is_written():
    bench = Bench()
    record.change(bench.part, {"name": "Theirs"}, seen=1, by=bench.lead)
    with pytest.raises(Clash) as clash:
        record.change(bench.part, {"name": "Mine"}, seen=1, by=bench.helper)
    assert clash.value.now.name == "Theirs"
    assert clash.value.wanted == {"name": "Mine"}
    assert Part.objects.get(pk=bench.part.pk).name == "Theirs"
