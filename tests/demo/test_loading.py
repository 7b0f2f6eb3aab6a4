"""The demonstration as it lies in the record: whole, true to its tables, and easily taken away."""

import csv
import io
import re
from collections import Counter
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path

import pikepdf
import pytest
from django.apps import apps
from django.conf import settings
from django.core.files.base import ContentFile
from django.utils import timezone
from PIL import Image

from parts.care.models import ConditionNote
from parts.demo import clearing, load, papers, people, reports, story
from parts.drafting import paper
from parts.engine.models import Proposal
from parts.engineering.routes import ROUTES
from parts.forecast.models import Plan
from parts.money.models import CostAmount, CostItem, CostPaper
from parts.money.queries.tally import cost_tally
from parts.people import actions as people_actions
from parts.people.models import HoursGiven
from parts.photos.actions import photos
from parts.photos.actions.uploads import check_picture
from parts.photos.models import Photo, PhotoPair
from parts.record.actions.saving import Refused
from parts.record.models import (
    Change,
    Component,
    DiaryEntry,
    Engine,
    Find,
    Job,
    Membership,
    Part,
    PieceEntry,
)
from parts.reports.models import Report
from parts.reports.queries.places import place_words
from parts.reports.queries.progress import progress
from tests import make
from tests.audit import CHECKS, Audit
from tests.demo.test_tables import counts
from tests.pdf import text_of

# Run here, where the demonstration is loaded once for all.
from tests.units import test_no_calculation_tells_the_other_system  # noqa: F401

pytestmark = pytest.mark.django_db
needs_paper = pytest.mark.skipif(bool(paper.trouble()), reason=paper.trouble())


def _picture(size):
    out = io.BytesIO()
    Image.new("RGB", size, "brown").save(out, "JPEG")
    return out.getvalue()


def size_of_everything():
    models = apps.get_app_config("parts").get_models()
    return {model.__name__: model._base_manager.count() for model in models}


def last_day():
    return date.fromisoformat(story.about("harrow_gap")["last_day"])


def test_it_is_as_large_as_a_real_record(demo):
    def n(model):
        return model.objects.filter(engine=demo).count()

    assert n(Component) >= 12
    assert 170 <= n(Part) <= 190
    assert n(Find) >= 90
    assert n(ConditionNote) >= 60
    assert n(Photo) >= 40
    assert n(PhotoPair) >= 6
    assert n(HoursGiven) >= 200
    assert n(DiaryEntry) >= 30
    assert n(Proposal) >= 5
    unknown = Find.objects.filter(engine=demo, odd="", entries__isnull=True)
    assert unknown.count() >= 8


def test_every_table_came_in_whole(demo, second):
    for key, engine in (("harrow_gap", demo), ("ketterau", second)):
        for table, rows in (
            ("components", engine.components),
            ("parts", engine.parts),
            ("finds", engine.finds),
            ("condition_notes", engine.condition_notes),
            ("repairs", engine.repairs),
            ("freeing", engine.freeings),
            ("cost_items", engine.cost_items),
            ("hours", engine.hours),
            ("diary", engine.diary),
            ("measurements", engine.measurements),
            ("photos", engine.photos),
            ("photo_pairs", engine.photo_pairs),
            ("proposals", Proposal.objects.filter(engine=engine)),
            ("ownership", engine.ownerships),
            ("sizes", engine.sizes),
            ("cost_amounts", CostAmount.objects.filter(item__engine=engine)),
        ):
            # The bench adds a few costs and measurements of its own.
            more = rows.count() - len(story.read(key, table))
            assert 0 <= more < 90, (key, table)
        entries = engine.entries.values_list("day", "kind", "part__item", "pieces", "stage", "who")
        told = Counter(
            (
                story.day(key, r["days_before"]),
                r["kind"],
                int(r["item"]),
                int(r["pieces"]),
                r["stage"],
                r["who"],
            )
            for r in story.read(key, "entries")
        )
        # The bench adds a few of its own.
        assert not told - Counter(entries)
        assert sum((Counter(entries) - told).values()) < 20
        papers_told = [r for r in story.read(key, "cost_amounts") if r["paper"]]
        assert CostPaper.objects.filter(item__engine=engine).count() == len(papers_told)


