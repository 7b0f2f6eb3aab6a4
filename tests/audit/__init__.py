"""Reads the numbers off the pages as served, and adds the same up from the raw rows.

The sums are plain Python over the rows of the record (`rows`); no query or sum of the application
is used, so that it cannot agree with itself by mistake. A function of `CHECKS` for each subject.
"""

from .compare import Audit
from .gathered import hours_and_people, progress, reports, search
from .jobs import fasteners, making_pages, makings, undecided
from .money import cost_pages, costs
from .pieces import components, earlier_days, find_pages, finds, overview, part_pages, parts_list
from .stores import bars, formulas, lifts, metal, pours

CHECKS = (
    *(overview, earlier_days, parts_list, part_pages, finds, find_pages, components),
    *(makings, undecided, making_pages, fasteners),
    *(metal, pours, bars, lifts, formulas),
    *(costs, cost_pages),
    *(progress, hours_and_people, search, reports),
)
__all__ = ["CHECKS", "Audit"]
