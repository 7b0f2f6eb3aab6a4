"""The closed lists of words that rows hold: stored key, word for people."""

from django.db import models

from parts.drafting.lines import STATES
from parts.engineering.routes import ROUTES

ROUTE_CHOICES = [(key, route.word) for key, route in ROUTES.items()]


class Material(models.TextChoices):
    CAST_IRON = "cast_iron", "Cast iron"
    STEEL = "steel", "Steel"
    WROUGHT_IRON = "wrought_iron", "Wrought iron"
    BRASS = "brass", "Brass"
    BRONZE = "bronze", "Bronze"
    COPPER = "copper", "Copper"
    WHITE_METAL = "white_metal", "White metal"
    LEAD = "lead", "Lead"
    ALUMINIUM = "aluminium", "Aluminium"
    WOOD = "wood", "Wood"
    LEATHER = "leather", "Leather"
    RUBBER = "rubber", "Rubber"
    PACKING = "packing", "Packing"
    GLASS = "glass", "Glass"
    STONE = "stone", "Stone"
    BRICK = "brick", "Brick"
    NOT_KNOWN = "not_known", "Not known"


class EngineKind(models.TextChoices):
    HORIZONTAL_SLIDE_VALVE = "horizontal_slide_valve", "Horizontal, slide valve"
    HORIZONTAL_FOUR_VALVE = "horizontal_four_valve", "Horizontal, four rotary valves"
    VERTICAL = "vertical", "Vertical"
    BEAM = "beam", "Beam"
    PORTABLE = "portable", "Portable"
    OIL_ENGINE = "oil_engine", "Oil engine"
    OTHER = "other", "Other"


# How a piece stands, in the order of the key.
State = models.TextChoices("State", [(s.upper(), (s, line.word)) for s, line in STATES.items()])


class ConditionClass(models.IntegerChoices):
    """Condition classes, their order and number after EN 16096 (from memory)."""

    SOUND = 0, "Sound"
    SLIGHT = 1, "Slight"
    MODERATE = 2, "Moderate"
    SEVERE = 3, "Severe"


class Urgency(models.IntegerChoices):
    """Urgency classes after EN 16096 (from memory)."""

    LONG_TERM = 0, "Can wait"
    INTERMEDIATE = 1, "Within a few years"
    SHORT_TERM = 2, "Within months"
    URGENT = 3, "Now"


class Heading(models.TextChoices):
    FASTENERS = "fasteners", "Fasteners"
    CASTINGS = "castings", "Castings"
    MACHINING = "machining", "Machining"
    MATERIAL = "material", "Material"
    CARRIAGE = "carriage", "Carriage"
    HIRE = "hire", "Hire"
    OTHER = "other", "Other"


class Basis(models.TextChoices):
    """What an amount rests on, rising."""

    ESTIMATED = "estimated", "Estimated"
    QUOTED = "quoted", "Quoted"
    ORDERED = "ordered", "Ordered"
    PAID = "paid", "Paid"


class Work(models.TextChoices):
    """What hours are given to."""

    SITE = "site", "Site work and searching"
    LIFTING = "lifting", "Lifting and moving"
    CLEANING = "cleaning", "Cleaning and freeing"
    MEASURING = "measuring", "Measuring and drawing"
    PATTERN = "pattern", "Pattern making"
    FOUNDRY = "foundry", "Foundry"
    MACHINING = "machining", "Machining"
    FITTING = "fitting", "Fitting and erecting"
    OFFICE = "office", "Papers and talks"
    OTHER = "other", "Other"
