"""Writes the papers of the demonstration to a folder: the report and the two lists."""

import contextlib
from datetime import date
from pathlib import Path

from parts.drafting.table_csv import file_name
from parts.money import sheets as money_csv
from parts.money.queries.tally import cost_tally
from parts.record.models import Engine
from parts.reports.models import Report
from parts.workshop.jobs.queries.jobs import parts_to_make
from parts.workshop.jobs.sheets import lists as job_csv

from . import story

# Where they are written within the data, if no other folder is asked for.
FOLDER = "demo-papers"


def write(engine: Engine, report: Report | None, folder: Path, day: date) -> list[Path]:
    """Write the report as PDF, if there is one, the parts-to-make list and the cost tally.

    Args:
        engine: Whose papers.
        report: Its frozen report. The lists are of the last day it tells of.
        folder: Where to; made when it is not there. Papers of the same name are written over.
        day: The day of the lists when there is no report.

    Returns:
        The files that were written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    day = report.last_day if report else day
    papers = [
        job_csv.make_csv(parts_to_make(engine, day), engine.name),
        job_csv.to_decide_csv(parts_to_make(engine, day), engine.name),
        money_csv.tally_csv(cost_tally(engine, day), engine.name),
    ]
    written = []
    if report and report.pdf:
        name = Path(papers[0][0]).name.split("-parts-to-make")[0]
        with report.pdf.open() as file:
            papers.insert(0, (f"{name}-report-{report.number}.pdf", "", file.read()))
    for name, _, content in papers:
        path = folder / name
        path.write_bytes(content)
        written.append(path)
    return written


def take_away(folder: Path) -> None:
    """Delete the papers of the demonstration from a folder, and the folder if nothing is left."""
    for key in story.ENGINES:
        name = file_name(story.about(key)["name"], suffix="").rstrip(".")
        for file in folder.glob(f"{name}-*"):
            file.unlink(missing_ok=True)
    with contextlib.suppress(OSError):
        folder.rmdir()
