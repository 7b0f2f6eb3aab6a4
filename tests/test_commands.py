"""The commands, run as people run them: in a process of their own, on a folder of their own."""

import csv
import ctypes
import fcntl
import http.client
import os
import pty
import random
import re
import select
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import termios
import threading
from contextlib import closing, contextmanager
from decimal import Decimal
from pathlib import Path

import pytest

from parts.drafting import paper
from tests.commands import ROOT, SOON, count, done, environment, media, record, refused


@pytest.fixture(scope="module")
def demo(installations, tmp_path_factory):
    """A folder with the demonstration in it, and what the command printed when it made it."""
    data = shutil.copytree(installations / "demo", tmp_path_factory.mktemp("demo") / "data")
    printed = (installations / "printed.txt").read_text(encoding="utf-8")
    return data, printed.replace(str(installations / "demo"), str(data))


@pytest.fixture
def copy(demo, tmp_path):
    """A folder of one's own with the demonstration."""
    return shutil.copytree(demo[0], tmp_path / "data")


@pytest.fixture
def empty(installations, tmp_path):
    """A folder of one's own that was set up and has nobody in it yet."""
    return shutil.copytree(installations / "empty", tmp_path / "data")


# The demonstration


def test_demo_names_papers_that_are_there_and_logins(demo):
    data, said = demo
    papers = [Path(line.strip()) for line in said.splitlines() if "demo-papers" in line]
    kinds = [path.suffix for path in papers]
    assert kinds.count(".csv") >= 2
    assert kinds.count(".pdf") == (0 if paper.trouble() else 1)
    assert all(path.stat().st_size > 500 for path in papers)
    assert all(path.is_relative_to(data) for path in papers)
    assert re.search(r"http://127\.0\.0\.1:8000/", said)
    for role in ("Lead", "Helper", "Reader"):
        assert re.search(rf"{role} +[a-z]+ +[a-z]+-[a-z]+-[a-z]+-\d{{3}}", said), role
    assert data.stat().st_mode & 0o077 == 0


def test_demo_tells_how_far_it_is(demo):
    said = demo[1]
    assert re.search(r"^Reading \d+ photographs", said, re.MULTILINE)
    for step in ("finds, parts and costs", "pictures", "workshop", "report"):
        assert re.search(rf"^  Harrow Gap sawmill engine: {step}", said, re.MULTILINE), step


def test_the_commands_that_demo_prints_can_be_pasted(demo, copy):
    lines = re.findall(r"^  (.*manage\.py .*)$", demo[1], re.MULTILINE)
    assert [line.split()[-1] for line in lines] == ["remove_demo", "start"]
    shell = ["sh", "-c", lines[0]]
    pasted = subprocess.run(
        shell, cwd=ROOT, env=environment(copy), capture_output=True, text=True, check=True
    )
    assert "The demonstration is gone" in pasted.stdout


def test_demo_twice_does_no_harm(demo):
    data, first = demo
    before, files = record(data), media(data)
    second = done(data, "demo", "--no-serve")
    assert "Nothing of it was changed" in second
    assert record(data) == before
    assert media(data) == files
    assert first.split("Logins")[1] == second.split("Logins")[1]


def test_demo_writes_its_papers_where_it_is_told(demo, tmp_path):
    done(demo[0], "demo", "--no-serve", "--folder", str(tmp_path / "here" / "papers"))
    tally = next((tmp_path / "here" / "papers").glob("*cost-tally*.csv"))
    with tally.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    whole = Decimal(next(row["total likely"] for row in rows if row["by"] == "all"))
    headings = [Decimal(row["total likely"]) for row in rows if row["by"] == "heading"]
    assert sum(headings) == whole > 0


