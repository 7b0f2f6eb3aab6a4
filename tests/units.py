"""One system of units on every page of an engine: the demo's calculations tell no other."""

import html
import re
from collections import Counter

import pytest
from django.urls import Resolver404, resolve

from parts.care.models import Measurement
from parts.drafting import calculations
from parts.engineering.measures import Units
from parts.lifting.models import Gear
from parts.record.models import Engine
from parts.workshop.bars.models import Bar
from tests import make

# No "bar": that is what is sawn. Pressures are shown in kPa.
METRIC = r"mm|cm|m|mm²|cm²|m²|mm³|cm³|m³|kg|g|t|tonnes?|l|litres?|N|kN|N·m|N m|kPa|MPa|J|kJ|MJ"
METRIC += r"|kW|m/s|m/min|°C|kg/m³|g/cm³|kg/m|kg·m²|kg/h|kJ/kg|MJ/kg|kPa·m/s|l/min"
CUSTOMARY = r"in|in²|in³|ft|ft²|ft³|yd|lb|lbs|oz|cwt|tons?|long tons?|lbf|lb·ft|ft·lbf|psi|hp|Btu"
CUSTOMARY += r"|ft/min|ft/s|°F|lb/in³|lb/ft|lb·ft²|lb/h|Btu/lb|psi·ft/min|imp\. gal|US gal|thou"
NUMBER = r"(?:\d[\d,]*(?:\.\d+)?|[½¼¾⅛⅜⅝⅞]|\d+/\d+)"
# Names of things keep the size that is in them, whoever reads: drills, threads.
NAMES = re.compile(r"[Dd]rill \S+(?: \S+)? (?:in|mm)\b|M\d+ × [\d.]+|\d+ in \d+")


def _as_written(engine) -> list[str]:
    """Names and measures that people wrote: they are quoted as they were written."""
    rows = Measurement.objects.filter(engine=engine).values_list("written", "plus_or_minus")
    texts = {text for row in rows for text in row if text}
    texts |= set(Gear.objects.filter(engine=engine).values_list("name", flat=True))
    texts |= {str(bar) for bar in Bar.objects.filter(engine=engine)}
    return sorted(texts, key=len, reverse=True)


def _found(system: str, text: str, written: list[str]) -> list[str]:
    for quoted in written:
        text = text.replace(quoted, "")
    return re.findall(rf"{NUMBER}\s?(?:{system})(?![\w²³·/°])", NAMES.sub("", text))


def _plain(text: str) -> str:
    return re.sub(r"<[^>]+>", "", html.unescape(str(text)))


def _pages(client, engine, of_each):
    """Open the engine's pages by their links, so many of each kind; yield each with its text."""
    todo, seen, kinds = [f"/engines/{engine.pk}/"], set(), Counter()
    while todo:
        address = todo.pop(0)
        path = address.partition("?")[0]
        try:
            kind = resolve(path).url_name
        except Resolver404:
            continue
        if address in seen or re.search(r"pdf|csv|photo|edit|new|drop|delete|logout|print", kind):
            continue
        if "units=" in address:
            continue
        seen.add(address)
        kinds[kind, "calculation=" in address] += 1
        if kinds[kind, "calculation=" in address] > of_each:
            continue
        answer = client.get(address)
        if answer.status_code != 200 or "html" not in answer["Content-Type"]:
            continue
        page = answer.content.decode()
        yield address, page
        for href in re.findall(r'href="([^"#]+)', page):
            link = html.unescape(href)
            link = path + link if link.startswith("?") else link
            if link.startswith(f"/engines/{engine.pk}/"):
                todo.append(link)


@pytest.mark.parametrize(
    ("units", "other"),
    [(Units.customary(), METRIC), (Units.metric(), CUSTOMARY)],
    ids=["customary", "metric"],
)
@pytest.mark.parametrize("of_each", [2, pytest.param(14, marks=pytest.mark.long)])
def test_no_calculation_tells_the_other_system(client, demo, monkeypatch, units, other, of_each):
    Engine.objects.filter(pk=demo.pk).update(
        length_unit=units.length, mass_unit=units.mass, tape_unit=units.tape, ton=units.ton
    )
    client.force_login(make.member(demo, "lead"))
    shown, written = {}, _as_written(demo)

    def lay_out(calculation, asked):
        sheet = whole(calculation, asked)
        texts = [sheet.name, sheet.answer, sheet.low, sheet.high, sheet.verdict, sheet.formula]
        texts += [sheet.figures, sheet.source, sheet.interval, sheet.limits]
        texts += [f"{entry.name} | {entry.value} | {entry.source}" for entry in sheet.inputs]
        for text in texts:
            if wrong := _found(other, _plain(text), written):
                shown.setdefault(sheet.name, []).append((wrong, str(text)))
        laid[sheet.name] += 1
        return sheet

    whole, laid = calculations.lay_out, Counter()
    monkeypatch.setattr("parts.templatetags.sheet.lay_out", lay_out)
    pages = list(_pages(client, demo, of_each))
    for address, page in pages:
        assert "⟦" not in page, address
    assert len(laid) > 30, laid
    assert not shown, "\n".join(f"{name}: {rows}" for name, rows in shown.items())
