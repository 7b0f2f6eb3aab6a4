"""The reports that were sent in the two years of the story, frozen on the days they were."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from parts.photos.models import Photo
from parts.record.models import Change, Engine, Membership
from parts.reports import issuing
from parts.reports.actions import reports
from parts.reports.models import Report
from parts.reports.queries.report import Details

from . import load, story

SHOWN = 6


@dataclass(frozen=True)
class Sent:
    """A report that was sent before the last one, which stands in `engine.csv`."""

    engine: str
    number: int
    first: date
    last: date
    words: str
    next_words: str


EARLIER = (
    Sent(
        "harrow_gap",
        1,
        date(2024, 12, 1),
        date(2025, 6, 30),
        "We came for a wheel in the brambles and found most of an engine under it. Both cylinder "
        "covers, the steam chest and the connecting rod are out and dry. The bed never left its "
        "stones and lies level.",
        "Get the cylinder under cover before the weather turns. Go on for the crosshead: where "
        "its pin lay it should be too.",
    ),
    Sent(
        "harrow_gap",
        2,
        date(2025, 7, 1),
        date(2025, 12, 31),
        "The pit was pumped dry for the first time and we saw the foundation from below. Work "
        "stopped for a bone, as the county asks, and went on once they had been. The main brasses "
        "are beyond repair, all four.",
        "Patterns for the brasses this winter, and a foundry day when the frost is over.",
    ),
    Sent(
        "harrow_gap",
        3,
        date(2026, 1, 1),
        date(2026, 4, 30),
        "Thieves came in January and took an oil cup and a cock. There is a new lock. "
        "The first pour, six brasses and bushes, came out sound. The bore is honed.",
        "Lift the flywheel and the shaft while the pit is dry, and bore the new brasses.",
    ),
)


def _all() -> list[Sent]:
    last = []
    for key in story.ENGINES:
        about = story.about(key)
        last.append(
            Sent(
                key,
                int(about["report_title"].rsplit(" ", 1)[1]),
                date.fromisoformat(about["report_first_day"]),
                date.fromisoformat(about["report_last_day"]),
                about["report_words"],
                about["report_next"],
            )
        )
    return [*EARLIER, *last]


def issue(*, say: Callable[[str], None] = lambda words: None) -> None:
    """Freeze the reports of the demonstration that are not there yet, each on its day.

    Without the library for PDFs they are frozen all the same, and put on paper another time.

    Args:
        say: Told in words what is being done.
    """
    for sent in _all():
        name = story.about(sent.engine)["name"]
        engine = Engine.objects.filter(demo=True, name=name).first()
        if engine is None:
            continue
        row = Report.everything.filter(engine=engine, number=sent.number).first()
        if row is None:
            say(f"  {name}: report {sent.number}")
            row = _freeze(engine, sent)
        if row.removed_at is None:
            issuing.put_on_paper(row)


def _freeze(engine: Engine, sent: Sent) -> Report:
    later = timedelta(days=load.days_later())
    first, last = sent.first + later, sent.last + later
    lead = Membership.objects.filter(engine=engine, role=Membership.Role.LEAD).first().user
    details = Details(sent.number, _title(sent), first, last, sent.words, sent.next_words)
    # Those of pairs are shown beside each other anyway.
    shown = Photo.objects.filter(
        engine=engine,
        may_go_out=True,
        day__range=(first, last),
        pairs_before__isnull=True,
        pairs_after__isnull=True,
    ).order_by("-day")[:SHOWN]
    draft = issuing.draw_up(engine, details, reversed(shown), today=last)
    row = reports.freeze(engine, details, draft, by=lead)
    at = timezone.make_aware(datetime.combine(last, time(20, 15)))
    Report.everything.filter(pk=row.pk).update(made_at=at)
    Change.objects.filter(kind="report", row=row.pk).update(at=at)
    row.refresh_from_db()
    return row


def _title(sent: Sent) -> str:
    title = story.about(sent.engine)["report_title"]
    return f"{title.rsplit(' ', 1)[0]} {sent.number}"


def last_of(engine: Engine) -> Report | None:
    """The newest report of an engine of the demonstration."""
    return Report.objects.filter(engine=engine).order_by("-number").first()
