"""Every address as every role: whoever adds an address must add it to the table.

The table says the least role that may open an address, and the least that may send to it. Below
that a member gets "not allowed"; a stranger gets "not found", so that nobody learns which engines
there are; without a login one is asked to log in.
"""

from datetime import date, timedelta

import pytest
from django.db import transaction
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from parts.care.models import ConditionNote, Freeing, Measurement, Repair
from parts.engine.models import Ownership, Proposal
from parts.money import actions as money_actions
from parts.people.models import HoursGiven
from parts.photos.actions import photos
from parts.record.actions import entries, saving
from parts.record.models import DiaryEntry
from parts.reports.actions import links
from parts.reports.models import Report
from tests import make

pytestmark = pytest.mark.django_db

ROLES = ["reader", "helper", "lead"]
ANY = "any login"

# name: (least role to open, least role to send; None: it cannot be sent to)
TABLE = {
    "home": (ANY, None),
    "patterns": (ANY, None),
    "account": (ANY, ANY),
    "engine_new": (ANY, ANY),
    "engine": ("reader", None),
    "engine_edit": ("lead", "lead"),
    "owners": ("reader", None),
    "owner_new": ("lead", "lead"),
    "owner_edit": ("lead", "lead"),
    "plans": ("reader", None),
    "plan_new": ("lead", "lead"),
    "arrangement": ("reader", None),
    "arrangement_pdf": ("reader", None),
    "ties": ("lead", "lead"),
    "drawing": ("reader", None),
    "drawing_pdf": ("reader", None),
    "drawing_new": ("lead", "lead"),
    "drawing_edit": ("lead", "lead"),
    "balloon_new": ("lead", "lead"),
    "balloon_edit": ("lead", "lead"),
    "balloon_move": (None, "lead"),
    "people": ("reader", None),
    "person_new": ("lead", "lead"),
    "person_role": ("lead", "lead"),
    "person_password": ("lead", "lead"),
    "person_remove": ("lead", "lead"),
    "hours": ("reader", None),
    "hours_new": ("helper", "helper"),
    "hours_edit": ("lead", "lead"),
    "report_list": ("reader", None),
    "report_new": ("lead", "lead"),
    "report": ("reader", None),
    "report_pdf": ("reader", None),
    "report_photo": ("reader", None),
    "link_new": ("lead", "lead"),
    "link_withdraw": (None, "lead"),
    "site": ("reader", None),
    "find_new": ("helper", "helper"),
    "find": ("reader", None),
    "find_edit": ("lead", "lead"),
    "identify": ("helper", "helper"),
    "take_back": ("lead", "lead"),
    "diary": ("helper", None),
    "diary_new": ("helper", "helper"),
    "diary_edit": ("lead", "lead"),
    "photos": ("reader", None),
    "photo_new": ("helper", "helper"),
    "photo": ("reader", None),
    "photo_edit": ("lead", "lead"),
    "photo_file": ("reader", None),
    "photo_original": ("helper", None),
    "pair_new": ("helper", "helper"),
    "part_list": ("reader", None),
    "part": ("reader", None),
    "part_new": ("lead", "lead"),
    "part_edit": ("lead", "lead"),
    "part_history": ("reader", None),
    "part_act": ("helper", "helper"),
    "part_propose": ("helper", "helper"),
    "components": ("reader", None),
    "component": ("reader", None),
    "component_new": ("lead", "lead"),
    "component_edit": ("lead", "lead"),
    "component_still": ("helper", "helper"),
    "proposals": ("reader", None),
    "proposal_answer": ("lead", "lead"),
    "measurement_new": ("helper", "helper"),
    "measurement_edit": ("lead", "lead"),
    "note_new": ("helper", "helper"),
    "note_edit": ("lead", "lead"),
    "repair_new": ("helper", "helper"),
    "repair_edit": ("lead", "lead"),
    "freeing_new": ("helper", "helper"),
    "freeing_edit": ("lead", "lead"),
    "history": ("reader", None),
    "row_remove": ("lead", "lead"),
    "row_bring_back": ("lead", "lead"),
    "search": ("reader", None),
    "jobs": ("reader", None),
    "jobs_csv": ("reader", None),
    "undecided": ("reader", None),
    "undecided_csv": ("reader", None),
    "decide": ("lead", "lead"),
    "option": ("lead", "lead"),
    "job": ("reader", None),
    "job_edit": ("lead", "lead"),
    "job_reach": ("helper", "helper"),
    "job_fit": ("helper", "helper"),
    "job_back": ("helper", "helper"),
    "job_off": ("helper", "helper"),
    "job_more": ("lead", "lead"),
    "job_withdraw": ("lead", "lead"),
    "bodies": ("reader", None),
    "body_new": ("helper", "helper"),
    "body_edit": ("lead", "lead"),
    "figures": ("reader", None),
    "figures_edit": ("lead", "lead"),
    "pattern": ("reader", None),
    "pattern_pdf": ("reader", None),
    "face_new": ("helper", "helper"),
    "face_edit": ("lead", "lead"),
    "bearing": ("reader", None),
    "bearing_pdf": ("reader", None),
    "bearing_edit": ("helper", "helper"),
    "metal": ("helper", None),
    "metal_csv": ("helper", None),
    "lot_new": ("helper", "helper"),
    "lot": ("helper", None),
    "lot_csv": ("helper", None),
    "lot_edit": ("helper", "helper"),
    "lot_in": ("helper", "helper"),
    "lot_out": ("helper", "helper"),
    "move_remove": ("lead", "lead"),
    "crucible_new": ("helper", "helper"),
    "crucible_edit": ("helper", "helper"),
    "pours": ("helper", None),
    "pour_new": ("helper", "helper"),
    "pour": ("helper", None),
    "pour_edit": ("helper", "helper"),
    "pour_aside": ("helper", "helper"),
    "pour_free": (None, "helper"),
    "pour_done": ("helper", "helper"),
    "pour_drop": ("helper", "helper"),
    "pour_costs": ("lead", "lead"),
    "pour_undo": ("lead", "lead"),
    "pour_sheet_pdf": ("helper", None),
    "lifts": ("reader", None),
    "lift_new": ("helper", "helper"),
    "lift": ("reader", None),
    "lift_pdf": ("reader", None),
    "lift_edit": ("lead", "lead"),
    "lift_done": ("helper", "helper"),
    "lift_put": (None, "lead"),
    "lift_take": (None, "lead"),
    "gear": ("reader", None),
    "gear_new": ("lead", "lead"),
    "gear_edit": ("lead", "lead"),
    "haul": ("reader", None),
    "lorry": ("reader", None),
    "jobs_by_person": ("reader", None),
    "jobs_pdf": ("reader", None),
    "job_pdf": ("reader", None),
    "fasteners": ("reader", None),
    "fasteners_csv": ("reader", None),
    "fasteners_order": ("reader", None),
    "fastener": ("reader", None),
    "fastener_edit": ("helper", "helper"),
    "fastener_pick": (None, "helper"),
    "fastener_choose": (None, "lead"),
    "quote_new": ("lead", "lead"),
    "quote_edit": ("lead", "lead"),
    "bars": ("helper", None),
    "bar_new": ("helper", "helper"),
    "stock_new": ("lead", "lead"),
    "bar_edit": ("lead", "lead"),
    "bar_book": ("helper", "helper"),
    "bar_plan": ("helper", None),
    "bar_plan_freeze": (None, "lead"),
    "cut_plan": ("helper", None),
    "cut_plan_pdf": ("helper", None),
    "cut_plan_cut": ("helper", "helper"),
    "cut_plan_back": (None, "lead"),
    "blank": ("helper", "helper"),
    "costs": ("reader", None),
    "costs_csv": ("reader", None),
    "tally_csv": ("reader", None),
    "cost": ("reader", None),
    "cost_new": ("lead", "lead"),
    "cost_edit": ("lead", "lead"),
    "amount_new": ("lead", "lead"),
    "amount_edit": ("lead", "lead"),
    "paper_new": ("lead", "lead"),
    "paper": ("helper", None),
}
# Opened without a login, by a secret.
BY_SECRET = {"read", "read_pdf", "read_photo"}


