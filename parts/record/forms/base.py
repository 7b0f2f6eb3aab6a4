"""What all forms of the record share: the version that was seen, and measures as written."""

from django import forms

from parts.engineering import measures
from parts.engineering.sentences import in_units

from ..models import Engine
from ..models.measure import measures_of, read
from .fields import Unit, bounded


def read_measure(quantity: str, text: str, engine: Engine) -> measures.Measure:
    """Read a measure as people of this engine write it. Raises forms.ValidationError in words."""
    try:
        return read(quantity, text, engine)
    except measures.MeasureError as error:
        raise forms.ValidationError(in_units(error, engine.units)) from None


class MeasureField(forms.CharField):
    """A measure that is no column of a row; cleans to a Measure, or None when left empty."""

    def __init__(self, quantity: str, *, engine: Engine | None = None, **kwargs):
        super().__init__(max_length=60, **kwargs)
        self.quantity = quantity
        if engine is not None:
            self.use(engine)

    def use(self, engine: Engine) -> None:
        self.engine = engine
        if unit := {"mass": engine.mass_unit, "length": engine.length_unit}.get(self.quantity):
            self.widget = Unit(unit=unit, decimal=False)
            self.widget.is_required = self.required

    def clean(self, value):
        text = super().clean(value)
        return read_measure(self.quantity, text, self.engine) if text else None


class RecordForm(forms.ModelForm):
    """A form over a row of the record. Measures among its fields are read as the model says."""

    # Which hidden field holds the version that the person saw. A row that has a field `seen` of
    # its own calls it otherwise.
    version_field = "seen"
    # The field at which a change that an action refuses is shown; None is above the form.
    refused_at: str | None = None
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
        for measure in measures_of(self._meta.model):
            name = measure.written.name
            if name not in self.fields:
                continue
            try:
                self.derived |= measure.columns(data.get(name) or "", self.engine)
            except measures.MeasureError as error:
                self.derived |= measure.columns("", self.engine)
                self.add_error(name, in_units(error, self.engine.units))
        return data

    def _post_clean(self):
        super()._post_clean()
        for name, value in getattr(self, "derived", {}).items():
            setattr(self.instance, name, value)

    def besides(self) -> dict:
        """What the action that writes the row takes besides it."""
        return {}

    def values(self) -> dict:
        """The fields of the row and their new values, for `actions.record.change`."""
        names = [f.name for f in self.instance._meta.concrete_fields]
        typed = {k: v for k, v in self.cleaned_data.items() if k in names and k in self.fields}
        return typed | self.derived
