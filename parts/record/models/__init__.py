"""The models that every subject stands on: one file to a matter, all names to be had from here."""

from .choices import (
    ROUTE_CHOICES,
    Basis,
    ConditionClass,
    EngineKind,
    Heading,
    Material,
    State,
    Urgency,
    Work,
)
from .engine import Component, Engine, Part
from .entries import PieceEntry
from .finds import DiaryEntry, Find
from .history import Change
from .jobs import Job
from .members import Membership

__all__ = [
    "ROUTE_CHOICES",
    "Basis",
    "Change",
    "Component",
    "ConditionClass",
    "DiaryEntry",
    "Engine",
    "EngineKind",
    "Find",
    "Heading",
    "Job",
    "Material",
    "Membership",
    "Part",
    "PieceEntry",
    "State",
    "Urgency",
    "Work",
]
