"""What all forms of the record share: the version that was seen, and measures as written."""

from django import forms

from parts.engineering import measures

from ..models import Engine
from .fields import bounded


def read_measure(quantity: str, text: str, engine: Engine, *, tape: bool = False):
    """Read a measure as people of this engine write it. Raises forms.ValidationError in words."""
    try:
        if quantity == "length":
            default = engine.tape_unit if tape else engine.length_unit
            return measures.read_length(text, default=default)
        if quantity == "mass":
            return measures.read_mass(text, default=engine.mass_unit, ton=engine.ton)
        if quantity == "angle":
            return measures.read_angle(text)
        return measures.read_temperature(text, default="F" if engine.length_unit == "in" else "C")
    except measures.MeasureError as error:
        raise forms.ValidationError(str(error)) from None


class RecordForm(forms.ModelForm):
    """A form over a row of the record.

    `measured` names fields that hold a measure as it was written, with the columns that keep its
    unit and its value: {"mass_written": ("mass", "mass_unit", "mass_kg")}.
    """

    measured: dict[str, tuple[str, str, str]] = {}
    # Which hidden field holds the version that the person saw. A row that has a field `seen` of
    # its own calls it otherwise.
    version_field = "seen"
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args, engine: Engine, **kwargs):
        self.engine = engine
        super().__init__(*args, **kwargs)
        if hasattr(type(self.instance), "engine"):  # else it belongs to a row that has one
            self.instance.engine_id = self.instance.engine_id or engine.pk
        version = self.instance.version if self.instance.pk else None
        self.fields[self.version_field].initial = version
        self.scope()
        self.no_empty_cell()
        bounded(self)

    def no_empty_cell(self) -> None:
        """Of joined cells that must be answered, none stands empty."""
        for field in self.fields.values():
            if field.required and isinstance(field.widget, forms.RadioSelect):
                field.choices = [choice for choice in field.choices if choice[0] not in ("", None)]

    def scope(self) -> None:
        """Keep every choice of another row to rows of this engine."""
        for field in self.fields.values():
            if isinstance(field, forms.ModelChoiceField):
                model = field.queryset.model
                if hasattr(model, "engine_id"):
                    field.queryset = model.objects.filter(engine=self.engine)

    def _get_validation_exclusions(self):
        """Constraints that name the engine, or hold among kept rows, are checked here too."""
        return super()._get_validation_exclusions() - {"engine", "removed_at"}

    def clean(self):
        data = super().clean()
        self.derived = {}
        for name, (quantity, unit, value) in self.measured.items():
            text = (data.get(name) or "").strip()
            self.derived |= {unit: "", value: None}
            if name not in self.fields or not text:
                continue
            try:
                measure = read_measure(quantity, text, self.engine)
            except forms.ValidationError as error:
                self.add_error(name, error)
                continue
            self.derived |= {unit: measure.unit, value: measure.value}
        return data

    def _post_clean(self):
        super()._post_clean()
        for name, value in getattr(self, "derived", {}).items():
            setattr(self.instance, name, value)

    def values(self) -> dict:
        """The fields of the row and their new values, for `actions.record.change`."""
        names = [f.name for f in self.instance._meta.concrete_fields]
        typed = {k: v for k, v in self.cleaned_data.items() if k in names and k in self.fields}
        return typed | self.derived