def test_jobs_stand_at_every_stage(demo):
    reached = set(
        PieceEntry.objects.filter(engine=demo, kind="stage").values_list("job__route", "stage")
    )
    for route in ROUTES.values():
        assert {(route.key, stage.key) for stage in route.stages} <= reached
    assert PieceEntry.objects.filter(engine=demo, kind="fitted").exists()
    assert Job.objects.filter(engine=demo).count() >= 35


def test_costs_stand_on_every_basis(demo):
    rows = CostAmount.objects.filter(item__engine=demo).values_list("basis", flat=True)
    assert set(Counter(rows)) == {"estimated", "quoted", "ordered", "paid"}
    assert CostItem.objects.filter(engine=demo, heading="fasteners").count() >= 15
    tally = cost_tally(demo, last_day())
    assert all(row.amount.likely > 0 for row in tally.by_basis)


def test_the_second_engine_is_in_other_units_and_money(demo, second):
    assert (demo.length_unit, demo.currency) == ("in", "GBP")
    assert (second.length_unit, second.mass_unit, second.currency) == ("mm", "kg", "EUR")


def test_every_part_stands_as_the_tables_say(demo, second):
    """What SQL counts from the record is what plain Python counts from the tables."""
    for key, engine in (("harrow_gap", demo), ("ketterau", second)):
        rows = Counter(r["item"] for r in story.read(key, "entries"))
        entries = Counter(str(item) for item in engine.entries.values_list("part__item", flat=True))
        # But for the few that the bench took in hand.
        beyond = {int(item) for item in entries - rows}
        assert len(beyond) < 10
        for days_before in (0, 130, 420):
            day = story.day(key, days_before)
            parts = Part.objects.filter(engine=engine).exclude(item__in=beyond)
            for part in parts.status(day):
                names = ("fitted", "in_place", "found", "being_made", "to_be_made", "beyond_repair")
                names += ("missing", "spare", "over_made")
                stands = {n: getattr(part, n) for n in names if getattr(part, n)}
                assert stands == counts(key, part.item, days_before), (part, days_before)


@pytest.mark.parametrize("every", [40, pytest.param(1, marks=pytest.mark.long)])
def test_each_number_on_its_pages_is_the_sum_of_its_entries(demo, second, client, every):
    """Of pages of single parts, finds and the like, one in `every`; of lists, all."""
    for engine in (demo, second):
        lead = Membership.objects.filter(engine=engine, role="lead").select_related("user").first()
        client.force_login(lead.user)
        audit = Audit(client, engine, every)
        assert audit.run(CHECKS) == []
        assert engine != demo or (audit.idle == set() and audit.compared > 1500)


def test_two_years_make_a_curve_beside_a_plan(demo):
    told = progress(demo, last_day())
    for curve in told.curves:
        values = [value for _, value in curve.done]
        assert len(set(values)) > 10, curve.title
        assert values[0] < values[-1]
        assert curve.planned_now is not None
    assert Plan.objects.filter(engine=demo).count() == 1


def test_the_history_lies_on_the_days_of_the_story(demo):
    at = list(Change.objects.filter(engine=demo).values_list("at", flat=True))
    days = {timezone.localdate(moment) for moment in at}
    assert min(days) == story.day("harrow_gap", 717)
    assert max(days) <= last_day()
    assert len(days) > 100
    written = PieceEntry.objects.filter(engine=demo).values_list("made_at", "day")
    assert all(timezone.localdate(moment) in (day, last_day()) for moment, day in written)
    for entry in PieceEntry.objects.filter(engine=demo, find__isnull=False).select_related("find"):
        assert entry.made_at > entry.find.made_at, entry
    seen = Change.objects.filter(engine=demo, verb="added").values_list("kind", "row")
    assert len(seen) == len(set(seen))


