"""The parts list: what is asked for, how many there are of each choice, and how they stand."""

from dataclasses import dataclass

import numpy as np
from django.db.models import (
    Case,
    Count,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from parts.care.models import ConditionNote
from parts.drafting.lines import DRAWN_FIRST
from parts.engineering.measures.reading import whole
from parts.record.models import (
    ROUTE_CHOICES,
    Component,
    ConditionClass,
    Engine,
    Job,
    Material,
    Part,
    PieceEntry,
    State,
)
from parts.record.queries.status import KEY_ORDER, Counts, counts_in_all, counts_of, status_table

NOT_SAID = "none"
SORTS = {
    "item": "Item number",
    "name": "Name",
    "component": "Component",
    "state": "State",
}


# ---- What a part is asked for: each takes parts and gives those that fit ----


def newest_class() -> Subquery:
    """The condition class of the newest note of a part."""
    notes = ConditionNote.objects.filter(part=OuterRef("pk")).order_by("-day", "-pk")
    return Subquery(notes.values("condition_class")[:1])


def way() -> Coalesce:
    """The route by which a part is being made, if that is decided, or else its usual route."""
    decided = Q(entries__kind=PieceEntry.Kind.DECIDED, entries__removed_at__isnull=True)
    jobs = (
        Job.objects.filter(part=OuterRef("pk"))
        .annotate(told=Sum("entries__pieces", filter=decided))
        .filter(told__gt=0)
        .order_by("-pk")
    )
    return Coalesce(Subquery(jobs.values("route")[:1]), F("usual_route"))


def by_text(parts: QuerySet, text: str) -> QuerySet:
    """Parts whose item number is the text, or whose name, size or note has every word of it."""
    words = text.split()
    if len(words) == 1 and (item := whole(words[0])) is not None:
        return parts.filter(item=item)
    for word in words:
        parts = parts.filter(
            Q(name__icontains=word) | Q(size__icontains=word) | Q(note__icontains=word)
        )
    return parts


def by_component(parts: QuerySet, component: int) -> QuerySet:
    """Parts of a component and of the components in it."""
    own = Component.objects.filter(pk=component).values_list("engine_id", flat=True)[:1]
    tree = tree_of(Component.objects.filter(engine_id__in=list(own)))
    return parts.filter(component_id__in=tree.within(int(component)))


def by_state(parts: QuerySet, state: str) -> QuerySet:
    """Parts that have any piece in a state. One query at once."""
    rows = parts.order_by().values("pk", "quantity").status().with_pieces(state)
    return parts.filter(pk__in=[row["pk"] for row in rows.values("pk")])


def by_material(parts: QuerySet, material: str) -> QuerySet:
    return parts.filter(material=material)


def by_route(parts: QuerySet, route: str) -> QuerySet:
    return parts.annotate(way=way()).filter(way="" if route == NOT_SAID else route)


def by_class(parts: QuerySet, condition: str) -> QuerySet:
    parts = parts.annotate(newest=newest_class())
    return (
        parts.filter(newest__isnull=True)
        if condition == NOT_SAID
        else parts.filter(newest=int(condition))
    )


# The names they have in the address. The state comes last: it counts only what the others leave.
NARROWED_BY = {
    "q": by_text,
    "component": by_component,
    "material": by_material,
    "route": by_route,
    "condition": by_class,
    "state": by_state,
}


def narrowed(engine: Engine, chosen: dict, but: str = "") -> QuerySet:
    """The parts that fit what was chosen, leaving one choice aside."""
    parts = Part.objects.filter(engine=engine)
    for name, narrow in NARROWED_BY.items():
        if name != but and chosen.get(name):
            parts = narrow(parts, chosen[name])
    return parts


# ---- Components ----


@dataclass(frozen=True)
class Branch:
    """A component in the tree, `depth` steps down."""

    component: Component
    depth: int

    @property
    def indent(self) -> str:
        return "\u2003" * self.depth


class Tree:
    """The components of an engine in the order of their numbers, those within under the outer."""

    def __init__(self, components):
        self.rows = list(components)
        self.by_parent: dict[int | None, list[Component]] = {}
        known = {row.pk for row in self.rows}
        for row in sorted(self.rows, key=lambda c: c.number):
            parent = row.parent_id if row.parent_id in known else None
            self.by_parent.setdefault(parent, []).append(row)

    def branches(self, parent: int | None = None, depth: int = 0) -> list[Branch]:
        found = []
        for row in self.by_parent.get(parent, []):
            found += [Branch(row, depth), *self.branches(row.pk, depth + 1)]
        return found

    def within(self, pk: int) -> set[int]:
        """The component and all that are in it, by id."""
        return {pk, *(b.component.pk for b in self.branches(pk))}


def tree_of(components) -> Tree:
    return Tree(components)


# ---- The list ----


@dataclass(frozen=True)
class PartRow:
    """A line of the parts list."""

    pk: int
    item: int
    name: str
    component_id: int
    component: str
    counts: Counts
    material: str
    quantity: int
    size: str
    condition: int | None


@dataclass(frozen=True)
class Choice:
    """One choice of a filter, and how many parts it would show beside the other filters."""

    key: str
    word: str
    parts: int

    @property
    def label(self) -> str:
        return f"{self.word} ({self.parts})"


@dataclass(frozen=True)
class PartList:
    """What the parts list shows.

    Args:
        counts: The pieces of all parts that are shown, on every page, by state.
        choices: The choices of each filter.
        words: What is shown, in words.
    """

    counts: Counts
    choices: dict[str, list[Choice]]
    words: str


_COLUMNS = (
    "pk",
    "item",
    "name",
    "component_id",
    "component__name",
    "component__number",
    "material",
    "quantity",
    "size",
)


def part_list(engine: Engine, chosen: dict) -> PartList:
    """Sums over the parts that fit, and how many parts each choice has. Six queries.

    How each part stands is worked out in SQL, once, for all that fit but for the state; what has
    a piece in the state, and the sums, are then taken from those rows: quicker than asking again.
    """
    state, base = chosen.get("state"), dict(chosen, state="")
    all_states = status_table(narrowed(engine, base))
    fit = all_states[all_states[:, KEY_ORDER.index(state) + 1] > 0] if state else all_states

    def tally(name: str, column: str, **by) -> dict[str, int]:
        parts = narrowed(engine, base, name)
        if state:
            parts = by_state(parts, state) if chosen.get(name) else parts.filter(pk__in=_ids(fit))
        return _tally(parts.annotate(**by), column)

    components = Component.objects.filter(engine=engine)
    choices = {
        "component": _component_choices(components, tally("component", "component_id")),
        "state": [
            Choice(s, State(s).label, int((all_states[:, i + 1] > 0).sum()))
            for i, s in enumerate(KEY_ORDER)
        ],
        "material": _choices(Material.choices, tally("material", "material")),
        "route": _choices([*ROUTE_CHOICES, (NOT_SAID, "not said")], tally("route", "by", by=way())),
        "condition": _choices(
            [*((str(k), f"{k} {w}") for k, w in ConditionClass.choices), (NOT_SAID, "no note yet")],
            tally("condition", "by", by=newest_class()),
        ),
    }
    counts = counts_in_all(fit)
    return PartList(counts, choices, _in_words(chosen, choices, counts))


def _ids(rows: np.ndarray) -> list[int]:
    return rows[:, 0].tolist()


def _tally(parts: QuerySet, column: str) -> dict[str, int]:
    rows = parts.order_by().values_list(column).annotate(n=Count("pk"))
    return {NOT_SAID if key in (None, "") else str(key): n for key, n in rows}


def _choices(words, tally: dict[str, int]) -> list[Choice]:
    return [Choice(key, word, tally.get(key, 0)) for key, word in words]


def _component_choices(components, tally: dict[str, int]) -> list[Choice]:
    """Each component with the parts in it and in the components within it."""
    tree = tree_of(components)
    return [
        Choice(
            str(b.component.pk),
            f"{b.indent}{b.component}",
            sum(tally.get(str(pk), 0) for pk in tree.within(b.component.pk)),
        )
        for b in tree.branches()
    ]


def _in_words(chosen: dict, choices: dict[str, list[Choice]], counts: Counts) -> str:
    """Say what is shown: "12 parts, 34 pieces: with a piece missing; of cast iron." """

    def word(name: str) -> str:
        return next((c.word for c in choices[name] if c.key == str(chosen[name])), "")

    told = []
    if chosen.get("component"):
        told.append(f"in {word('component').strip()}")
    if chosen.get("state"):
        told.append(f"with any piece {word('state').lower()}")
    if chosen.get("material"):
        told.append(f"of {word('material').lower()}")
    if chosen.get("route"):
        told.append("with no route said" if chosen["route"] == NOT_SAID else f"to {word('route')}")
    if chosen.get("condition"):
        told.append(
            "with no condition note"
            if chosen["condition"] == NOT_SAID
            else f"of condition class {word('condition').lower()}"
        )
    if chosen.get("q"):
        told.append(f"that say “{chosen['q']}”")
    parts = f"{counts.parts} {'part' if counts.parts == 1 else 'parts'}"
    pieces = f"{counts.need} {'piece' if counts.need == 1 else 'pieces'}"
    left = f", {counts.left_off} more left off" if counts.left_off else ""
    return f"{parts}, {pieces}{left}: {', '.join(told) or 'all parts of the engine'}."


def in_order(parts: QuerySet, sort: str) -> QuerySet:
    """The ids of parts in the order that was asked for."""
    if sort == "state":
        drawn = Case(
            *(When(**{f"{s}__gt": 0}, then=Value(i)) for i, s in enumerate(DRAWN_FIRST)),
            default=Value(len(DRAWN_FIRST)),
            output_field=IntegerField(),
        )
        rows = parts.values("pk", "quantity", "item").status().order_by(drawn, "item")
        return rows.values_list("pk", flat=True)
    order = {
        "name": ("name", "item"),
        "component": ("component__number", "item"),
    }.get(sort, ("item",))
    return parts.order_by(*order).values_list("pk", flat=True)


def rows_of(engine: Engine, ids: list[int]) -> list[PartRow]:
    """The lines of these parts, in this order. One query."""
    found = (
        Part.objects.filter(engine=engine, pk__in=ids)
        .annotate(condition=newest_class())
        .values(*_COLUMNS, "condition")
        .status()
        .order_by()
    )
    rows = {
        row["pk"]: PartRow(
            row["pk"],
            row["item"],
            row["name"],
            row["component_id"],
            f"{row['component__number']} {row['component__name']}",
            counts_of(row),
            row["material"],
            row["quantity"],
            row["size"],
            row["condition"],
        )
        for row in found
    }
    return [rows[pk] for pk in ids if pk in rows]


def next_free_item(engine: Engine) -> int:
    """The item number after the highest that the engine has used."""
    highest = Part.objects.filter(engine=engine).order_by("-item").values_list("item", flat=True)
    return (highest.first() or 0) + 1


def next_free_number(engine: Engine) -> int:
    """The component number after the highest that the engine has used."""
    highest = Component.objects.filter(engine=engine).order_by("-number")
    return (highest.values_list("number", flat=True).first() or 0) + 1
