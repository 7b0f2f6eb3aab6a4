"""The record: one file to a subject, all names to be had from here."""

from .care import ConditionNote, Freeing, Repair
from .choices import (
    Basis,
    ConditionClass,
    EngineKind,
    Heading,
    Material,
    State,
    Urgency,
    Work,
)
from .engine import (
    Component,
    Engine,
    EngineSize,
    Measurement,
    Ownership,
    Part,
    Plan,
    PlanPoint,
)
from .facts import Fact
from .history import Change
from .making import Making
from .money import CostAmount, CostItem, CostPaper
from .people import HoursGiven, Membership, Proposal, ReadingLink, Report
from .photos import Photo, PhotoPair
from .site import DiaryEntry, Find

__all__ = [
    "Basis",
    "Change",
    "Component",
    "ConditionClass",
    "ConditionNote",
    "CostAmount",
    "CostItem",
    "CostPaper",
    "DiaryEntry",
    "Engine",
    "EngineKind",
    "EngineSize",
    "Fact",
    "Find",
    "Freeing",
    "Heading",
    "HoursGiven",
    "Making",
    "Material",
    "Measurement",
    "Membership",
    "Ownership",
    "Part",
    "Photo",
    "PhotoPair",
    "Plan",
    "PlanPoint",
    "Proposal",
    "ReadingLink",
    "Repair",
    "Report",
    "State",
    "Urgency",
    "Work",
]
