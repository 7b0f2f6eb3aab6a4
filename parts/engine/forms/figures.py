"""The form for what the engine's figures are calculated from, beside its leading sizes."""

from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.models import Engine


class FiguresForm(RecordForm):
    """Speed, steam, exhaust, cut-off, flywheels, and what an hour at the bench costs."""

    class Meta:
        model = Engine
        fields = [
            "speed_rpm",
            "pressure_written",
            "exhaust_written",
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
        labels = {
            "pressure_written": "Steam pressure, by the gauge",
            "exhaust_written": "Exhaust pressure or vacuum",
        }
        help_texts = {
            "speed_rpm": "Turns of the crank a minute.",
            "pressure_written": "80 psi, or 5.5 bar.",
            "exhaust_written": "26 inHg vacuum for a condensing engine; 2 psi is above the air, 2 "
            "psi absolute from nothing. Empty: it exhausts to the air.",
            "shop_rate": "What an hour of work is taken to cost when ways are weighed.",
        }