def test_remove_demo_leaves_real_work(copy, tmp_path):
    secret = tmp_path / "word"
    secret.write_text("a-long-word-9\n", encoding="utf-8")
    done(copy, "start", "--no-serve", "--name", "greta", "--password-file", str(secret))
    (copy / "demo-papers" / "notes of mine.txt").write_text("mine", encoding="utf-8")
    assert "2 engines" in done(copy, "remove_demo")
    assert [p.name for p in (copy / "demo-papers").iterdir()] == ["notes of mine.txt"]
    assert count(copy, "parts_engine") == 0
    assert count(copy, "auth_user") == 1
    assert media(copy) == {}
    assert "Nothing was changed" in done(copy, "remove_demo")


# Real work


def test_start_makes_the_first_lead_once(empty, tmp_path):
    data, word = empty, tmp_path / "word"
    word.write_text("a-long-word-9\n", encoding="utf-8")
    said = done(
        data, "start", "--no-serve", "--name", "greta", "--password-file", str(word),
        "--full-name", "Greta Holt",
    )  # fmt: skip
    assert "greta can log in now" in said
    assert count(data, "auth_user", "username='greta' AND first_name='Greta Holt'") == 1
    assert count(data, "auth_user", "is_superuser OR is_staff") == 0
    again = done(data, "start", "--no-serve", "--name", "other", "--password-file", str(word))
    assert "no first lead was made" in again
    assert count(data, "auth_user") == 1
    assert count(data, "parts_engine") == 0


@pytest.mark.parametrize(
    ("words", "more", "says"),
    [
        (["--name", "greta"], {}, "too short"),
        (["--name", "greta"], {"BEDPLATE_FIRST_PASSWORD": "short"}, "too short"),
        (["--name", "greta"], {"BEDPLATE_FIRST_PASSWORD": "83920184736"}, "numeric"),
        (["--name", "two words"], {"BEDPLATE_FIRST_PASSWORD": "a-long-word-9"}, "valid username"),
        (["--name", "greta", "--password-file", "/nowhere/x"], {}, "cannot be read"),
    ],
)
def test_start_says_what_is_wrong_and_makes_nobody(empty, words, more, says):
    assert says in refused(empty, "start", "--no-serve", *words, **more)
    assert count(empty, "auth_user") == 0


# Saving and bringing back


def test_backup_and_restore_bring_everything_into_an_empty_folder(demo, tmp_path):
    data, file = tmp_path / "data", tmp_path / "demo.zip"
    said = done(demo[0], "backup", str(file))
    assert f"{file.stat().st_size / 1e6:.1f} MB. Keep a copy somewhere else" in said
    assert "Everyone logs in again" in done(data, "restore", str(file))
    assert record(data) == record(demo[0])
    assert media(data) == media(demo[0])
    assert len(media(data)) > 200
    assert not (data / "demo_password").exists()
    # The password is not in the backup: a new one is made, and works.
    said = done(data, "demo", "--no-serve")
    assert "password was changed" not in said
    assert said.split("Logins")[1] != demo[1].split("Logins")[1]


def test_restore_after_changes_brings_back_and_keeps_aside(copy, tmp_path):
    file = tmp_path / "before.zip"
    done(copy, "backup", str(file))
    before, files, key = record(copy), media(copy), (copy / "secret_key").read_bytes()
    done(copy, "remove_demo")
    assert record(copy) != before
    said = done(copy, "restore", str(file))
    assert record(copy) == before
    assert media(copy) == files
    assert (copy / "secret_key").read_bytes() == key
    aside = next(copy.glob("replaced-*"))
    assert str(aside) in said
    assert (aside / "bedplate.sqlite3").exists()


def test_backup_names_its_file_by_day_and_hour(copy, tmp_path):
    folder = tmp_path / "stick"
    folder.mkdir()
    said = done(copy, "backup", str(folder))
    done(copy, "backup", cwd=tmp_path)
    assert re.search(r"Saved to .*/stick/bedplate-\d{4}-\d\d-\d\d-\d{6}\.zip", said)
    assert len(list(folder.glob("bedplate-*.zip"))) == 1
    assert len(list(tmp_path.glob("bedplate-*.zip"))) == 1


