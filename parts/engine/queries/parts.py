"""The parts list: filters, the number of parts of each choice, and counts by status."""

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


# ---- Filters: each takes parts and returns those that match ----


def newest_class() -> Subquery:
    """Return the condition class of the newest note of a part."""
    notes = ConditionNote.objects.filter(part=OuterRef("pk")).order_by("-day", "-pk")
    return Subquery(notes.values("condition_class")[:1])


def route_in_use() -> Coalesce:
    """Return the decided route of a part, or else its usual route."""
    decided = Q(entries__kind=PieceEntry.Kind.DECIDED, entries__removed_at__isnull=True)
    jobs = (
        Job.objects.filter(part=OuterRef("pk"))
        .annotate(pieces=Sum("entries__pieces", filter=decided))
        .filter(pieces__gt=0)
        .order_by("-pk")
    )
    return Coalesce(Subquery(jobs.values("route")[:1]), F("usual_route"))


def by_text(parts: QuerySet, text: str) -> QuerySet:
    """Return parts whose item number is the text, or that have every word in name, size or note."""
    words = text.split()
    if len(words) == 1 and (item := whole(words[0])) is not None:
        return parts.filter(item=item)
    for word in words:
        parts = parts.filter(
            Q(name__icontains=word) | Q(size__icontains=word) | Q(note__icontains=word)
        )
    return parts


def by_component(parts: QuerySet, component: int) -> QuerySet:
    """Return parts of a component and of the components in it."""
    own = Component.objects.filter(pk=component).values_list("engine_id", flat=True)[:1]
    tree = Tree(Component.objects.filter(engine_id__in=list(own)))
    return parts.filter(component_id__in=tree.within(int(component)))


def by_state(parts: QuerySet, state: str) -> QuerySet:
    """Return parts that have any piece in a state. One query at once."""
    rows = parts.order_by().values("pk", "quantity").status().with_pieces(state)
    return parts.filter(pk__in=[row["pk"] for row in rows.values("pk")])


def by_material(parts: QuerySet, material: str) -> QuerySet:
    return parts.filter(material=material)


def by_route(parts: QuerySet, route: str) -> QuerySet:
    return parts.annotate(in_use=route_in_use()).filter(in_use="" if route == NOT_SAID else route)


def by_class(parts: QuerySet, condition: str) -> QuerySet:
    parts = parts.annotate(newest=newest_class())
    return (
        parts.filter(newest__isnull=True)
        if condition == NOT_SAID
        else parts.filter(newest=int(condition))
    )


# Filters by their name in the address. The state comes last: it counts only what the others leave.
FILTERS = {
    "q": by_text,
    "component": by_component,
    "material": by_material,
    "route": by_route,
    "condition": by_class,
    "state": by_state,
}


def filter_parts(engine: Engine, choices: dict, except_for: str = "") -> QuerySet:
    """Return the parts that match the choices, one of them left aside."""
    parts = Part.objects.filter(engine=engine)
    for name, apply in FILTERS.items():
        if name != except_for and choices.get(name):
            parts = apply(parts, choices[name])
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
    """The components of an engine in order of number, inner ones below their parent."""

    def __init__(self, components):
        self.rows = list(components)
        self.by_parent: dict[int | None, list[Component]] = {}
        ids = {row.pk for row in self.rows}
        for row in sorted(self.rows, key=lambda c: c.number):
            parent = row.parent_id if row.parent_id in ids else None
            self.by_parent.setdefault(parent, []).append(row)

    def branches(self, parent: int | None = None, depth: int = 0) -> list[Branch]:
        """Return the components below a parent, depth first; all of them by default."""
        branches = []
        for row in self.by_parent.get(parent, []):
            branches += [Branch(row, depth), *self.branches(row.pk, depth + 1)]
        return branches

    def within(self, pk: int) -> set[int]:
        """Return the ids of a component and all that are in it."""
        return {pk, *(b.component.pk for b in self.branches(pk))}


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
    """One choice of a filter, and the number of parts it shows with the other filters applied."""

    key: str
    word: str
    parts: int

    @property
    def label(self) -> str:
        return f"{self.word} ({self.parts})"


