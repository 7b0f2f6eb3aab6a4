"""The form for what the engine's figures are reckoned from, beside its leading sizes."""

from django import forms

from ..models import Engine
from ..trade import measures
from . import fields as sheet
from .base import RecordForm


class FiguresForm(RecordForm):
    """Speed, steam, cut-off, flywheels, and what an hour at the bench costs."""

    class Meta:
        model = Engine
        fields = [
            "speed_rpm",
            "pressure_written",
            "cut_off",
            "wheels",
            "wheel_arms",
            "shop_rate",
        ]
        widgets = {
            "speed_rpm": sheet.Unit(unit="rpm"),
            "wheels": sheet.Stepper,
            "wheel_arms": sheet.Stepper(least=0),
        }
        labels = {"pressure_written": "Steam pressure, by the gauge"}
        help_texts = {
            "speed_rpm": "Turns of the crank a minute.",
            "pressure_written": "80 psi, or 5.5 bar.",
            "shop_rate": "What an hour of work is taken to cost when ways are weighed.",
        }

    def clean(self):
        data = super().clean()
        text = (data.get("pressure_written") or "").strip()
        self.derived |= {"pressure_unit": "", "pressure_kpa": None}
        if text:
            default = "psi" if self.engine.length_unit == "in" else "bar"
            try:
                read = measures.read_pressure(text, default=default)
            except measures.MeasureError as error:
                self.add_error("pressure_written", forms.ValidationError(str(error)))
                return data
            self.derived |= {"pressure_unit": read.unit, "pressure_kpa": read.value}
        return data