def test_restore_refuses_a_bad_file_in_words(copy, tmp_path):
    before = record(copy)
    bad = tmp_path / "holiday.zip"
    bad.write_bytes(b"not a zip")
    assert "no backup of Bedplate" in refused(copy, "restore", str(bad))
    assert "There is no file" in refused(copy, "restore", str(tmp_path / "nothing.zip"))
    assert record(copy) == before


# A record that is damaged, of a newer version, or not ours to write


def no_database(record: Path) -> None:
    record.write_bytes(b"Dear all, " * 500)


def noise(record: Path) -> None:
    whole = bytearray(record.read_bytes())
    for page in range(4096, len(whole), 5 * 4096):
        whole[page : page + 4096] = random.Random(page).randbytes(4096)
    record.write_bytes(whole)


def a_folder(record: Path) -> None:
    record.unlink()
    record.mkdir()


def cut_short(record: Path) -> None:
    record.write_bytes(record.read_bytes()[:40_000])


def newer(record: Path) -> None:
    with closing(sqlite3.connect(record)) as db:
        row = "INSERT INTO django_migrations (app, name, applied) VALUES ('parts', '0999', '2027')"
        db.execute(row)
        db.commit()


DAMAGE = {"no database": no_database, "noise": noise, "folder": a_folder, "cut": cut_short}
COMMANDS = {
    "start": ("start", "--no-serve"),
    "demo": ("demo", "--no-serve"),
    "backup": ("backup",),
    "remove_demo": ("remove_demo",),
    "changepassword": ("changepassword", "greta"),
}


@pytest.mark.parametrize(
    ("command", "what"),
    [
        pytest.param(
            command,
            what,
            marks=[]
            if (command, what) in {("start", "noise"), ("demo", "no database"), ("backup", "cut")}
            else pytest.mark.long,
        )
        for command in COMMANDS
        for what in DAMAGE
    ],
)
def test_a_damaged_record_is_told_in_a_sentence(begun, tmp_path, command, what):
    record = begun / "bedplate.sqlite3"
    DAMAGE[what](record)
    said = refused(begun, *COMMANDS[command], cwd=tmp_path)
    assert str(record) in said
    assert re.search("damaged|cannot be opened", said)
    assert list(tmp_path.glob("*.zip")) == []


def test_a_record_of_a_newer_version_is_not_started(begun):
    newer(begun / "bedplate.sqlite3")
    assert "newer Bedplate (parts.0999). Update this one first" in refused(begun, "start")


def as_anybody():
    """Take from root the right to write where the file says no; others never had it."""
    libc = ctypes.CDLL(None)
    for override in (1, 2):  # CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH
        libc.prctl(24, override, 0, 0, 0)  # PR_CAPBSET_DROP


@pytest.mark.skipif(sys.platform != "linux", reason="takes rights away as Linux does")
@pytest.mark.parametrize("command", ["start", pytest.param("demo", marks=pytest.mark.long)])
def test_a_record_that_may_not_be_written_is_told_in_a_sentence(begun, command):
    (begun / "bedplate.sqlite3").chmod(0o400)
    said = refused(begun, *COMMANDS[command], before=as_anybody)
    assert "It cannot be written: look at whose the file and its folder are." in said


@pytest.mark.skipif(sys.platform != "linux", reason="takes rights away as Linux does")
def test_a_folder_that_may_not_be_written_is_told_in_a_sentence(tmp_path):
    (tmp_path / "locked").mkdir(mode=0o500)
    said = refused(tmp_path / "locked" / "data", "start", before=as_anybody)
    assert "Set BEDPLATE_DATA to a folder that you may write to" in said


# Stopping


