"""The starter lists are consistent. Their contents are common practice, no source."""

import re

import pytest

from parts.engineering.errors import UnknownName
from parts.engineering.routes import ROUTES
from parts.engineering.starters import KINDS, LINE, starter

MATERIALS = {
    *("cast_iron", "steel", "wrought_iron", "brass", "bronze", "copper", "white_metal", "lead"),
    *("aluminium", "wood", "leather", "rubber", "packing", "glass", "stone", "brick", "not_known"),
}
FASTENER_WORDS = re.compile(
    r"\b(bolts?|nuts?|studs?|screws?|pins?|washers?|cotters?|rivets?|dowels?|stays?|unions?|clips?"
    r"|rod end|link)\b",
    re.IGNORECASE,
)
FASTENER_METALS = {"steel", "wrought_iron", "brass", "bronze", "cast_iron", "not_known"}

each_kind = pytest.mark.parametrize("kind", KINDS)


@each_kind
def test_item_numbers_are_unique_and_follow_their_component(kind):
    list_ = starter(kind)
    numbers = [part.number for part in list_.parts]
    assert len(set(numbers)) == len(numbers)
    for component in list_.components:
        assert 1 <= component.number <= 20
        assert [part.number for part in component.parts] == [
            100 * component.number + place for place in range(1, len(component.parts) + 1)
        ]


@each_kind
def test_lists_have_a_useful_size(kind):
    list_ = starter(kind)
    assert 12 <= len(list_.components) <= 20
    assert 110 <= len(list_.parts) <= 210
    assert list_.pieces > len(list_.parts)


@each_kind
def test_materials_routes_and_quantities_are_known(kind):
    for part in starter(kind).parts:
        assert part.material in MATERIALS, part
        assert part.route in ROUTES, part
        assert 1 <= part.quantity <= 100, part


@each_kind
def test_fasteners_are_named_and_made_as_fasteners(kind):
    fasteners = [part for part in starter(kind).parts if part.fastener]
    assert len(fasteners) >= 15
    for part in fasteners:
        assert FASTENER_WORDS.search(part.name), part
        assert part.material in FASTENER_METALS, part
        assert part.route in {"buy", "machine"} or part.name == "Foundation washer", part


@each_kind
def test_plain_nuts_and_bolts_are_all_marked_as_fasteners(kind):
    for part in starter(kind).parts:
        if re.search(r"\b(nut|bolt and nut|stud and nut|split pin|washer)$", part.name.lower()):
            assert part.fastener, part


@each_kind
def test_materials_fit_the_routes(kind):
    """Timber and leather are not cast, and cast iron is not cut from plate."""
    for part in starter(kind).parts:
        if part.route == "cast":
            assert part.material in {
                "cast_iron", "brass", "bronze", "white_metal", "lead", "aluminium",
            }, part  # fmt: skip
        if part.route == "fabricate":
            assert part.material != "cast_iron", part


@each_kind
def test_names_differ_within_a_component(kind):
    list_ = starter(kind)
    assert len({component.name for component in list_.components}) == len(list_.components)
    for component in list_.components:
        names = [part.name for part in component.parts]
        assert len(set(names)) == len(names), component.name


@each_kind
def test_every_parent_component_is_listed_and_no_component_is_its_own_parent(kind):
    components = starter(kind).components
    by_name = {component.name: component for component in components}
    for component in components:
        seen = set()
        while component.parent:
            assert component.name not in seen
            seen.add(component.name)
            component = by_name[component.parent]


@each_kind
def test_list_says_how_far_to_trust_it(kind):
    list_ = starter(kind)
    assert list_.line == LINE
    assert "correct it against the engine" in LINE
    assert KINDS[kind].word
    assert KINDS[kind].note.endswith(".")


def test_every_stud_has_a_nut():
    """Covers of the slide-valve engine: as many nuts as studs, in every component with both."""
    for component in starter("horizontal_slide_valve").components:
        studs = sum(p.quantity for p in component.parts if re.search(r"\bstud$", p.name.lower()))
        nuts = sum(p.quantity for p in component.parts if re.search(r"\bnut$", p.name.lower()))
        assert nuts >= studs, component.name


def test_boiler_parts_of_a_portable_defer_to_the_inspector():
    shell = starter("portable").components[0]
    plates = [part for part in shell.parts if part.material in {"steel", "wrought_iron"}]
    deferring = [part for part in plates if "inspector" in part.note]
    assert len(deferring) >= 8
    fittings = starter("portable").components[1].parts
    for word in ("safety valve", "water gauge", "check valve", "blow-down"):
        part = next(part for part in fittings if part.name.lower().startswith(word))
        assert "inspector" in part.note, part


def test_lagging_and_joints_caution_of_asbestos():
    for kind in ("horizontal_slide_valve", "horizontal_four_valve", "vertical", "beam"):
        parts = starter(kind).parts
        filling = [p for p in parts if "felt" in p.name.lower() or "block lagging" in p.name]
        assert filling, kind
        assert all("asbestos" in part.note for part in filling)


def test_oil_engine_has_fuel_and_ignition():
    names = {component.name for component in starter("oil_engine").components}
    assert {"Ignition", "Fuel and vaporiser", "Governor", "Cooling"} <= names


def test_an_unknown_kind_is_refused_in_words():
    with pytest.raises(UnknownName, match="no starter list"):
        starter("turbine")


COME_IN_HALVES = re.compile(
    r"\b(eccentric|pump eccentric) (strap|sheave)\b|^strap(, half)?$|^strap (liner|white metal)\b"
    r"|\b(end|main|bearing|shaft|rod|bar|link|block) brass\b|\bbearing,? half\b",
    re.IGNORECASE,
)
ONE_BOX = {("horizontal_four_valve", 806), ("horizontal_four_valve", 1306)}


@each_kind
def test_halves_are_named_and_counted_as_halves(kind):
    """Common practice, no source. A valve rod's brass may be one bush; a rod strap is one piece."""
    seen = 0
    for part in starter(kind).parts:
        if not COME_IN_HALVES.search(part.name) or (kind, part.number) in ONE_BOX:
            continue
        if part.name == "Eccentric sheave" and not any(
            other.name.startswith("Sheave bolt") for other in starter(kind).parts
        ):
            continue  # in one piece: nothing bolts it together
        seen += 1
        assert re.search(r"\b(half|top|bottom)$", part.name), part
        assert part.quantity % 2 == 0, part
    assert seen