class World:
    """One engine with a row of each kind, made by its lead, and a person of each role."""

    def __init__(self):
        self.engine = e = make.engine()
        self.people = {role: make.member(e, role) for role in ROLES}
        self.people["stranger"] = make.user()
        lead = self.people["lead"]
        day = make.FIRST_DAY
        self.component = make.component(e)
        self.part = make.part(e, 4, component=self.component, fastener=True)
        self.find = make.find(e, 2, by=lead)
        self.entry = entries.identify(self.find, self.part, 1, day=day, by=lead)
        self.job = make.job(self.part, by=lead)
        self.cost = make.cost(e, "castings", ("estimated", day, 1, 2, 3), part=self.part)
        self.amount = self.cost.amounts.get()
        self.paper = money_actions.add_paper(
            self.cost, make.upload("q.jpg"), kind="quote", name="q", day=day, by=lead
        )
        self.photo = photos.take_in(e, make.upload(), by=lead, find=self.find, may_go_out=True)

        def add(row):
            return saving.add(row, by=lead)

        of_part = {"engine": e, "part": self.part}
        self.measurement = add(
            Measurement(**of_part, what="bore", written="1 in", unit="in", value=25.4, day=day)
        )
        self.body = make.body(self.part, "plate", {"width": 10, "thickness": 10}, by=lead)
        self.face = make.face(self.part, make.measurement(self.part, 50))
        self.lot = make.lot(e, 9, by=lead)
        self.move = self.lot.moves.get()
        self.crucible = make.crucible(e)
        self.pour = make.pour(e, (self.job, 1, 1.0), pot=self.crucible, by=lead)
        self.removed = add(
            Measurement(**of_part, what="bore", written="2 in", unit="in", value=50.8, day=day)
        )
        saving.remove(self.removed, by=lead, reason="typed twice")
        self.note = add(ConditionNote(**of_part, day=day, condition_class=1, seen="rust"))
        self.repair = add(Repair(**of_part, day=day, what="brazed"))
        self.freeing = add(
            Freeing(**of_part, day=day, means="heat", how="warmed", outcome="nothing")
        )
        self.proposal = add(Proposal(**of_part, matter="beyond_repair", words="worn"))
        self.diary = add(DiaryEntry(engine=e, day=day, done="dug"))
        self.owner = add(Ownership(engine=e, who="A farmer", since=day))
        self.hours = add(HoursGiven(engine=e, person="A", day=day, hours=2, work="site"))
        self.report = add(
            Report(engine=e, number=1, title="R", first_day=day, last_day=day, page="<p>R</p>")
        )
        self.report.photos.add(self.photo)
        lapses = date.today() + timedelta(days=30)
        self.link, self.secret = links.add_link(
            self.report, "a fund", lapses, by=lead, today=date.today()
        )
        self.gear = make.gear(e, by=lead)
        self.lift = make.lift(e, (self.part, 1), sling=self.gear, by=lead)
        self.quote = make.quote(self.part, by=lead)
        self.bar = make.bar(e, bars=3, by=lead)
        self.cut_plan = make.cut_plan(e, by=lead)
        self.drawing = make.drawing(e, by=lead)
        self.balloon = make.balloon(self.drawing, self.part, by=lead)
        self.member = e.memberships.get(user=self.people["helper"])

    def address(self, name: str, wants: set[str]) -> str:
        """The address of a name, its numbers filled in from the world."""
        row = getattr(self, ROWS.get(name, ""), None)
        known = {
            "engine": self.engine.pk,
            "pk": row.pk if row is not None else None,
            "part": self.part.pk,
            "photo": self.photo.pk,
            "size": 320,
            "secret": self.secret,
            "way": "cast",
            "kind": "drag" if name == "haul" else "measurement",
            "verb": "place",
        }
        address = reverse(f"parts:{name}", kwargs={key: known[key] for key in wants})
        return f"{address}?part={self.part.pk}" if name in OF_A_PART else address


