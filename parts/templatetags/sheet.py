"""The tags and filters of the sheets: `{% load sheet %}`.

State        {% line_sample "missing" %}            the key sample of a state's line, 54 px
             {% state_name "missing" %}             the word alone
             {% state_word "missing" %}             sample and word
             {% state_key counts %}                 the key as a table: sample, word, gloss, count
             {% balloon 10 "missing" %}             a part's number in its ring, radius 11
             {% balloon 10 "missing" 23 %}          … on a part page
             {% balloon_link url 10 "missing" "Crosshead" %}  a link named "10 Crosshead, Missing"
Material     {% lining "cast_iron" %}               swatch and word
             {% swatch "cast_iron" 88 46 %}         swatch alone
Figures      {% answer w units %}  {% interval w units %}  of a Calculation, as fine as its interval
             {{ w.verdict|in_units:units }}         a sentence, in the units of the project
             {{ "1 3/8 in"|measure }}               fractions set, with spoken text
             {% figure value "mm3" units %}         any figure of a calculation
             {% length mm units %}  {% mass kg units %}   from mm and kg, as people use them
             {% money amount currency %}            £1,180
             {% money_range low high currency %}    £3,569 to £6,848
             {% range low likely high top %}        a range as a dimension line, top = column's end
             {% range_head top currency %}          the scale in the head of that column
             {% worth_bar worth cost top currency %}  the worth of an hour against its cost
             {% state_bar counts %}                 the measured bar of states (counts by key)
             {% cost_bar spent in_hand low likely high currency %}
             {% condition_class 2 %}                the class in its square
Calculation  {% calculation w units %}              a Calculation, whole; units = engine.units
             {% caution c %}  {% caution "Do this." "Because." %}  {% caution_short "Do this." %}
Drawing      {% blank_drawing %}                    zone border, centre lines and bed outline
Marks        {% icon "camera" %}  {% icon "camera" 22 %}  {% mark %}
Page         {% again "title" %}                    a block of this page a second time
             {% query page=3 %}                     this address's query with changes ("?…")

Every drawing stands beside its word; where it does not, give it `title="…"`.
"""

from __future__ import annotations

from django import template
from django.template.loader_tags import BLOCK_CONTEXT_KEY
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from parts.drafting import balloons, calculations, lettering, lines, lining, marks, scales, zones
from parts.drafting.calculations import lay_out
from parts.engineering import measures
from parts.engineering.calculation import Calculation, Caution
from parts.engineering.measures import Units
from parts.engineering.sentences import in_units

register = template.Library()


def _safe(drawn: str):
    return mark_safe(str(drawn))


# ---- State and material ----


@register.simple_tag
def line_sample(state, width=54, title=""):
    return _safe(lines.line_sample(str(state), width, title))


@register.simple_tag
def state_name(state):
    """The word of a state alone."""
    return lines.STATES[str(state)].word


@register.simple_tag
def state_word(state, words=""):
    """The sample and the word of a state; `words` stand in its place ("Found, on the bench")."""
    kind = lines.STATES[str(state)]
    colour = kind.colour if kind.colour != "ink" else ""
    return format_html(
        '<span class="state {}">{}<span>{}</span></span>',
        colour,
        _safe(lines.line_sample(str(state), 30 if not words else 54)),
        words or kind.word,
    )


@register.inclusion_tag("shared/_state_key.html")
def state_key(counts, link="", picked="", back="", after=""):
    """The key of states with counts.

    With `link`, each row leads to `link` + the state's key + `after`; the row of the state that
    is `picked` leads `back`.
    """
    rows = [(key, kind, counts.get(key, 0)) for key, kind in lines.STATES.items()]
    return {
        "rows": rows,
        "total": sum(count for *_, count in rows),
        "link": link,
        "picked": picked,
        "back": back,
        "after": after,
    }


@register.simple_tag
def balloon(number, state, radius=11, picked=False, title=""):
    return _safe(balloons.balloon(number, str(state), radius, picked, title))


@register.simple_tag
def balloon_link(url, number, state, name, radius=11, picked=False):
    kind = lines.STATES[str(state)]
    return format_html(
        '<a class="balloon-name" href="{}">{}<span>{}<span class="spoken">, {}</span></span></a>',
        url,
        _safe(balloons.balloon(number, str(state), radius, picked, title=str(number))),
        name,
        kind.word.lower(),
    )


@register.simple_tag
def swatch(material, width=30, height=18, title=""):
    return _safe(lining.swatch(str(material), width, height, title))


@register.simple_tag(name="lining")
def lining_(material):
    key = str(material or "not_known")
    known = lining.MATERIALS.get(key, lining.MATERIALS["not_known"])
    return format_html(
        '<span class="material">{}<span>{}</span></span>', _safe(lining.swatch(key)), known.word
    )


@register.simple_tag
def condition_class(value):
    words = {0: "Sound", 1: "Slight", 2: "Moderate", 3: "Severe"}
    if value is None or value == "":
        return ""
    return format_html(
        '<span class="class-square"><span class="spoken">Condition </span>{}'
        '<span class="spoken"> {}</span></span>',
        value,
        words.get(int(value), ""),
    )


# ---- Figures ----


@register.filter
def measure(text):
    """A measure as it was written, its fractions set as raised and lowered figures."""
    return _safe(lettering.set_measure(str(text))) if text not in (None, "") else ""


def _shown(value, unit, units):
    number, name = measures.show(value, unit, units)
    return measure(f"{number} {name}".strip())


@register.simple_tag
def length(mm, units):
    """A length in mm, in the units people use. Nothing for None."""
    return _shown(mm, "mm", units) if mm is not None else ""


@register.simple_tag
def mass(kg, units):
    """A mass in kg, in the units people use. Nothing for None."""
    return measure(measures.write_mass(kg, units.mass, units.ton)) if kg is not None else ""


