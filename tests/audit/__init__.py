"""Reads the numbers off the pages as served, and adds the same up from the raw rows.

The sums are plain Python over the rows of the record (`rows`); no query or sum of the application
is used, so that it cannot agree with itself by mistake. A function of `CHECKS` for each subject.
"""

from tests.audit.compare import Audit
from tests.audit.gathered import hours_and_people, progress, reports, search
from tests.audit.jobs import fasteners, job_pages, jobs, undecided
from tests.audit.money import cost_pages, costs
from tests.audit.pieces import (
    components,
    earlier_days,
    find_pages,
    finds,
    overview,
    part_pages,
    parts_list,
)
from tests.audit.stores import bars, formulas, lifts, metal, pours

CHECKS = (
    *(overview, earlier_days, parts_list, part_pages, finds, find_pages, components),
    *(jobs, undecided, job_pages, fasteners),
    *(metal, pours, bars, lifts, formulas),
    *(costs, cost_pages),
    *(progress, hours_and_people, search, reports),
)
__all__ = ["CHECKS", "Audit"]