@dataclass(frozen=True)
class PartList:
    """The sums and choices of the parts list.

    Args:
        counts: The pieces of all matching parts, on every page, by state.
        choices: The choices of each filter.
        words: The filters in words.
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
    """Return sums over the matching parts, and the number of parts of each choice. Six queries.

    The counts of each part are calculated in SQL once, for all that match except by state; parts
    with a piece in the state, and the sums, are then taken from those rows, which is faster.
    """
    state, base = chosen.get("state"), dict(chosen, state="")
    all_states = status_table(filter_parts(engine, base))
    matching = all_states[all_states[:, KEY_ORDER.index(state) + 1] > 0] if state else all_states

    def tally(name: str, column: str, **annotations) -> dict[str, int]:
        parts = filter_parts(engine, base, name)
        if state:
            parts = (
                by_state(parts, state) if chosen.get(name) else parts.filter(pk__in=_ids(matching))
            )
        return _tally(parts.annotate(**annotations), column)

    components = Component.objects.filter(engine=engine)
    choices = {
        "component": _component_choices(components, tally("component", "component_id")),
        "state": [
            Choice(s, State(s).label, int((all_states[:, i + 1] > 0).sum()))
            for i, s in enumerate(KEY_ORDER)
        ],
        "material": _choices(Material.choices, tally("material", "material")),
        "route": _choices(
            [*ROUTE_CHOICES, (NOT_SAID, "not said")], tally("route", "by", by=route_in_use())
        ),
        "condition": _choices(
            [*((str(k), f"{k} {w}") for k, w in ConditionClass.choices), (NOT_SAID, "no note yet")],
            tally("condition", "by", by=newest_class()),
        ),
    }
    counts = counts_in_all(matching)
    return PartList(counts, choices, _in_words(chosen, choices, counts))


def _ids(rows: np.ndarray) -> list[int]:
    return rows[:, 0].tolist()


def _tally(parts: QuerySet, column: str) -> dict[str, int]:
    rows = parts.order_by().values_list(column).annotate(n=Count("pk"))
    return {NOT_SAID if key in (None, "") else str(key): n for key, n in rows}


def _choices(words, tally: dict[str, int]) -> list[Choice]:
    return [Choice(key, word, tally.get(key, 0)) for key, word in words]


def _component_choices(components, tally: dict[str, int]) -> list[Choice]:
    """Return each component with the number of parts in it and in the components within it."""
    tree = Tree(components)
    return [
        Choice(
            str(b.component.pk),
            f"{b.indent}{b.component}",
            sum(tally.get(str(pk), 0) for pk in tree.within(b.component.pk)),
        )
        for b in tree.branches()
    ]


def _in_words(chosen: dict, choices: dict[str, list[Choice]], counts: Counts) -> str:
    """Return the filters in words: "12 parts, 34 pieces: with any piece missing, of cast iron." """

    def word(name: str) -> str:
        return next((c.word for c in choices[name] if c.key == str(chosen[name])), "")

    phrases = []
    if chosen.get("component"):
        phrases.append(f"in {word('component').strip()}")
    if chosen.get("state"):
        phrases.append(f"with any piece {word('state').lower()}")
    if chosen.get("material"):
        phrases.append(f"of {word('material').lower()}")
    if chosen.get("route"):
        phrases.append(
            "with no route said" if chosen["route"] == NOT_SAID else f"to {word('route')}"
        )
    if chosen.get("condition"):
        phrases.append(
            "with no condition note"
            if chosen["condition"] == NOT_SAID
            else f"of condition class {word('condition').lower()}"
        )
    if chosen.get("q"):
        phrases.append(f"that say “{chosen['q']}”")
    parts = f"{counts.parts} {'part' if counts.parts == 1 else 'parts'}"
    pieces = f"{counts.need} {'piece' if counts.need == 1 else 'pieces'}"
    left = f", {counts.left_off} more left off" if counts.left_off else ""
    return f"{parts}, {pieces}{left}: {', '.join(phrases) or 'all parts of the engine'}."


def in_order(parts: QuerySet, sort: str) -> QuerySet:
    """Return the ids of parts in an order of `SORTS`."""
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
    """Return the lines of these parts, in this order. One query."""
    counted = (
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
        for row in counted
    }
    return [rows[pk] for pk in ids if pk in rows]


def next_free_item(engine: Engine) -> int:
    """Return the item number after the highest in use."""
    highest = Part.objects.filter(engine=engine).order_by("-item").values_list("item", flat=True)
    return (highest.first() or 0) + 1


def next_free_number(engine: Engine) -> int:
    """Return the component number after the highest in use."""
    highest = Component.objects.filter(engine=engine).order_by("-number")
    return (highest.values_list("number", flat=True).first() or 0) + 1