# New rows that want to know of which part they are.
OF_A_PART = {"measurement_new", "note_new", "repair_new", "freeing_new"}


# Which row of the world the number of an address names.
ROWS = {
    "drawing": "drawing",
    "drawing_pdf": "drawing",
    "drawing_edit": "drawing",
    "balloon_new": "drawing",
    "balloon_edit": "balloon",
    "balloon_move": "balloon",
    "quote_edit": "quote",
    "bar_edit": "bar",
    "bar_book": "bar",
    "cut_plan": "cut_plan",
    "cut_plan_pdf": "cut_plan",
    "cut_plan_cut": "cut_plan",
    "cut_plan_back": "cut_plan",
    "blank": "job",
    "job": "job",
    "job_edit": "job",
    "job_pdf": "job",
    "lift": "lift",
    "lift_pdf": "lift",
    "lift_edit": "lift",
    "lift_done": "lift",
    "lift_put": "lift",
    "lift_take": "lift",
    "gear_edit": "gear",
    "job_reach": "job",
    "job_fit": "job",
    "job_back": "job",
    "job_off": "job",
    "job_more": "job",
    "job_withdraw": "job",
    "body_edit": "body",
    "face_edit": "face",
    "lot": "lot",
    "lot_csv": "lot",
    "lot_edit": "lot",
    "lot_in": "lot",
    "lot_out": "lot",
    "move_remove": "move",
    "crucible_edit": "crucible",
    "pour": "pour",
    "pour_edit": "pour",
    "pour_aside": "pour",
    "pour_free": "pour",
    "pour_done": "pour",
    "pour_drop": "pour",
    "pour_costs": "pour",
    "pour_undo": "pour",
    "pour_sheet_pdf": "pour",
    "cost": "cost",
    "cost_edit": "cost",
    "amount_new": "cost",
    "paper_new": "cost",
    "amount_edit": "amount",
    "paper": "paper",
    "owner_edit": "owner",
    "person_role": "member",
    "person_password": "member",
    "person_remove": "member",
    "hours_edit": "hours",
    "report": "report",
    "report_pdf": "report",
    "report_photo": "report",
    "link_new": "report",
    "link_withdraw": "link",
    "find": "find",
    "find_edit": "find",
    "identify": "find",
    "take_back": "find",
    "diary_edit": "diary",
    "photo": "photo",
    "photo_edit": "photo",
    "photo_file": "photo",
    "photo_original": "photo",
    "part": "part",
    "part_edit": "part",
    "part_history": "part",
    "part_act": "part",
    "part_propose": "part",
    "component": "component",
    "component_edit": "component",
    "component_still": "component",
    "proposal_answer": "proposal",
    "measurement_edit": "measurement",
    "note_edit": "note",
    "repair_edit": "repair",
    "freeing_edit": "freeing",
    "row_remove": "measurement",
    "row_bring_back": "removed",
}


