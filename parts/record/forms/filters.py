"""The filter of the history."""

import django_filters as filters

from ..models import Change, Engine
from ..queries import history


class ChangeFilter(filters.FilterSet):
    """What changes are shown: of which kind of row, and by whom."""

    kind = filters.ChoiceFilter(label="Of what", empty_label="All kinds")
    person = filters.ChoiceFilter(field_name="by_name", label="By whom", empty_label="Everyone")

    class Meta:
        model = Change
        fields: list[str] = []

    def __init__(self, data, *, queryset, engine: Engine):
        super().__init__(data, queryset=queryset)
        self.filters["kind"].extra["choices"] = history.kinds_changed(engine)
        self.filters["person"].extra["choices"] = [
            (name, name) for name in history.people_who_changed(engine)
        ]
