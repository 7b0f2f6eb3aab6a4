"""The origins of the inputs of a calculation."""

import dataclasses

import pytest

from parts.engineering.calculation import Calculation, Input, Origin
from parts.engineering.uncertainty import Size


@pytest.mark.parametrize("kind", [Input, Size])
def test_an_input_has_no_default_origin(kind):
    origin = next(f for f in dataclasses.fields(kind) if f.name == "origin")
    assert origin.default is dataclasses.MISSING
    assert origin.default_factory is dataclasses.MISSING
    with pytest.raises(TypeError):
        Input("d", "Bore", 3.0, "mm")


def test_with_origins_changes_the_calculation_and_its_parts():
    bore = Input("d", "Bore", 3.0, "mm", Origin.ENTERED)
    inner = Calculation("Area", 7.07, "mm2", "π/4 × d²", inputs=(bore,))
    other = Input("d", "Depth", 9.0, "mm", Origin.ENTERED)
    outer = Calculation(
        "Load", 1.0, "N", "p × A", inputs=(bore, other), parts=(inner,)
    ).with_origins({"d": (Origin.MEASURED, "inside caliper")})
    assert [g.origin for g in outer.inputs] == [Origin.MEASURED] * 2
    assert outer.parts[0].inputs[0].source == "inside caliper"
    assert bore.origin is Origin.ENTERED