def heed_ctrl_c():
    """What a shell starts in the background ignores it, and hands that on."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@contextmanager
def typed_at(data: Path, *words: str):
    """A command with a terminal of its own; yields what waits for a question and answers it."""

    def before():
        fcntl.ioctl(0, termios.TIOCSCTTY, 0)
        heed_ctrl_c()

    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), *words],
        env=environment(data),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
        preexec_fn=before,
    )
    os.close(theirs)
    watch = threading.Timer(SOON, process.kill)
    watch.start()
    said = ""

    def read(until: str | None, again: str) -> str:
        nonlocal said
        while until is None or until not in said:
            if again and not select.select([ours], [], [], 3)[0]:
                os.write(ours, again.encode())
                continue
            try:
                got = os.read(ours, 4096)
            except OSError:  # the other end is closed
                got = b""
            if not got:
                break
            said += got.decode()
        return said

    def answer(question: str | None, keys: str = "", again: str = "") -> str:
        """Wait for a question, or for the end, and type.

        Keys to be typed again while nothing comes: a signal that arrives just before a program
        begins to wait for its terminal does not wake it, and people press once more.
        """
        read(question, again)
        if question:
            os.write(ours, keys.encode())
        return said

    try:
        yield process, answer
        process.wait(timeout=SOON)
    finally:
        watch.cancel()
        process.kill()
        process.wait()
        os.close(ours)


CTRL_C, CTRL_D = "\x03", "\x04"


@pytest.mark.parametrize(
    "keys",
    [
        pytest.param([("Login", CTRL_C)], marks=pytest.mark.long),
        [("Login", CTRL_D)],
        pytest.param([("Login", "greta\n"), ("Full name", CTRL_C)], marks=pytest.mark.long),
        [("Login", "greta\n"), ("Full name", "\n"), ("Password:", CTRL_C)],
    ],
    ids=["login", "end of typing", "name", "password"],
)
def test_ctrl_c_at_a_question_of_start_ends_it_quietly(empty, keys):
    with typed_at(empty, "start", "--no-serve") as (process, answer):
        for question, key in keys:
            answer(question, key)
        said = answer(None, again=key)
    assert process.returncode == 130
    assert said.rstrip().endswith("Stopped.")
    assert "Traceback" not in said
    assert count(empty, "auth_user") == 0


def test_start_asks_for_the_first_lead(empty):
    with typed_at(empty, "start", "--no-serve") as (process, answer):
        answer("Login", "greta\n")
        answer("Full name", "Greta Holt\n")
        answer("Password:", "a-long-word-9\n")
        answer("again:", "a-long-word-9\n")
        said = answer(None)
    assert process.returncode == 0
    assert "greta can log in now" in said
    assert "a-long-word" not in said


@pytest.mark.parametrize(
    "when",
    [
        pytest.param("photographs", id="while it reads"),
        pytest.param("workshop", id="while it writes", marks=pytest.mark.long),
        pytest.param("report 2", id="while it prints", marks=pytest.mark.long),
    ],
)
def test_ctrl_c_while_the_demonstration_loads_ends_it_quietly(empty, when):
    with typed_at(empty, "demo", "--no-serve") as (process, answer):
        answer(when, CTRL_C)
        said = answer(None)
    assert process.returncode == 130
    assert said.rstrip().endswith("Stopped.")
    assert "Traceback" not in said
    if when != "report 2":
        assert count(empty, "parts_engine") == 0
        assert media(empty) == {}


# Serving


@contextmanager
def served(data: Path, *words: str, **more: str):
    """A running server; yields its port and all that it said until then."""
    process = subprocess.Popen(
        [sys.executable, str(ROOT / "manage.py"), *words],
        env=environment(data, PYTHONUNBUFFERED="1", **more),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        text=True,
        preexec_fn=heed_ctrl_c,
    )
    watch = threading.Timer(SOON, process.kill)
    watch.start()
    try:
        said = ""
        for line in process.stdout:
            said += line
            if found := re.search(r"Bedplate is at http://127\.0\.0\.1:(\d+)/", line):
                break
        else:
            pytest.fail(f"It never served: {said}")
        yield int(found[1]), said
        # As people stop it.
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=SOON) == 0
        assert "KeyboardInterrupt" not in process.stdout.read()
    finally:
        watch.cancel()
        process.kill()
        process.wait()
        process.stdout.close()


def get(port: int, path: str, **headers: str):
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=30)) as line:
        line.request("GET", path, headers={k.replace("_", "-"): v for k, v in headers.items()})
        answer = line.getresponse()
        return answer.status, answer.headers, answer.read()


@pytest.fixture(scope="module")
def _begun(installations, tmp_path_factory):
    data = shutil.copytree(installations / "empty", tmp_path_factory.mktemp("begun") / "data")
    done(data, "start", "--no-serve", "--name", "greta", BEDPLATE_FIRST_PASSWORD="a-long-word-9")
    return data


@pytest.fixture
def begun(_begun, tmp_path):
    """An installation with its first lead."""
    return shutil.copytree(_begun, tmp_path / "data")


def test_a_taken_port_is_told_and_the_next_is_used_on_this_machine_only(begun):
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = other.getsockname()[1]
        with served(begun, "start", "--port", str(taken)) as (port, said):
            assert f"Port {taken} is taken" in said
            assert taken < port <= taken + 20
            status, _, page = get(port, "/account/login/")
            assert status == 200
            assert b"Log in" in page
            sheet = re.search(rb'href="(/static/css/base\.[0-9a-f]+\.css)"', page)
            status, headers, _ = get(port, sheet[1].decode())
            assert status == 200
            assert "immutable" in headers["Cache-Control"]
            assert get(port, "/static/.gathered")[0] == 404
            assert "Server" not in headers
            assert get(port, "/", Host="elsewhere.example")[0] == 400


def test_data_that_are_served_cannot_be_served_twice_or_restored(begun, tmp_path):
    with served(begun, "start", "--port", "18430"):
        assert "being served" in refused(begun, "start", "--port", "18470")
        done(begun, "backup", str(tmp_path / "kept.zip"))
        said = refused(begun, "restore", str(tmp_path / "kept.zip"))
        assert "Stop it first" in said
        assert "Nothing was changed" in said
    done(begun, "restore", str(tmp_path / "kept.zip"))


def test_in_public_it_answers_its_host_by_https_alone(begun):
    public = {"BEDPLATE_MODE": "public", "BEDPLATE_HOSTS": "engine.example.org"}
    with served(begun, "start", "--port", "18510", **public) as (port, _):
        host = {"Host": "engine.example.org"}
        status, headers, _ = get(port, "/account/login/", **host)
        assert (status, headers["Location"]) == (301, "https://engine.example.org/account/login/")
        status, headers, _ = get(port, "/account/login/", **host, X_Forwarded_Proto="https")
        assert status == 200
        assert "__Host-csrftoken" in headers["Set-Cookie"]
        assert "Secure" in headers["Set-Cookie"]
        assert "max-age" in headers["Strict-Transport-Security"]


def test_a_port_that_cannot_be_is_refused(begun):
    assert "There is no port 70000" in refused(begun, "start", "--port", "70000")


def test_without_pango_all_else_works_and_it_is_said(copy, tmp_path):
    """The library is hidden from the process, as on a machine that lacks it."""
    hide = tmp_path / "hide"
    hide.mkdir()
    (hide / "sitecustomize.py").write_text(
        "import cffi\n"
        "real = cffi.FFI.dlopen\n"
        "def hidden(self, name, *rest):\n"
        "    if name and 'pango' in name:\n"
        "        raise OSError(f'cannot load library {name}')\n"
        "    return real(self, name, *rest)\n"
        "cffi.FFI.dlopen = hidden\n",
        encoding="utf-8",
    )
    shutil.rmtree(copy / "demo-papers")
    with served(copy, "demo", "--port", "18550", PYTHONPATH=str(hide)) as (port, said):
        assert said.startswith("PDFs cannot be made on this machine yet: the Pango library is miss")
        assert "apt install libpango-1.0-0" in said
        assert list((copy / "demo-papers").glob("*cost-tally*.csv"))
        assert get(port, "/account/login/")[0] == 200
