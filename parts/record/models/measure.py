"""A measure of a row: what was written, its unit, and its value in one fixed unit."""

from django.db import models

from parts.engineering import measures

# The fixed unit of each quantity, as it ends the name of the column of the value.
ENDINGS = {"length": "mm", "mass": "kg", "temperature": "c", "pressure": "kpa", "exhaust": "kpa"}


class Measure:
    """Three columns of a model, declared as one.

        depth = column.place(Measure("length", "below ground"))

    gives a model `depth_written`, which people type, `depth_unit` and `depth_mm`. A form that has
    `depth_written` among its fields fills in the other two (`RecordForm`).

    Args:
        quantity: A key of `ENDINGS`.
        label: What it is called; left out, as the attribute is.
        empty: The value where nothing is written.
    """

    def __init__(self, quantity: str, label=None, *, blank=True, empty=None, help_text=""):
        self.quantity, self.empty = quantity, empty
        null = blank and empty is None
        self.written = models.CharField(label, max_length=60, blank=blank, help_text=help_text)
        self.unit = models.CharField(max_length=8, blank=True, editable=False)
        default = {} if empty is None else {"default": empty}
        self.value = models.FloatField(null=null, blank=null, editable=False, **default)

    def contribute_to_class(self, model, name: str) -> None:
        self.written.verbose_name = self.written.verbose_name or name
        model.add_to_class(f"{name}_written", self.written)
        model.add_to_class(f"{name}_unit", self.unit)
        model.add_to_class(f"{name}_{ENDINGS[self.quantity]}", self.value)
        setattr(model, name, self)

    def columns(self, text: str, engine) -> dict:
        """The three columns of what people of an engine write. Raises MeasureError."""
        measure = read(self.quantity, text, engine) if text else None
        return {
            self.written.name: text,
            self.unit.name: measure.unit if measure else "",
            self.value.name: measure.value if measure else self.empty,
        }


def measures_of(model) -> list[Measure]:
    """The measures that a model declares."""
    return [one for one in vars(model).values() if isinstance(one, Measure)]


def read(quantity: str, text: str, engine) -> measures.Measure:
    """Read a measure in the units of an engine where none is written. Raises MeasureError."""
    inches = engine.length_unit == "in"
    if quantity == "length":
        return measures.read_length(text, default=engine.length_unit)
    if quantity == "mass":
        return measures.read_mass(text, default=engine.mass_unit, ton=engine.ton)
    if quantity == "angle":
        return measures.read_angle(text)
    if quantity == "temperature":
        return measures.read_temperature(text, default="F" if inches else "C")
    reader = measures.read_exhaust if quantity == "exhaust" else measures.read_pressure
    return reader(text, default="psi" if inches else "bar")
