"""What is sent with files is saved whole or not at all, whatever fails on the way, and once."""

import errno
import io
import os
import sys
import time
import uuid
from collections import Counter
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import OperationalError, connection, connections
from PIL import Image

from parts.drawings import actions as drawings_actions
from parts.drawings.models import Drawing
from parts.finds import actions as finds_actions
from parts.money import actions as money_actions
from parts.money.models import CostPaper
from parts.photos.actions import photos
from parts.photos.models import Photo
from parts.record.actions import files
from parts.record.actions import saving as record
from parts.record.actions.saving import Refused
from parts.record.models import Change, DiaryEntry, Find
from parts.reports.actions import reports
from parts.reports.models import Report
from parts.reports.queries.report import Details
from tests import make
from tests.record.test_concurrent import at_once

pytestmark = pytest.mark.django_db(transaction=True)
DAY = make.FIRST_DAY
ROWS = (Find, DiaryEntry, Photo, Drawing, Report)


def picture(colour: str, size=(40, 30)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


RED, BLUE, GREEN = picture("red"), picture("blue"), picture("green")
PDF = b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"


class Bench:
    """An engine of its own, and a form that is sent to it, again and again with the same id."""

    def __init__(self, action: str):
        self.action, self.uid = action, uuid.uuid4()
        self.engine = make.engine(tag_prefix="HG")
        self.lead = make.member(self.engine, "lead")
        self.cost = make.cost(self.engine)
        if action == "report":
            self.report = reports.freeze(
                self.engine, Details(1, "R", DAY, DAY), reports.Draft("", {}), by=self.lead
            )

    def send(self, *contents: bytes):
        return getattr(self, f"_{self.action}")([ContentFile(c) for c in contents])

    def _find(self, sent):
        row = Find(engine=self.engine, uid=self.uid, day=DAY, looks_like="bent lever")
        return finds_actions.record_find(row, sent, by=self.lead)

    def _diary(self, sent):
        row = DiaryEntry(engine=self.engine, uid=self.uid, day=DAY, done="dug")
        return finds_actions.record_diary(row, sent, by=self.lead)

    def _photo(self, sent):
        return photos.take_in(self.engine, sent[0], uid=self.uid, by=self.lead)

    def _sheet(self, sent):
        row = Drawing(engine=self.engine, uid=self.uid, name="Plan")
        return drawings_actions.add_sheet(row, sent[0], by=self.lead)

    def _paper(self, sent):
        about = {"kind": "quote", "name": "Quote", "day": DAY}
        return money_actions.add_paper(self.cost, sent[0], uid=self.uid, by=self.lead, **about)

    def _report(self, sent):
        reports.store_pdf(self.report, sent[0].read())

    def files(self) -> set[Path]:
        return {
            path
            for kind in ("photos", "papers", "reports")
            for path in Path(default_storage.location, kind, str(self.engine.pk)).rglob("*")
            if path.is_file()
        }

    def rows(self) -> Counter:
        rows = Counter({m.__name__: m.everything.filter(engine=self.engine).count() for m in ROWS})
        rows["CostPaper"] = CostPaper.everything.filter(item=self.cost).count()
        rows["PDF"] = Report.everything.filter(engine=self.engine).exclude(pdf="").count()
        rows["Change"] = Change.objects.filter(engine=self.engine).count()
        return +rows

    def unnamed(self) -> set[str]:
        root = Path(default_storage.location)
        here = {path.relative_to(root).as_posix() for path in self.files()}
        return here - files.named_by_rows()

    def age(self, seconds: float) -> None:
        for path in self.files():
            os.utime(path, (time.time() - seconds,) * 2)


SENT = {
    "find": (RED, BLUE),
    "diary": (RED, BLUE),
    "photo": (RED,),
    "sheet": (RED,),
    "paper": (PDF,),
    "report": (PDF,),
}
# What is there when all is saved: rows beyond those of an engine to begin with, and files.
WHOLE = {
    "find": ({"Find": 1, "Photo": 2, "Change": 3}, 8),
    "diary": ({"DiaryEntry": 1, "Photo": 2, "Change": 3}, 8),
    "photo": ({"Photo": 1, "Change": 1}, 4),
    "sheet": ({"Drawing": 1, "Photo": 1, "Change": 2}, 4),
    "paper": ({"CostPaper": 1, "Change": 1}, 1),
    "report": ({"PDF": 1}, 1),
}


@pytest.fixture(params=SENT)
def action(request):
    return request.param


class Steps:
    """Every step by which an action changes disk or database; it can be stopped at one of them.

    What lies between two of these steps changes nothing that outlives the process.
    """

    def __init__(self, stop_at: int | None = None, kill: bool = False):
        self.stop_at, self.kill, self.seen = stop_at, kill, []

    def step(self, what: str, error: Exception) -> None:
        self.seen.append(what)
        if len(self.seen) - 1 == self.stop_at:
            if self.kill:
                os._exit(9)
            raise error

    def _file(self, what: str) -> None:
        self.step(what, OSError(errno.ENOSPC, "No space left on device"))

    def _row(self, what: str) -> None:
        self.step(what, OperationalError("database or disk is full"))

    def _statement(self, execute, sql, params, many, context):
        if not sql.startswith("SELECT"):
            self._row(sql.split(" (")[0][:40])
        return execute(sql, params, many, context)

    @contextmanager
    def watched(self):
        save, to_disk = FileSystemStorage._save, files._to_disk
        connection.ensure_connection()
        commit = connection._commit

        def saving(storage, name, content):
            self._file("open file")
            if len(self.seen) == self.stop_at:
                path = Path(storage.path(name))
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content.read()[: content.size // 2])
            self._file("half a file")
            return save(storage, name, content)

        def holding(name):
            self._file("hold file")
            to_disk(name)

        def committing():
            self._row("before commit")
            commit()
            self._row("after commit")

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(FileSystemStorage, "_save", saving)
            patch.setattr(files, "_to_disk", holding)
            patch.setattr(connection, "_commit", committing)
            with connection.execute_wrapper(self._statement):
                yield self


def steps_of(action: str) -> list[str]:
    bench = Bench(action)
    with Steps().watched() as steps:
        bench.send(*SENT[action])
    return steps.seen


def fail_at(bench: Bench, step: int) -> None:
    with Steps(step).watched(), pytest.raises((Refused, OperationalError)):
        bench.send(*SENT[bench.action])


def kill_at(bench: Bench, step: int) -> None:
    """Send in a process that ends at a step, with nothing cleaned up after it."""
    connections.close_all()
    child = os.fork()
    if not child:
        try:
            with Steps(step, kill=True).watched():
                bench.send(*SENT[bench.action])
        finally:
            os._exit(1)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


def left_and_mended(action: str, step: int, stop) -> tuple[int, int, int, str]:
    """Stop a sending at a step; return what was left: rows, files, files after the sweep."""
    bench = Bench(action)
    before = bench.rows()
    rows, n_files = WHOLE[action]
    whole = before + Counter(rows)
    stop(bench, step)
    now, left = bench.rows(), len(bench.files())
    assert now in (before, whole), "rows are there in part"
    if now == whole or stop is fail_at:
        assert not bench.unnamed()
        assert left == (n_files if now == whole else 0)
    files.sweep()
    assert len(bench.files()) == left, "a file that may be being written was swept"
    bench.age(2 * 3600)
    files.sweep()
    swept = len(bench.files())
    assert swept == (n_files if now == whole else 0)
    bench.send(*SENT[action])
    bench.send(*SENT[action])
    assert bench.rows() == whole
    assert len(bench.files()) == n_files
    assert not bench.unnamed()
    return sum((now - before).values()), left, swept


def test_all_of_it_is_saved(action):
    bench = Bench(action)
    before = bench.rows()
    bench.send(*SENT[action])
    rows, n_files = WHOLE[action]
    assert bench.rows() - before == Counter(rows)
    assert len(bench.files()) == n_files


@pytest.mark.parametrize("stop", [fail_at, kill_at])
def test_stopped_at_a_few_steps_it_leaves_nothing_and_is_whole_when_sent_again(action, stop):
    steps = steps_of(action)
    row = next(i for i, what in enumerate(steps) if what.startswith(("INSERT", "UPDATE")))
    for step in (steps.index("half a file"), row, steps.index("before commit"), len(steps) - 1):
        left_and_mended(action, step, stop)


@pytest.mark.long
def test_stopped_at_any_step_it_leaves_nothing_and_is_whole_when_sent_again(action, capsys):
    """Stopped at each step: by a full disk or database, and by a kill."""
    lines = []
    for step, what in enumerate(steps_of(action)):
        for stop in (fail_at, kill_at):
            rows, left, swept = left_and_mended(action, step, stop)
            whole = sum(WHOLE[action][0].values()), WHOLE[action][1]
            lines.append((action, step, what, stop.__name__, rows, left, swept, *whole))
    head = ("action", "step", "", "stopped", "rows", "files", "swept", "again: rows", "files")
    with capsys.disabled():
        for line in (head, *lines):
            sys.stdout.write(
                "\n{:7} {:>4}  {:40}  {:7} {:>5} {:>5} {:>5} {:>12} {:>5}".format(*line)
            )
    assert len(lines) > 10


@pytest.mark.parametrize("action", ["find", "diary"])
def test_sent_again_it_adds_what_is_missing_and_nothing_twice(action):
    bench = Bench(action)
    first = bench.send(RED)
    again = bench.send(RED, BLUE, BLUE)
    assert again.pk == first.pk
    assert {p.sha256 for p in again.photos.all()} == {
        photos.check_picture(ContentFile(content)).sha256 for content in (RED, BLUE)
    }
    assert len(bench.files()) == 8


def test_a_find_that_was_left_without_its_photos_gets_them():
    """As a process that was killed left it before files and rows were saved together."""
    bench = Bench("find")
    row = Find(engine=bench.engine, uid=bench.uid, day=DAY, looks_like="bent lever")
    record.add(row, by=bench.lead)
    bench.send(RED, BLUE)
    assert row.photos.count() == 2
    assert Find.everything.filter(engine=bench.engine).count() == 1


def test_a_sheet_sent_again_with_another_picture_is_refused():
    bench = Bench("sheet")
    bench.send(RED)
    with pytest.raises(Refused, match="another picture"):
        bench.send(BLUE)
    assert len(bench.files()) == 4


@pytest.mark.parametrize("action", ["find", "diary", "photo", "sheet", "paper"])
def test_an_id_of_another_engine_or_of_a_removed_row_is_refused_in_words(action):
    bench, other = Bench(action), Bench(action)
    row = bench.send(*SENT[action])
    if action in ("find", "diary", "sheet"):
        other.uid = bench.uid
        with pytest.raises(Refused, match="another engine"):
            other.send(*SENT[action])
        assert not other.files()
    record.remove(row, by=None)
    with pytest.raises(Refused, match="deleted since"):
        bench.send(*SENT[action])


@pytest.mark.parametrize("action", ["find", "diary", "photo", "sheet", "paper"])
def test_one_form_sent_many_times_at_once_goes_in_once(action):
    bench = Bench(action)
    before = bench.rows()
    given = at_once(lambda i: bench.send(*SENT[action]), 6)
    assert len({row.pk for row in given}) == 1
    rows, n_files = WHOLE[action]
    assert bench.rows() - before == Counter(rows)
    assert len(bench.files()) == n_files
    assert not bench.unnamed()


def test_forms_sent_at_once_with_other_photos_lose_none():
    """Two tabs, or a phone and its retry: the same find, with pictures in part the same."""
    bench = Bench("find")
    sent = [(RED,), (RED, BLUE), (GREEN,), (BLUE, GREEN)]
    at_once(lambda i: bench.send(*sent[i]), 4)
    find = Find.objects.get(engine=bench.engine)
    assert find.photos.count() == 3
    assert len(bench.files()) == 12
    assert not bench.unnamed()


def test_the_sweep_removes_what_no_row_names_and_nothing_else():
    bench = Bench("photo")
    photo = bench.send(RED)
    record.remove(photo, by=bench.lead)
    named = bench.files()
    folder = Path(default_storage.location, "photos", str(bench.engine.pk), "left-behind")
    folder.mkdir()
    (folder / "original.jpg").write_bytes(b"half")
    elsewhere = Path(default_storage.location, "of-someone-else.txt")
    elsewhere.write_bytes(b"mine")
    bench.age(2 * 3600)
    os.utime(folder, (time.time() - 7200,) * 2)
    os.utime(elsewhere, (0, 0))
    assert files.sweep() == 1
    assert bench.files() == named
    assert not folder.exists()
    assert elsewhere.exists()
    elsewhere.unlink()


def test_a_record_without_engines_sweeps_nothing():
    """A new or misplaced database must not cost the photos of the true one."""
    lost = Path(default_storage.location, "photos", "1", "x", "original.jpg")
    lost.parent.mkdir(parents=True)
    lost.write_bytes(b"a photo")
    os.utime(lost, (0, 0))
    assert files.sweep() == 0
    assert lost.exists()
    make.engine()
    assert files.sweep() == 1


@pytest.mark.parametrize("highest", ["HG-9999", "HG-10000", "HG-123456", "HG-999999"])
def test_tags_go_on_after_any_number(highest):
    bench = Bench("find")
    make.find(bench.engine, tag="HG-0012")
    make.find(bench.engine, tag=highest)
    make.find(bench.engine, tag="HG-old")
    first, second = bench.send(), None
    bench.uid = uuid.uuid4()
    second = bench.send()
    number = int(highest[3:])
    assert [first.tag, second.tag] == [f"HG-{number + 1}", f"HG-{number + 2}"]


def test_an_empty_find_is_refused_and_uses_up_no_tag():
    engine = make.engine(tag_prefix="HG")
    with pytest.raises(Refused, match="photo or a few words"):
        finds_actions.record_find(
            Find(engine=engine, day=DAY, found_by="Nell", quantity=1), by=None
        )
    assert finds_actions.next_tag(engine) == "HG-0001"
    assert not Find.everything.filter(engine=engine).exists()
