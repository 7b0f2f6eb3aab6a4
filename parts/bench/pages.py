"""Time each main page beside one hand-written SQL statement that fetches the same answer.

Times are of the processor, not of the clock: what else the machine does counts for nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median
from time import process_time

from django.db import connection
from django.db.models import Count
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from parts.record.models import Engine, Find, Part

from .yardstick import full_list

SQL = Path(__file__).parent / "sql"
TIMES = 5
# What a list aims at: this many times the bare SQL, or this many milliseconds, whichever is more.
AIM_RATIO, AIM_MS = 4, 100
DETAIL_AIM_MS = 60


@dataclass(frozen=True)
class Page:
    """A page, and the SQL that fetches its answer.

    Args:
        asked: What follows "?" in the address.
        sql: The name of the statement, and of what stands before it in its WITH.
        of: What the page is of, for one that shows a single row: "part" or "find".
    """

    word: str
    name: str
    asked: dict
    sql: tuple[str, ...]
    of: str = ""

    def quick(self, ms: float, sql_ms: float) -> bool:
        """Whether it meets its aim."""
        return ms < (DETAIL_AIM_MS if self.of else max(AIM_MS, AIM_RATIO * sql_ms))


PAGES = (
    Page("overview", "engine", {}, ("overview", "status", "costs", "jobs")),
    Page("parts list", "part_list", {}, ("parts", "status")),
    Page(
        "parts list, filtered",
        "part_list",
        {"material": "cast_iron", "state": "missing"},
        ("parts", "status"),
    ),
    Page("parts to make", "jobs", {}, ("to_make", "status", "costs", "jobs")),
    Page("jobs by person", "jobs_by_person", {}, ("jobs_by_person",)),
    Page("pour plan", "pours", {}, ("waiting",)),
    Page("costs", "costs", {}, ("costs_page", "costs")),
    Page("progress", "report_list", {}, ("progress", "status", "costs")),
    Page("finds", "site", {}, ("finds",)),
    Page("history", "history", {}, ("history",)),
    Page("one part", "part", {}, ("part",), "part"),
    Page("one find", "find", {}, ("find", "matches"), "find"),
    Page("identify", "identify", {}, ("identify", "matches"), "find"),
)


@dataclass(frozen=True)
class Timed:
    """A page as it was measured; times of the processor in milliseconds, the median of five.

    Args:
        sent: Bytes of the answer as a browser gets it, compressed.
        sql_ms: The bare statement, its rows fetched; None for the yardstick.
        aim: Whether it meets the aim; None for a page without one.
    """

    page: str
    ms: float
    queries: int
    sent: int
    sql_ms: float | None = None
    aim: bool | None = None

    @property
    def ratio(self) -> float | None:
        return self.ms / self.sql_ms if self.sql_ms else None


def statement(page: Page) -> str:
    """The one statement of a page, with what stands before it in its WITH."""
    last, *before = ((SQL / f"{name}.sql").read_text(encoding="utf-8") for name in page.sql)
    return f"WITH {', '.join(before)} {last}" if before else last


def rows_to_show(engine: Engine) -> dict[str, Part | Find]:
    """The part with the most entries, and a find whose piece nobody has named yet."""
    parts = Part.objects.filter(engine=engine).annotate(n=Count("entries")).order_by("-n", "pk")
    finds = Find.objects.filter(engine=engine, odd="", entries=None).order_by("pk")
    return {"part": parts.first(), "find": finds.first()}


def run_sql(page: Page, engine: Engine, rows: dict | None = None) -> list[tuple]:
    """Run the statement of a page as it stands, without the ORM, and fetch its rows."""
    given = {
        "engine": engine.pk,
        "material": page.asked.get("material", ""),
        "state": page.asked.get("state", ""),
    } | {of: row.pk for of, row in (rows or {}).items()}
    connection.ensure_connection()
    return connection.connection.execute(statement(page), given).fetchall()


def time_pages(engine: Engine, lead) -> list[Timed]:
    """Time every page, then the list of the same parts in Django's own admin, bare and full."""
    client = Client(headers={"accept-encoding": "gzip"})
    client.force_login(lead)
    rows = rows_to_show(engine)
    admin = _get(client, f"{reverse('admin:parts_part_changelist')}?engine__id__exact={engine.pk}")
    bare = _timed("Django's admin, bare columns", admin)
    full = _timed("Django's admin, same answer", lambda: full_list(engine, lead))
    timed = []
    for page in PAGES:
        given = [engine.pk, rows[page.of].pk] if page.of else [engine.pk]
        asked = "&".join(f"{key}={value}" for key, value in page.asked.items())
        got = _timed(
            page.word,
            _get(client, f"{reverse(f'parts:{page.name}', args=given)}?{asked}"),
            _median_ms(lambda page=page: run_sql(page, engine, rows)),
        )
        quick = page.quick(got.ms, got.sql_ms)
        timed.append(replace(got, aim=quick and got.ms < full.ms))
    return [*timed, bare, full]


def _get(client: Client, address: str) -> Callable:
    def get():
        answer = client.get(address, secure=True)
        if answer.status_code != 200:
            raise RuntimeError(f"{address} answered {answer.status_code}.")
        return answer

    return get


def _timed(word: str, get: Callable, sql_ms: float | None = None) -> Timed:
    ms = _median_ms(get)
    with CaptureQueriesContext(connection) as queries:
        answer = get()
    return Timed(word, ms, len(queries), len(answer.content), sql_ms)


def _median_ms(call: Callable) -> float:
    """The median processor time of five calls, after one that warms what is kept between calls."""
    call()
    times = []
    for _ in range(TIMES):
        begun = process_time()
        call()
        times.append(process_time() - begun)
    return 1000 * median(times)
