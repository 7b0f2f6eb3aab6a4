"""Each way of writing leaves its line of history, and nothing that was written is lost."""

import importlib
import inspect
import pkgutil
from datetime import date, timedelta
from decimal import Decimal

import pytest

import parts
from parts.care import actions as care_actions
from parts.care.models import Repair
from parts.drawings import actions as drawings_actions
from parts.drawings.models import Balloon, Drawing
from parts.engine.actions import engine, proposals
from parts.engine.actions import parts as part_acts
from parts.engine.models import Proposal
from parts.finds import actions as finds_actions
from parts.forecast import actions as forecast_actions
from parts.money import actions as money_actions
from parts.money.models import CostAmount, CostItem
from parts.people import actions as people_actions
from parts.photos.actions import photos
from parts.record.actions import entries, removing, saving
from parts.record.actions.saving import Clash
from parts.record.models import Change, Component, DiaryEntry, Engine, Find, Part
from parts.reports.actions import links, reports
from parts.reports.queries.report import Details
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
        self.job = make.job(self.part, pieces=2)
        self.cost = make.cost(self.engine, "castings", ("estimated", DAY, 1, 2, 3))
        self.photo = photos.take_in(self.engine, make.upload(), by=self.lead)
        self.other = photos.take_in(self.engine, make.upload(colour="red"), by=self.lead)
        self.proposal = Proposal(
            engine=self.engine, part=self.part, matter="beyond_repair", words="worn", pieces=1
        )

    def report(self):
        details, draft = Details(1, "R", DAY, DAY), reports.Draft("<p></p>", {})
        return reports.freeze(self.engine, details, draft, by=self.lead)


def _placed(b):
    entries.place(b.part, 1, day=DAY, by=b.lead)


def _reached(b):
    entries.reach(b.job, "poured", 2, day=DAY, by=b.lead)


def _proposed(b):
    b.proposal = proposals.propose(b.proposal, by=b.helper)


