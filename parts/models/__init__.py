"""The record: one file to a subject, all names to be had from here."""

from .bodies import Bearing, Body, BodySize, PatternFace
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
from .drawing import Balloon, Drawing, Tie
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
from .metal import Crucible, MetalLot, MetalMove, Pour, PourCasting
from .money import CostAmount, CostItem, CostPaper
from .people import HoursGiven, Membership, Proposal, ReadingLink, Report
from .photos import Photo, PhotoPair
from .shop import (
    Bar,
    BarBlank,
    BarMove,
    CutPlan,
    Fastener,
    Gear,
    Lift,
    LiftLoad,
    Option,
    Quote,
)
from .site import DiaryEntry, Find

__all__ = [
    "Balloon",
    "Bar",
    "BarBlank",
    "BarMove",
    "Basis",
    "Bearing",
    "Body",
    "BodySize",
    "Change",
    "Component",
    "ConditionClass",
    "ConditionNote",
    "CostAmount",
    "CostItem",
    "CostPaper",
    "Crucible",
    "CutPlan",
    "DiaryEntry",
    "Drawing",
    "Engine",
    "EngineKind",
    "EngineSize",
    "Fact",
    "Fastener",
    "Find",
    "Freeing",
    "Gear",
    "Heading",
    "HoursGiven",
    "Lift",
    "LiftLoad",
    "Making",
    "Material",
    "Measurement",
    "Membership",
    "MetalLot",
    "MetalMove",
    "Option",
    "Ownership",
    "Part",
    "PatternFace",
    "Photo",
    "PhotoPair",
    "Plan",
    "PlanPoint",
    "Pour",
    "PourCasting",
    "Proposal",
    "Quote",
    "ReadingLink",
    "Repair",
    "Report",
    "State",
    "Tie",
    "Urgency",
    "Work",
]
