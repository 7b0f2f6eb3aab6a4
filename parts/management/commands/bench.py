"""`manage.py bench`: how quick the pages and sums are, in a database that is thrown away."""

import json
from dataclasses import asdict

from django.core.management.base import BaseCommand

from parts.bench import pages, project, scratch, sums


class Command(BaseCommand):
    help = (
        "Times the main pages on a large made-up engine, each beside one hand-written SQL "
        "statement, and the sums of the trade. Uses a scratch database, never the real one."
    )

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true", help="print JSON and nothing else")
        parser.add_argument(
            "--scale", type=float, default=1.0, help="size of the engine; 1 is 5,000 parts"
        )

    def handle(self, *args, json: bool, scale: float, **options):
        size = project.Size().scaled(scale)
        with scratch.scratch_database():
            engine = project.build(size)
            lead = engine.memberships.get().user
            timed = pages.time_pages(engine, lead)
            rows = {
                "parts": engine.parts.count(),
                "finds": engine.finds.count(),
                "entries": engine.entries.count(),
                "changes": engine.changes.count(),
                "jobs": engine.jobs.count(),
                "cost items": engine.cost_items.count(),
            }
        timings = sums.time_sums()
        self.stdout.write(_json(rows, timed, timings) if json else _table(rows, timed, timings))


def _json(rows, timed, timings) -> str:
    told = {
        "rows": rows,
        "pages": [asdict(page) | {"ratio": page.ratio} for page in timed],
        "sums": [asdict(one) | {"aim": one.aim} for one in timings],
    }
    return json.dumps(told, indent=2, ensure_ascii=False)


def _aim(met: bool | None) -> str:
    return {True: "met", False: "MISSED", None: ""}[met]


def _table(rows, timed, timings) -> str:
    lines = [
        ", ".join(f"{n:,} {word}" for word, n in rows.items()),
        "",
        f"{'page':30} {'ms':>8} {'queries':>8} {'kB sent':>8} {'SQL ms':>8} {'ratio':>7}  aim",
    ]
    for page in timed:
        sql = f"{page.sql_ms:8.1f} {page.ratio:6.1f}×" if page.ratio else f"{'':16}"
        sent = page.sent / 1000
        lines.append(
            f"{page.page:30} {page.ms:8.1f} {page.queries:8} {sent:8.1f} {sql}  {_aim(page.aim)}"
        )
    lines += [
        "",
        f"Aim: a list within {pages.AIM_RATIO} × the bare SQL or {pages.AIM_MS} ms, whichever is "
        f"more; a page of one row within {pages.DETAIL_AIM_MS} ms; each quicker than the admin "
        "with the same answer. Times are of the processor, the median of five; the ratios count, "
        "for machines differ.",
        "",
        f"{'sum':60} {'s':>8} {'aim s':>6}",
    ]
    for one in timings:
        promised = f"{one.promised:6.2f}" if one.promised else f"{'':6}"
        lines.append(f"{one.sum:60} {one.seconds:8.4f} {promised}  {_aim(one.aim)}")
        lines.append(f"    {one.against}")
    return "\n".join(lines)
