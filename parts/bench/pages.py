"""Time each main page beside one hand-written SQL statement that fetches the same answer."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter

from django.db import connection
from django.db.models import Count
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from ..models import Engine, Part
from .yardstick import full_list

SQL = Path(__file__).parent / "sql"
TIMES = 5
# What a page aims at: this many times the bare SQL, or this many milliseconds.
AIM_RATIO, AIM_MS = 4, 60


@dataclass(frozen=True)
class Page:
    """A page, and the SQL that fetches its answer.

    Args:
        asked: What follows "?" in the address.
        sql: The name of the statement, and of what stands before it in its WITH.
        aims: Whether the page is one of those that must meet the aim.
    """

    word: str
    name: str
    asked: dict
    sql: tuple[str, ...]
    aims: bool = False


PAGES = (
    Page("overview", "engine", {}, ("overview", "standing", "costs", "makings"), True),
    Page("parts list", "part_list", {}, ("parts", "standing"), True),
    Page(
        "parts list, filtered",
        "part_list",
        {"material": "cast_iron", "state": "missing"},
        ("parts", "standing"),
        True,
    ),
    Page("parts to make", "makings", {}, ("to_make", "standing", "costs", "makings"), True),
    Page("pour plan", "pours", {}, ("waiting",)),
    Page("costs", "costs", {}, ("costs_page", "costs")),
    Page("finds", "site", {}, ("finds",)),
    Page("history", "history", {}, ("history",)),
    Page("one part", "part", {}, ("part",)),
)


@dataclass(frozen=True)
class Timed:
    """A page as it was measured; times in milliseconds, the median of five.

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


def run_sql(page: Page, engine: Engine, part: Part | None = None) -> list[tuple]:
    """Run the statement of a page as it stands, without the ORM, and fetch its rows."""
    given = {
        "engine": engine.pk,
        "part": part.pk if part else None,
        "material": page.asked.get("material", ""),
        "state": page.asked.get("state", ""),
    }
    connection.ensure_connection()
    return connection.connection.execute(statement(page), given).fetchall()


def time_pages(engine: Engine, lead) -> list[Timed]:
    """Time every page, then the list of the same parts in Django's own admin, bare and full."""
    client = Client(headers={"accept-encoding": "gzip"})
    client.force_login(lead)
    busiest = (
        Part.objects.filter(engine=engine).annotate(n=Count("facts")).order_by("-n", "pk").first()
    )
    admin = _get(client, f"{reverse('admin:parts_part_changelist')}?engine__id__exact={engine.pk}")
    bare = _timed("Django's admin, bare columns", admin)
    full = _timed("Django's admin, same answer", lambda: full_list(engine, lead))
    timed = []
    for page in PAGES:
        given = [engine.pk, busiest.pk] if page.name == "part" else [engine.pk]
        asked = "&".join(f"{key}={value}" for key, value in page.asked.items())
        got = _timed(
            page.word,
            _get(client, f"{reverse(f'parts:{page.name}', args=given)}?{asked}"),
            _median_ms(lambda page=page: run_sql(page, engine, busiest)),
        )
        timed.append(_held_to_aim(page, got, full))
    return [*timed, bare, full]


def _held_to_aim(page: Page, got: Timed, yardstick: Timed) -> Timed:
    if not page.aims:
        return got
    quick = got.ms < AIM_MS or got.ratio < AIM_RATIO
    return Timed(*list(vars(got).values())[:-1], aim=quick and got.ms < yardstick.ms)


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
    """The median time of five calls, after one that warms what is kept between calls."""
    call()
    times = []
    for _ in range(TIMES):
        begun = perf_counter()
        call()
        times.append(perf_counter() - begun)
    return 1000 * median(times)