def test_who_wrote_it_could_have(demo):
    """Only leads decide and spend, and everyone who wrote belongs to the engine."""
    member = dict(Membership.objects.filter(engine=demo).values_list("user_id", "role"))
    changes = Change.objects.filter(engine=demo)
    assert {c.by_id for c in changes} <= set(member)
    for change in changes.filter(kind__in=["job", "costitem", "costamount", "report", "plan"]):
        assert member[change.by_id] == "lead", change
    decided = PieceEntry.objects.filter(
        engine=demo, kind__in=["decided", "beyond_repair", "left_off"]
    )
    assert {member[entry.made_by_id] for entry in decided} == {"lead"}
    assert len({c.by_id for c in changes}) >= 5


def test_a_corrected_quantity_keeps_what_was_typed_first(demo):
    row = story.read("harrow_gap", "corrections")[0]
    part = Part.objects.get(engine=demo, item=int(row["item"]))
    change = Change.objects.get(kind="part", row=part.pk, verb="changed")
    assert change.before == {"quantity": int(row["was"])}
    assert change.after == {"quantity": int(row["became"])}
    assert timezone.localdate(change.at) == story.day("harrow_gap", row["days_before"])


def test_loading_twice_changes_nothing(demo):
    before = size_of_everything()
    assert load.load() is False
    reports.issue()
    assert size_of_everything() == before


def test_the_story_never_lies_in_the_future(monkeypatch):
    early = timezone.make_aware(datetime.combine(date(2026, 3, 1), time(12)))
    monkeypatch.setattr(timezone, "now", lambda: early)
    moved = load.days_later()
    assert (last_day().toordinal() + moved) == date(2026, 2, 28).toordinal()
    late = timezone.make_aware(datetime.combine(date(2029, 3, 1), time(12)))
    monkeypatch.setattr(timezone, "now", lambda: late)
    assert load.days_later() == 0


# People


def test_lead_helper_and_reader_can_log_in(demo, client):
    secret = people.password()
    for role in ("lead", "helper", "reader"):
        member = Membership.objects.filter(engine=demo, role=role).order_by("pk").first()
        assert client.login(username=member.user.username, password=secret), role
        assert client.get(demo.get_absolute_url()).status_code == 200
    assert re.fullmatch(r"[a-z]+-[a-z]+-[a-z]+-\d{3}", secret)
    kept = settings.DATA_DIR / "demo_password"
    assert kept.stat().st_mode & 0o077 == 0


def test_people_of_the_demonstration_cannot_be_let_into_real_work(demo):
    engine, by = make.engine(), make.user()
    with pytest.raises(Refused, match="made up for the demonstration"):
        people_actions.add_person(engine, people.users().first().username, "helper", by=by)


def test_a_lost_password_is_made_anew_and_works(demo):
    old = people.password()
    people.forget_password()
    new = people.password()
    assert new != old
    assert all(person.check_password(new) for person in people.users())


# Papers


@needs_paper
def test_the_report_has_its_title_and_the_sums_of_the_tally(demo, tmp_path):
    files = papers.write(demo, reports.last_of(demo), tmp_path, last_day())
    pdf = pikepdf.open(next(f for f in files if f.suffix == ".pdf"))
    title = story.about("harrow_gap")["report_title"]
    assert pdf.docinfo["/Title"] == f"{title}, {demo.name}"
    tally = next(f for f in files if "tally" in f.name)
    assert [a.get_file().read_bytes() for a in pdf.attachments.values()] == [tally.read_bytes()]
    text = text_of(pdf)
    assert f"{demo.name} {title}" in text
    told = list(csv.DictReader(io.StringIO(tally.read_text(encoding="utf-8-sig"))))
    rows = [row for row in told if row["by"] in ("heading", "all")]
    assert len(rows) == 8
    for row in rows:
        sums = [f"£{Decimal(row[c]):,.2f}" for c in ("spent", "ordered not paid", "total likely")]
        shown = text[text.index(row["of"] + " £") :][:120].split(" ")
        for amount in sums:
            assert amount in shown, (row["of"], amount, shown)
    assert sum(Decimal(r["spent"]) for r in rows[:-1]) == Decimal(rows[-1]["spent"])