# What is done, after what was done before: (module.verb, before, act)
WAYS = {
    "record.saving.add": lambda b: saving.add(
        DiaryEntry(engine=b.engine, day=DAY, done="dug"), by=b.lead
    ),
    "record.saving.add_many": lambda b: saving.add_many(
        [DiaryEntry(engine=b.engine, day=DAY, done="dug")], by=b.lead
    ),
    "record.saving.change": lambda b: saving.change(
        b.part, {"name": "Other"}, seen=b.part.version, by=b.lead
    ),
    "record.saving.remove": lambda b: saving.remove(b.photo, by=b.lead),
    "record.saving.bring_back": lambda b: (
        saving.remove(b.photo, by=b.lead),
        saving.bring_back(b.photo, by=b.lead),
    ),
    "record.removing.remove": lambda b: removing.remove(b.photo, by=b.lead, reason="blurred"),
    "record.removing.bring_back": lambda b: (
        removing.remove(b.photo, by=b.lead, reason="blurred"),
        removing.bring_back(b.photo, by=b.lead),
    ),
    "record.entries.identify": lambda b: entries.identify(
        make.find(b.engine), b.part, 1, day=DAY, by=b.lead
    ),
    "record.entries.take_back": lambda b: entries.take_back(
        b.find, b.part, 1, day=DAY, by=b.lead, reason="no"
    ),
    "record.entries.place": _placed,
    "record.entries.take_down": lambda b: (
        _placed(b),
        entries.take_down(b.part, 1, day=DAY, by=b.lead),
    ),
    "record.entries.still_on_engine": lambda b: entries.still_on_engine(
        b.part, 1, day=DAY, by=b.lead
    ),
    "record.entries.lose": lambda b: entries.lose(b.part, 1, day=DAY, by=b.lead, reason="stolen"),
    "record.entries.find_again": lambda b: (
        entries.lose(b.part, 1, day=DAY, by=b.lead, reason="stolen"),
        entries.find_again(b.part, 1, day=DAY, by=b.lead),
    ),
    "record.entries.condemn": lambda b: entries.condemn(
        b.part, 1, day=DAY, by=b.lead, reason="worn"
    ),
    "record.entries.reprieve": lambda b: (
        entries.condemn(b.part, 1, day=DAY, by=b.lead, reason="worn"),
        entries.reprieve(b.part, 1, day=DAY, by=b.lead, reason="brazed"),
    ),
    "record.entries.leave_off": lambda b: entries.leave_off(
        b.part, 1, day=DAY, by=b.lead, reason="x"
    ),
    "record.entries.want_again": lambda b: (
        entries.leave_off(b.part, 1, day=DAY, by=b.lead, reason="x"),
        entries.want_again(b.part, 1, day=DAY, by=b.lead, reason="x"),
    ),
    "record.entries.decide": lambda b: entries.decide(b.part, "cast", 1, day=DAY, by=b.lead),
    "record.entries.decide_more": lambda b: entries.decide_more(b.job, 1, day=DAY, by=b.lead),
    "record.entries.withdraw": lambda b: entries.withdraw(b.job, 1, day=DAY, by=b.lead, reason="x"),
    "record.entries.reach": _reached,
    "record.entries.set_back": lambda b: (
        _reached(b),
        entries.set_back(b.job, "moulded", 1, day=DAY, by=b.lead, reason="misrun"),
    ),
    "record.entries.fit": lambda b: entries.fit(b.job, 1, day=DAY, by=b.lead),
    "record.entries.take_off": lambda b: (
        entries.fit(b.job, 1, day=DAY, by=b.lead),
        entries.take_off(b.job, 1, day=DAY, by=b.lead, reason="tight"),
    ),
    "record.entries.unwrite": lambda b: entries.unwrite(
        entries.place(b.part, 1, day=DAY, by=b.lead), by=b.lead, reason="wrong part"
    ),
    "finds.record_find": lambda b: finds_actions.record_find(
        Find(engine=b.engine, day=DAY, looks_like="rod"), by=b.lead
    ),
    "finds.change_find": lambda b: finds_actions.change_find(
        b.find, {"looks_like": "a lever"}, seen=b.find.version, by=b.lead
    ),
    "finds.identify_and_place": lambda b: finds_actions.identify_and_place(
        make.find(b.engine), b.part, 1, day=DAY, by=b.lead, placed=True
    ),
    "finds.record_diary": lambda b: finds_actions.record_diary(
        DiaryEntry(engine=b.engine, day=DAY, done="dug"), [make.upload()], by=b.lead
    ),
    "photos.photos.take_in": lambda b: photos.take_in(b.engine, make.upload(), by=b.lead),
    "photos.photos.pair": lambda b: photos.pair(b.photo, b.other, "The bed", by=b.lead),
    "care.add_repair": lambda b: care_actions.add_repair(
        Repair(engine=b.engine, part=b.part, day=DAY, what="brazed"), by=b.lead
    ),
    "engine.parts.add_part": lambda b: part_acts.add_part(
        Part(engine=b.engine, component=b.component, item=9001, name="Pin"), by=b.lead
    ),
    "engine.parts.add_component": lambda b: part_acts.add_component(
        Component(engine=b.engine, number=901, name="Pump"), by=b.lead
    ),
    "engine.parts.change_part": lambda b: part_acts.change_part(
        b.part, {"quantity": 8}, seen=b.part.version, by=b.lead
    ),
    "engine.parts.change_component": lambda b: part_acts.change_component(
        b.component, {"name": "Valve gear"}, seen=b.component.version, by=b.lead
    ),
    "engine.parts.still_on_engine": lambda b: part_acts.still_on_engine(
        {b.part: 1}, day=DAY, by=b.lead
    ),
    "engine.proposals.propose": _proposed,
    "engine.proposals.accept": lambda b: (
        _proposed(b),
        proposals.accept(b.proposal, words="", by=b.lead, seen=b.proposal.version, day=DAY),
    ),
    "engine.proposals.decline": lambda b: (
        _proposed(b),
        proposals.decline(b.proposal, words="no", by=b.lead, seen=b.proposal.version),
    ),
    "money.add_cost": lambda b: money_actions.add_cost(
        CostItem(engine=b.engine, heading="hire", what="Crane"), by=b.lead
    ),
    "money.change_cost": lambda b: money_actions.change_cost(
        b.cost, {"what": "Two patterns"}, seen=b.cost.version, by=b.lead
    ),
    "money.add_amount": lambda b: money_actions.add_amount(
        CostAmount(item=b.cost, day=DAY, basis="quoted", low=2, likely=2, high=2), by=b.lead
    ),
    "money.change_amount": lambda b: money_actions.change_amount(
        b.cost.amounts.get(), {"high": Decimal(9)}, seen=1, by=b.lead
    ),
    "money.book_receipt": lambda b: money_actions.book_receipt(
        [money_actions.ReceiptLine(make.cost(b.engine), Decimal(12))], day=DAY, by=b.lead
    ),
    "money.add_paper": lambda b: money_actions.add_paper(
        b.cost, make.upload(), kind="quote", name="q", day=DAY, by=b.lead
    ),
    "engine.engine.start_engine": lambda b: engine.start_engine(
        Engine(name="New", kind="vertical"), by=b.lead
    ),
    "engine.engine.change_engine": lambda b: engine.change_engine(
        b.engine, {"maker": "A maker"}, {"bore": "12 in"}, seen=b.engine.version, by=b.lead
    ),
    "engine.engine.set_size": lambda b: engine.set_size(b.engine, "stroke", "18 in", by=b.lead),
    "forecast.freeze_plan": lambda b: forecast_actions.freeze_plan(
        b.engine, "Plan", DAY, [(DAY, 0, 0, 0), (SOON, 9, 9, 9)], by=b.lead
    ),
    "people.add_person": lambda b: people_actions.add_person(
        b.engine, make.user().username, "reader", by=b.lead
    ),
    "people.change_role": lambda b: people_actions.change_role(
        b.member, "reader", seen=b.member.version, by=b.lead
    ),
    "people.remove_person": lambda b: people_actions.remove_person(b.member, by=b.lead),
    "reports.links.add_link": lambda b: links.add_link(
        b.report(), "a fund", SOON, by=b.lead, today=date.today()
    ),
    "reports.links.withdraw_link": lambda b: links.withdraw_link(
        links.add_link(b.report(), "a fund", SOON, by=b.lead, today=date.today())[0], by=b.lead
    ),
    "reports.reports.freeze": lambda b: b.report(),
    "drawings.add_sheet": lambda b: drawings_actions.add_sheet(
        Drawing(engine=b.engine, name="Plan"), make.upload(colour="blue"), by=b.lead
    ),
    "drawings.add_balloon": lambda b: drawings_actions.add_balloon(
        Balloon(engine=b.engine, drawing=make.drawing(b.engine), part=b.part, x=0.1, y=0.2),
        by=b.lead,
    ),
    "drawings.change_balloon": lambda b: drawings_actions.change_balloon(
        make.balloon(make.drawing(b.engine), b.part), {"x": 0.9}, seen=1, by=b.lead
    ),
    "drawings.tie_piece": lambda b: drawings_actions.tie_piece(
        b.engine, "bed", part=b.part, by=b.lead
    ),
    "drawings.untie_piece": lambda b: (
        drawings_actions.tie_piece(b.engine, "bed", by=b.lead),
        drawings_actions.untie_piece(b.engine, "bed", by=b.lead),
    ),
}
WAYS |= ways_workshop.WAYS
# Verbs that change no row of the record, or that another verb of the table calls.
NOT_OF_THE_RECORD = {
    "people.set_password": "the password of a login",
    "photos.photos.keep": "called by take_in",
    "photos.photos.whole": "called by record_find",
    "photos.photos.add_all": "called by record_find",
    "engine.engine.lay_out": "called by start_engine",
}