def addresses() -> dict[str, set[str]]:
    """Every name of the app with the arguments it wants, from the resolver itself."""

    def walk(resolver, above=frozenset()):
        for entry in resolver.url_patterns:
            wanted = above | set(entry.pattern.converters)
            if isinstance(entry, URLResolver):
                if entry.app_name in ("", None, "parts"):
                    yield from walk(entry, wanted)
            elif isinstance(entry, URLPattern) and entry.lookup_str.startswith("parts."):
                yield entry.name, wanted

    return dict(walk(get_resolver()))


def test_every_address_stands_in_the_table():
    assert set(addresses()) == set(TABLE) | BY_SECRET


def _expected(role: str, least: str | None) -> set[int]:
    if least is None:
        return {405}
    if least == ANY:
        return {200, 302}
    if role == "stranger":
        return {404}
    return {200, 302} if ROLES.index(role) >= ROLES.index(least) else {403}


@pytest.fixture
def world():
    return World()


def on_a_fresh_world(send):
    """Send, and undo what it did, so that the next is tried on the world as it was made."""
    with transaction.atomic():
        answer = send()
        transaction.set_rollback(True)
    return answer


@pytest.mark.parametrize("role", [*ROLES, "stranger"])
@pytest.mark.usefixtures("blank_paper")
def test_who_may_open_and_send(world, client, role):
    client.force_login(world.people[role])
    wrong = []
    for name, wants in sorted(addresses().items()):
        if name in BY_SECRET:
            continue
        address = world.address(name, wants)
        for method, least in zip(("get", "post"), TABLE[name], strict=True):
            if method == "post" and least is None:
                continue
            got = on_a_fresh_world(lambda a=address, m=method: getattr(client, m)(a)).status_code
            if got not in _expected(role, least) and not (least is None and got == 405):
                wrong.append(f"{method} {name}: {got}, not {_expected(role, least)}")
    assert not wrong, "\n".join(wrong)


def test_without_a_login_one_is_asked_to_log_in(world, client):
    for name, wants in addresses().items():
        address = world.address(name, wants)
        answer = client.get(address)
        if name in BY_SECRET:
            assert answer.status_code == 200, name
        else:
            assert answer.status_code == 302, name
            assert answer["Location"].startswith("/account/login/"), name


def test_a_link_that_lapsed_or_was_withdrawn_opens_nothing(world, client):
    wants = addresses()
    for change in ({"lapses_on": date.today() - timedelta(days=1)}, {"withdrawn": True}):
        link, secret = links.add_link(
            world.report,
            "someone",
            date.today() + timedelta(days=9),
            by=world.people["lead"],
            today=date.today(),
        )
        if "withdrawn" in change:
            links.withdraw_link(link, by=world.people["lead"])
        else:
            type(link).objects.filter(pk=link.pk).update(**change)
        world.secret = secret
        for name in BY_SECRET:
            assert client.get(world.address(name, wants[name])).status_code == 404


def test_only_the_hash_of_a_secret_is_kept(world):
    row = type(world.link).objects.values().get(pk=world.link.pk)
    assert world.secret not in str(row)
    assert links.link_of(world.secret, date.today()) == world.link
    assert links.link_of(world.secret[:-1], date.today()) is None
