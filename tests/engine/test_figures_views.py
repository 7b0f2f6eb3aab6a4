"""The page of the engine's figures."""

import pytest
from django.urls import reverse

from parts.engine.models import EngineSize
from parts.record.models import Change
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def engine():
    engine = make.engine(speed_rpm=120)
    for name, mm in (("bore", 300), ("stroke", 450), ("flywheel", 2000)):
        EngineSize.objects.create(
            engine=engine, name=name, written=f"{mm} mm", unit="mm", value_mm=mm
        )
    return engine


def test_any_calculation_is_shown_in_both_systems(client, engine):
    client.force_login(make.member(engine, "reader"))
    address = reverse("parts:figures", args=[engine.pk])
    page = client.get(address).content.decode()
    assert "A display engine is not thereby fit to steam." in page
    assert "354.3 ft/min" in page
    metric = client.get(address + "?units=metric&calculation=1").content.decode()
    assert "1.8 m/s" in metric
    assert "2 × S × N" in metric
    for odd in ("?calculation=99", "?calculation=-1", "?calculation=x", "?units=furlongs"):
        assert client.get(address + odd).status_code == 200


def test_steam_is_read_as_it_is_written(client, engine):
    client.force_login(make.member(engine, "lead"))
    address = reverse("parts:figures_edit", args=[engine.pk])
    assert client.get(address).status_code == 200
    sent = {
        "speed_rpm": "110",
        "pressure_written": "80 psi",
        "cut_off": "0.6",
        "wheels": 1,
        "wheel_arms": 6,
        "shop_rate": "22",
        "seen": engine.version,
    }
    page = client.post(address, sent | {"cut_off": "1.4"}).content.decode()
    assert "more than 0 and no more than 1" in page
    page = client.post(address, sent | {"pressure_written": "eighty"}).content.decode()
    assert "eighty" in page
    answer = client.post(address, sent)
    assert answer.url == reverse("parts:figures", args=[engine.pk])
    engine.refresh_from_db()
    assert engine.pressure_kpa == pytest.approx(551.58, rel=1e-4)
    assert Change.objects.filter(kind="engine", verb="changed").exists()
    assert "Indicated power" in client.get(answer.url).content.decode()
