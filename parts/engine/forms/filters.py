"""The filters of the long lists, kept in the address. They work without a script."""

import django_filters as filters
from django import forms
from django.utils.functional import cached_property

from parts.record.models import ROUTE_CHOICES, Engine, Material, Part, State

from ..queries import parts as queries

ANY = {"empty_label": "Any"}


def _narrow(name: str):
    def narrow(self, parts, _name, value):
        return queries.FILTERS[name](parts, value)

    return narrow


class PartFilter(filters.FilterSet):
    """What parts are shown: by component, state, material, route, condition class and text."""

    q = filters.CharFilter(
        method="by_q",
        label="Item, name or size",
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    component = filters.ChoiceFilter(method="by_component", label="Component", **ANY)
    state = filters.ChoiceFilter(method="by_state", label="State", choices=State.choices, **ANY)
    material = filters.ChoiceFilter(method="by_material", choices=Material.choices, **ANY)
    route = filters.ChoiceFilter(
        method="by_route",
        label="Route",
        choices=[*ROUTE_CHOICES, (queries.NOT_SAID, "not said")],
        **ANY,
    )
    condition = filters.ChoiceFilter(
        method="by_condition",
        label="Condition class",
        choices=[*((str(n), str(n)) for n in range(4)), (queries.NOT_SAID, "no note yet")],
        **ANY,
    )
    sort = filters.ChoiceFilter(
        method="in_order",
        label="In order of",
        choices=[(k, w) for k, w in queries.SORTS.items() if k != "item"],
        empty_label=queries.SORTS["item"],
    )

    by_q = _narrow("q")
    by_component = _narrow("component")
    by_state = _narrow("state")
    by_material = _narrow("material")
    by_route = _narrow("route")
    by_condition = _narrow("condition")

    class Meta:
        model = Part
        fields: list[str] = []

    def __init__(self, data, *, engine: Engine):
        super().__init__(data, queryset=Part.objects.filter(engine=engine))
        branches = queries.Tree(engine.components.filter(removed_at=None)).branches()
        self.filters["component"].extra["choices"] = [
            (str(b.component.pk), f"{b.indent}{b.component}") for b in branches
        ]

    def in_order(self, parts, _name, _value):
        """The order is given to the page, not to the sums."""
        return parts

    @cached_property
    def chosen(self) -> dict:
        """What was chosen and can be read; what cannot be read is left aside and said."""
        self.form.is_valid()
        return {k: v for k, v in self.form.cleaned_data.items() if v not in (None, "")}

    @property
    def narrows(self) -> bool:
        return any(name != "sort" for name in self.chosen)

    def count_choices(self, choices: dict[str, list[queries.Choice]]) -> None:
        """Write beside each choice how many parts it has; leave out those that have none."""
        for name, rows in choices.items():
            picked = str(self.chosen.get(name, ""))
            self.form.fields[name].choices = [
                ("", "Any"),
                *((c.key, c.label) for c in rows if c.parts or c.key == picked),
            ]