def verbs() -> set[str]:
    """Every public function of an action that is told by whom, under its subject and file."""
    found = set()
    for info in pkgutil.walk_packages(parts.__path__, "parts."):
        if ".actions" not in info.name:
            continue
        module = importlib.import_module(info.name)
        where = info.name.removeprefix("parts.").replace(".actions", "")
        for verb, function in inspect.getmembers(module, inspect.isfunction):
            by = "by" in inspect.signature(function).parameters
            if function.__module__ == module.__name__ and not verb.startswith("_") and by:
                found.add(f"{where}.{verb}")
    return found


def test_every_verb_stands_in_the_table():
    assert verbs() - {"record.saving.change_of"} == set(WAYS) | set(NOT_OF_THE_RECORD)


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
    saving.change(bench.part, {"name": "Rod", "quantity": 6}, seen=1, by=bench.lead, reason="wrong")
    line = Change.objects.filter(kind="part", verb="changed").get()
    assert line.before == {"name": bench.part.name}
    assert line.after == {"name": "Rod"}
    assert (line.by, line.reason, line.part) == (bench.lead, "wrong", bench.part)


def test_a_change_of_nothing_leaves_no_line():
    bench = Bench()
    saving.change(bench.part, {"name": bench.part.name}, seen=1, by=bench.lead)
    assert not Change.objects.filter(kind="part", verb="changed").exists()


def test_a_removed_row_is_kept_and_comes_back():
    bench = Bench()
    removing.remove(bench.photo, by=bench.lead, reason="blurred")
    assert bench.photo not in bench.engine.photos.all()
    removing.bring_back(bench.photo, by=bench.lead)
    assert bench.photo in bench.engine.photos.all()


def test_the_second_of_two_is_told_and_nothing_is_written():
    bench = Bench()
    saving.change(bench.part, {"name": "Theirs"}, seen=1, by=bench.lead)
    with pytest.raises(Clash) as clash:
        saving.change(bench.part, {"name": "Mine"}, seen=1, by=bench.helper)
    assert clash.value.now.name == "Theirs"
    assert clash.value.wanted == {"name": "Mine"}
    assert Part.objects.get(pk=bench.part.pk).name == "Theirs"
