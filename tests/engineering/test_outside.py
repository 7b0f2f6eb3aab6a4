"""Each craft is checked against published values or independent methods, not only our own sums."""

from pathlib import Path

import pytest

from tests.conftest import COLLECTED

CRAFTS = [
    "measures",
    "materials",
    "solids",
    "threads",
    "castings",
    "melting",
    "bearings",
    "bars",
    "steam",
    "lifting",
    "survey",
    "searching",
    "estimating",
]
LEAST_PER_CRAFT = 5
LEAST_IN_ALL = 150


def test_each_craft_is_checked_against_the_world(request):
    collected = {item.path.stem for item in request.session.items}
    if not {f"test_{craft}" for craft in CRAFTS} <= collected:
        pytest.skip("only part of the engineering tests was collected")
    counts = request.config.stash[COLLECTED]
    thin = {craft: counts[craft] for craft in CRAFTS if counts[craft] < LEAST_PER_CRAFT}
    assert not thin
    assert sum(counts[craft] for craft in CRAFTS) >= LEAST_IN_ALL


def test_every_craft_has_its_tests():
    here = Path(__file__).parent
    assert all((here / f"test_{craft}.py").exists() for craft in CRAFTS)