@register.simple_tag
def figure(value, unit, units):
    """Return any figure of a calculation in the units of the project, "" for None."""
    return _shown(value, unit, units) if value is not None else ""


@register.simple_tag
def answer(w: Calculation, units):
    """The answer of a Calculation, with the digits that its interval supports."""
    return calculations.answer(w, units)[0]


@register.simple_tag
def interval(w: Calculation, units):
    """The interval of a Calculation, "6 lb to 19 lb". Nothing where it has none."""
    _, low, high = calculations.answer(w, units)
    return format_html("{} to {}", low, high) if low and high else ""


@register.filter(name="in_units")
def in_units_(text, units):
    """Return a sentence of a calculation with its quantities in the units of the project."""
    return in_units(str(text), units)


@register.simple_tag
def money(amount, currency="GBP", pence=None):
    """A sum; `pence` True or False writes a whole column alike."""
    return lettering.money(amount, currency, pence)


@register.simple_tag
def money_range(low, high, currency="GBP", pence=None):
    if low is None or high is None or low == high:
        return lettering.money(low if high is None else high, currency, pence)
    return format_html(
        '<span class="range-text">{} to {}</span>',
        lettering.money(low, currency, pence),
        lettering.money(high, currency, pence),
    )


@register.simple_tag(name="range")
def range_(low, likely, high, top, currency="GBP", width=100):
    if low is None or high is None:
        return ""
    said = f"{lettering.money(low, currency)} to {lettering.money(high, currency)}"
    if likely is not None:
        said += f", likely {lettering.money(likely, currency)}"
    points = [None if v is None else float(v) for v in (low, likely, high, top)]
    return _safe(scales.range_line(*points, width=width, title=said))


@register.simple_tag
def range_head(top, currency="GBP", width=100):
    return _safe(scales.range_head(float(top), width, currency))


@register.simple_tag
def worth_bar(worth, cost, top, currency="GBP"):
    said = (
        f"An hour is worth {lettering.money(worth, currency, False)} "
        f"and costs {lettering.money(cost, currency, False)}"
    )
    return _safe(scales.worth_bar(float(worth), float(cost), float(top), title=said))


@register.inclusion_tag("shared/_state_bar.html")
def state_bar(counts, key=True):
    """The measured bar of states; with `key`, the fillings and their words stand below it."""
    chips = [
        (_safe(scales.state_chip(state)), kind.word, counts[state])
        for state, kind in lines.STATES.items()
        if counts.get(state)
    ]
    return {"bar": _safe(scales.state_bar(counts)), "chips": chips if key else []}


@register.simple_tag
def cost_bar(spent, in_hand, low, likely, high, currency="GBP"):
    amounts = [None if v is None else float(v) for v in (spent, in_hand, low, likely, high)]
    return _safe(scales.cost_bar(amounts[0] or 0, amounts[1] or 0, *amounts[2:], currency))


# ---- Calculations and cautions ----


def _cautions_on_page(context) -> set[Caution]:
    """The cautions that this page shows so far. Printed sheets show each where it belongs."""
    request = context.get("request")
    if request is None:
        return set()
    if not hasattr(request, "cautions_on_page"):
        request.cautions_on_page = set()
    return request.cautions_on_page


@register.inclusion_tag("shared/_calculation.html", takes_context=True)
def calculation(context, calculation: Calculation, units, heading="h2"):
    """A Calculation: how a figure was reached, in the units of the engine.

    A caution that the page shows already is left out. Only a calculation in plain sight (headed by
    "h2", the others are folded away) counts as showing one.
    """
    on_page = _cautions_on_page(context)
    cautions = [c for c in calculation.cautions if c not in on_page]
    if heading == "h2":
        on_page.update(cautions)
    return {
        "calculation": lay_out(calculation, units),
        "cautions": [_caution_in(c, units) for c in cautions],
        "heading": heading,
        "units": units,
        "request": context.get("request"),
    }


@register.inclusion_tag("shared/_caution.html", takes_context=True)
def caution(context, said, why=""):
    """Show a caution: a `Caution`, or what to do and why, in the units of the page."""
    if not isinstance(said, Caution):
        said = Caution(str(said), str(why))
    _cautions_on_page(context).add(said)
    return {"caution": _caution_in(said, _units_of(context))}


def _units_of(context) -> Units:
    return context.get("units") or getattr(context.get("engine"), "units", Units.metric())


def _caution_in(said: Caution, units: Units) -> Caution:
    return Caution(in_units(said.act, units), in_units(said.why, units))


@register.inclusion_tag("shared/_caution.html", takes_context=True)
def caution_short(context, act):
    return {"caution": _caution_in(Caution(str(act)), _units_of(context)), "short": True}


# ---- Marks and the page ----


@register.simple_tag
def icon(name, size=18, title="", colour="ink"):
    return _safe(marks.icon(name, size, title, colour))


@register.simple_tag
def blank_drawing():
    """The place of the general arrangement, before it is drawn."""
    return _safe(zones.blank())


@register.simple_tag
def mark(height=22):
    return _safe(marks.mark(height, ""))


@register.simple_tag(takes_context=True)
def again(context, name):
    """A block of this page a second time: the title stands in the tab and on the sheet."""
    blocks = context.render_context.get(BLOCK_CONTEXT_KEY)
    block = blocks.get_block(name) if blocks else None
    return block.render(context) if block else ""


@register.simple_tag(takes_context=True)
def query(context, **changes):
    """This address's query with changes; an empty value takes a name out."""
    asked = context["request"].GET.copy()
    for name, value in changes.items():
        if value in (None, ""):
            asked.pop(name, None)
        else:
            asked[name] = value
    return f"?{asked.urlencode()}"
