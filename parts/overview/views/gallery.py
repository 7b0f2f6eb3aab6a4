"""The pattern sheet: every component of the look once, with invented figures."""

from django import forms
from django.shortcuts import render

from parts.drafting import charts
from parts.drafting.lines import STATES
from parts.drafting.lining import MATERIALS
from parts.drafting.marks import ICONS
from parts.engineering.calculation import Calculation, Caution, Input, Origin
from parts.engineering.measures import Units
from parts.record.forms.fields import Cells, ConditionCells, Materials, Photo, Stepper, Unit

COUNTS = {
    "in_place": 61,
    "fitted": 6,
    "found": 68,
    "being_made": 9,
    "to_be_made": 31,
    "beyond_repair": 5,
    "missing": 32,
}
PATTERN_LENGTH = Calculation(
    "Pattern length",
    455.0,
    "mm",
    "(L + n × m) × (1 + c)",
    "(444.5 + 2 × 3.0) × 1.01 = 455.0",
    (
        Input("L", "Finished length", 444.5, "mm", Origin.MEASURED, "3 readings, 3 Nov"),
        Input("m", "To machine, each end", 3.0, "mm", Origin.ASSUMED, "Shop rule"),
        Input("n", "Ends machined", 2, "", Origin.ENTERED, "Drawing 19"),
        Input("c", "Contraction", "1 in 100", "", Origin.ASSUMED, "Not yet confirmed"),
    ),
    low=454.3,
    high=456.1,
    interval="from the limits of the contraction",
    cautions=(
        Caution(
            "Ask the founder before the pattern is cut.",
            "Contraction runs from 1 in 120 to 1 in 80 with the iron and the core.",
        ),
    ),
    limits="Warping and the rapping of the pattern.",
)


class PatternForm(forms.Form):
    photo = forms.FileField(widget=Photo(), required=False)
    name = forms.CharField(help_text="What people call it.")
    tape = forms.CharField(label="Tape from peg A", widget=Unit(unit="m"))
    side = forms.ChoiceField(
        label="Side of the line",
        choices=[("up", "Uphill of the line"), ("down", "Downhill")],
        widget=Cells(),
    )
    condition = forms.ChoiceField(
        choices=[("0", "Sound"), ("1", "Slight"), ("2", "Moderate"), ("3", "Severe")],
        widget=ConditionCells(),
    )
    material = forms.ChoiceField(
        label="Looks like",
        choices=[(key, lining.word) for key, lining in MATERIALS.items()],
        widget=Materials(),
    )
    quantity = forms.IntegerField(label="How many", widget=Stepper(), initial=1)
    component = forms.ChoiceField(
        choices=[(n, f"Component {n}") for n in range(1, 12)], required=False
    )
    sure = forms.BooleanField(label="It is a piece of this engine", required=False)
    remarks = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}), required=False)


def curve(width=620, height=250):
    planned = [(t, 100 * (t / 36) ** 2 * (3 - 2 * t / 36)) for t in range(0, 37, 2)]
    done = [(0, 0), (4, 3), (8, 9), (12, 18), (16, 30), (20, 42), (23, 48)]
    likely = [(23, 48), (27, 67), (31, 83), (36, 93)]
    low = [(23, 48), (27, 60), (31, 75), (36, 85)]
    high = [(23, 48), (27, 75), (31, 92), (36, 98)]
    marks = [(0, "Jan 2025"), (12, "Jan 2026"), (24, "Jan 2027"), (36, "Jan 2028")]
    return charts.s_curve(
        planned,
        done,
        likely,
        low,
        high,
        marks=marks,
        small=range(0, 37, 2),
        planned_word="Planned in January 2025",
        width=width,
        height=height,
    )


def page(request):
    """Show the pattern sheet."""
    wrong = PatternForm({"name": "", "side": "up", "condition": "2", "material": "cast_iron"})
    wrong.is_valid()
    reach = [(h, 60 * (1 - 0.91**h)) for h in range(25)]
    context = {
        "title": "Pattern sheet",
        "facts": [("States", len(STATES)), ("Materials", len(MATERIALS)), ("Icons", len(ICONS))],
        "states": STATES,
        "materials": MATERIALS,
        "icons": ICONS,
        "counts": COUNTS,
        "none": {},
        "form": PatternForm(initial={"side": "up", "condition": "2", "material": "cast_iron"}),
        "wrong": wrong,
        "calculation": PATTERN_LENGTH,
        "units": Units.customary(),
        "curve": curve(),
        "narrow": curve(358, 290),
        "bars": charts.bars([("Castings", 9720), ("Machining", 8200), ("Carriage", 1900)]),
        "reach": charts.reach_curve(reach, (6, reach[6][1]), (11, "costs more than it is worth")),
        "rows": [
            ("Governor body", 7, "missing", "cast_iron", "14 × 9 in dia.", 21.4, 700, 1180, 1900),
            ("Eccentric strap", 14, "to_be_made", "cast_iron", "13 1/2 in", 17.2, 330, 420, 570),
            ("Main brasses", 13, "being_made", "bronze", "5 7/16 in", 12.8, 500, 540, 590),
            ("Cover studs", 124, "fitted", "steel", "7/8 in × 4 in", 7.7, 90, 110, 140),
            ("Drain cocks", 1031, "beyond_repair", "brass", "3/4 in", 1.1, 70, 85, 100),
        ],
    }  # fmt: skip
    return render(request, "overview/gallery.html", context)
