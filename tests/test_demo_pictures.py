"""The drawn pictures of the demonstration engine: every key draws, and rust can be seen to go."""

import io

import numpy as np
import pytest
from PIL import Image

from parts.demo import pictures

SMALL = (240, 180)

NEEDED = [
    "connecting_rod",
    "crosshead",
    "guide_bar",
    "piston",
    "piston_ring",
    "piston_rod",
    "cylinder",
    "cylinder_cover",
    "steam_chest",
    "chest_cover",
    "slide_valve",
    "valve_spindle",
    "eccentric_sheave",
    "eccentric_strap",
    "strap_pattern",
    "eccentric_rod",
    "crank_disc",
    "crank_pin",
    "crankshaft",
    "main_bearing_cap",
    "bearing_brass",
    "white_metal_scraps",
    "flywheel_buried",
    "flywheel_clear",
    "flywheel_rim_segment",
    "governor_ball",
    "governor_spindle",
    "stop_valve",
    "lubricator",
    "drain_cock",
    "oil_cup",
    "foundation_bolt",
    "nut",
    "stud",
    "gib_and_cotter",
    "gland",
    "packing_nut",
    "lagging_band",
    "lagging_staves",
    "bedplate_buried",
    "bedplate_clear",
    "pedestal",
    "barring_lever",
    "name_plate",
    "spanner_old",
    "bottle_glass",
    "bone_fragment",
    "engine_house_before",
    "engine_house_after",
    "site_trench",
    "pattern_on_bench",
    "core_box",
    "mould_open",
    "pouring",
    "casting_raw",
    "casting_machined",
    "lathe_work",
    "hoist_lift",
    "oil_engine_body",
    "oil_engine_flywheel",
]


def levels(image):
    return np.asarray(image, dtype=float)


@pytest.fixture(scope="module")
def small():
    """Every picture once, small: drawing them all again in each test would be slow."""
    return {key: pictures.draw(key, size=SMALL) for key in pictures.PICTURES}


def test_it_holds_the_parts_the_record_needs():
    assert set(NEEDED) <= set(pictures.keys())
    assert set(pictures.PICTURES) == set(pictures.keys())


@pytest.mark.parametrize("key", pictures.keys())
def test_it_draws_a_picture_that_is_not_flat(key, small):
    image = small[key]
    assert (image.mode, image.size) == ("RGB", SMALL)
    grey = levels(image.convert("L"))
    assert grey.std() > 12
    assert 25 < grey.mean() < 215


@pytest.mark.parametrize("key", pictures.keys())
def test_rust_shows(key):
    before = levels(pictures.draw(key, size=SMALL, rust=1, ground="earth"))
    after = levels(pictures.draw(key, size=SMALL, rust=0, ground="earth"))
    changed = (np.abs(before - after).max(axis=2) > 20).mean()
    assert changed > 0.004  # the share of the picture that looks otherwise


def test_no_two_pictures_are_alike(small):
    keys = sorted(small)
    tiny = np.array([levels(small[k].resize((40, 30)).convert("L")).ravel() for k in keys])
    apart = np.abs(tiny[:, None] - tiny[None]).mean(axis=2) + np.eye(len(keys)) * 255
    nearest = np.unravel_index(apart.argmin(), apart.shape)
    assert apart.min() > 2, [keys[i] for i in nearest]


@pytest.mark.parametrize("key", ["cylinder", "engine_house_before", "pouring"])
def test_the_same_seed_gives_the_same_picture_and_another_does_not(key):
    first, again = (pictures.draw(key, seed=3, size=SMALL) for _ in range(2))
    other = pictures.draw(key, seed=4, size=SMALL)
    assert first.tobytes() == again.tobytes()
    assert first.tobytes() != other.tobytes()


def test_picture_callables_take_the_same_arguments():
    one = pictures.PICTURES["nut"](seed=1, size=SMALL, rust=0.5)
    assert one.tobytes() == pictures.draw("nut", seed=1, size=SMALL, rust=0.5).tobytes()


@pytest.mark.parametrize("ground", sorted(pictures.GROUNDS))
def test_a_part_can_lie_on_any_ground(ground):
    image = pictures.draw("piston_rod", size=SMALL, ground=ground)
    assert image.size == SMALL
    assert levels(image).std() > 8


def test_a_cleaned_part_is_less_red_than_a_rusted_one():
    def redness(rust):
        middle = levels(pictures.draw("cylinder", size=SMALL, rust=rust, ground="concrete"))
        middle = middle[50:110, 60:150]
        return (middle[..., 0] - middle[..., 2]).mean()

    assert redness(1.0) > redness(0.5) > redness(0.0)


def test_full_size_survives_the_compression_of_a_camera():
    image = pictures.draw("connecting_rod")
    assert image.size == (1200, 900)
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=85)
    assert kept.tell() < 600_000
    assert np.abs(levels(Image.open(kept)) - levels(image)).mean() < 8


@pytest.mark.parametrize(
    "wrong", [{"key": "no_such_part"}, {"key": "nut", "ground": "no_such_ground"}]
)
def test_an_unknown_name_is_refused(wrong):
    with pytest.raises(KeyError):
        pictures.draw(size=SMALL, **wrong)