@needs_paper
def test_the_reports_tell_no_place(demo, second):
    for engine, key in ((demo, "harrow_gap"), (second, "ketterau")):
        finds = story.read(key, "finds")
        places = {row[c].lower() for row in finds for c in ("where_found", "kept_at") if row[c]}
        assert places
        for report in Report.objects.filter(engine=engine):
            text = text_of(pikepdf.open(io.BytesIO(report.pdf.read())))
            assert len(text) > 2000
            assert not [place for place in places if len(place) > 4 and place in text.lower()]
            assert engine.place.lower() not in text.lower()
            assert not re.search(r"\b\d{1,3}\.\d{4,}\b|\b[Ss]quare [A-F]\d|°|\b[A-F]\d\b", text)
            assert place_words(engine, report.words, report.next_words) == []


@needs_paper
def test_reports_were_frozen_on_their_days(demo):
    rows = Report.objects.filter(engine=demo).order_by("number")
    assert [row.number for row in rows] == [1, 2, 3, 4]
    for row in rows:
        assert timezone.localdate(row.made_at) == row.last_day
        change = Change.objects.get(kind="report", row=row.pk)
        assert timezone.localdate(change.at) == row.last_day
        assert row.photos.exists()
        assert not row.photos.filter(may_go_out=False).exists()


@needs_paper
def test_a_report_that_could_not_be_printed_is_printed_once_it_can(demo, monkeypatch, tmp_path):
    Report.objects.filter(engine=demo, number=4).update(pdf="")
    with monkeypatch.context() as without:
        without.setattr(paper, "trouble", lambda: "the Pango library is missing")
        reports.issue()
        files = papers.write(demo, reports.last_of(demo), tmp_path, last_day())
        assert {file.suffix for file in files} == {".csv"}
    reports.issue()
    files = papers.write(demo, reports.last_of(demo), tmp_path, last_day())
    assert ".pdf" in {file.suffix for file in files}


def test_the_list_of_parts_to_make_holds_the_jobs(demo, tmp_path):
    files = papers.write(demo, reports.last_of(demo), tmp_path, last_day())
    listed = next(f for f in files if "parts-to-make" in f.name)
    rows = list(csv.DictReader(io.StringIO(listed.read_text(encoding="utf-8-sig"))))
    assert len(rows) >= 35
    assert {"cast", "machine", "fabricate", "buy in", "borrow"} <= {row["how"] for row in rows}


# Taking it away


def test_the_demonstration_goes_in_one_step_and_all_else_stays(demo):
    lead = make.user()
    engine = make.engine()
    Membership.objects.create(engine=engine, user=lead, role="lead")
    part = make.part(engine)
    make.found(part, by=lead)
    picture = photos.keep(
        engine, check_picture(ContentFile(_picture((80, 60)))), by=lead, part=part
    )
    friend = people.users().order_by("pk").first()
    Membership.objects.create(engine=engine, user=friend, role="helper")
    mine = Change.objects.filter(engine=engine).count()
    media = Path(settings.MEDIA_ROOT)
    gone = list(Engine.everything.filter(demo=True).values_list("pk", flat=True))
    assert list(media.glob(f"photos/{gone[0]}/*"))

    removed, kept = clearing.remove_demo()

    assert removed == 2
    assert kept == [friend.username]
    friend.refresh_from_db()
    assert not friend.has_usable_password()
    assert people.users().count() == 0
    assert list(Engine.everything.values_list("pk", flat=True)) == [engine.pk]
    for model in clearing.order():
        if way := clearing.way_to_engine(model):
            assert not model._base_manager.filter(**{f"{way}__in": gone}).exists(), model
    assert Change.objects.filter(engine=engine).count() == mine
    assert PieceEntry.objects.filter(engine=engine).exists()
    assert picture.original.storage.exists(picture.original.name)
    # What waits with a refused form lies by person, not by engine.
    left = [p for pk in gone for p in media.glob(f"*/{pk}/*")]
    assert not [p for p in left if p.relative_to(media).parts[0] != "waiting"]
    assert not [p for pk in gone for p in media.glob(f"reports/{pk}-*")]


def test_every_row_of_the_record_leads_to_its_engine():
    """So that nothing of an engine can be left behind: not even by a model added later."""
    for model in clearing.order():
        assert model is Engine or clearing.way_to_engine(model), model
