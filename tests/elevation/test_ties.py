"""Ties from a record to the starter list that the drawing is made by."""

from __future__ import annotations

import csv

import pytest
from django.conf import settings

from parts.elevation import KINDS
from parts.elevation.ties import propose
from parts.engineering.starters import starter


@pytest.mark.parametrize("kind", KINDS)
def test_a_record_made_from_the_starter_list_is_tied_to_itself(kind):
    listed = starter(kind)
    components, parts = propose(
        kind,
        [(c.number, c.name) for c in listed.components],
        [(p.number, c.number, p.name) for c in listed.components for p in c.parts],
    )
    assert components == {c.number: c.number for c in listed.components}
    assert parts == {p.number: p.number for p in listed.parts}


def test_names_decide_and_not_numbers():
    components, parts = propose(
        "horizontal_slide_valve",
        [(3, "Flywheel"), (4, "Bar frame")],
        [(301, 3, "Driving pulley"), (302, 3, "Flywheel key"), (303, 3, "Brass plaque")],
    )
    assert components == {3: 15}
    assert parts == {301: 1506, 302: 1502}


def test_the_demo_engine_is_tied_by_its_names():
    folder = settings.BASE_DIR / "parts/demo/tables/harrow_gap"
    with (folder / "components.csv").open(encoding="utf-8") as file:
        components = [(int(r["number"]), r["name"]) for r in csv.DictReader(file)]
    with (folder / "parts.csv").open(encoding="utf-8") as file:
        parts = [(int(r["item"]), int(r["component"]), r["name"]) for r in csv.DictReader(file)]
    tied, made = propose("horizontal_slide_valve", components, parts)
    assert tied == {number: number for number, _ in components}
    assert made[1504] == 1506
    assert made[101] == 101
    assert len(made) > 0.9 * len(parts)


def test_what_resembles_nothing_is_left_out():
    assert propose("beam", [(1, "Tea urn")], [(101, 1, "Tap")]) == ({}, {})
