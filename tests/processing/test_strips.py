"""Two kinds of strip, never mixed; areas against the sides of the rectangle itself."""

import numpy as np
import pytest
import shapely

from lawnmap.geometry.frame import about
from lawnmap.processing.measure import measure
from lawnmap.processing.strips import strips

PLACE = shapely.Point(-1.55, 53.8)


def shape(west, south, east, north):
    """Return a rectangle in metres about a place, in longitude and latitude."""
    return about(PLACE).round(np.array([shapely.box(west, south, east, north)], dtype=object))[0]


def run(lawn, *features, cards=(), slope=0.0, **choices):
    zones = lawn.zones({"slope_seen_deg": slope})
    zones = zones.set_geometry([shape(0, 0, 20, 10)], crs=zones.crs)
    things = lawn.features(*features)
    measured = measure(zones.drop(columns=["ground_area_m2", "slope_deg"]), things, {})
    return strips(measured.zones, measured.lawn, things, lawn.choices(*cards, **choices))


def left(area, *, beyond):
    """Tell whether a strip is not narrower than asked, and at most 0.13 % wider."""
    return beyond * (1 - 1e-3) <= area <= beyond * (1 + 1e-6)


WATER = {"feature": "water", "water_kind": "ditch", "geometry": shape(20, -5, 22, 15)}
DRAIN = {"feature": "drain", "drain_kind": "channel", "geometry": shape(-1, -5, 0, 15)}
PAVING = {"feature": "paving", "geometry": shape(-5, 10, 25, 12)}


def test_nothing_mapped(lawn):
    zones, layers = run(lawn)
    row = zones.loc["a"]
    assert (row["water_strip_m"], row["water_strip_from"], row["hand_strip_m"]) == (
        0, "none mapped", 0,
    )  # fmt: skip
    assert row["iron_area_m2"] == pytest.approx(200, abs=0.01)
    assert list(layers) == ["iron area", "untreated strip"]
    assert layers["untreated strip"].empty


@pytest.mark.parametrize("thing", [WATER, DRAIN])
def test_not_set_means_nothing_is_applied(lawn, thing):
    zones, layers = run(lawn, thing)
    assert zones.loc["a", "water_strip_from"] == "not set"
    assert np.isnan(zones.loc["a", "water_strip_m"])
    assert zones.loc["a", "iron_area_m2"] == 0
    assert layers == {}


def test_one_of_water_and_drain_set_is_not_enough(lawn):
    legal = {"legal": {"water_m": 5.0, "drain_m": None, "from": "law"}}
    zones, _ = run(lawn, WATER, DRAIN, strips=legal)
    assert zones.loc["a", "iron_area_m2"] == 0
    zones, _ = run(lawn, WATER, strips=legal)
    assert left(zones.loc["a", "iron_area_m2"], beyond=150)


@pytest.mark.parametrize(
    ("label", "law", "width", "source"),
    [(2.0, None, 2, "label"), (2.0, 5.0, 5, "law"), (6.0, 5.0, 6, "label"), (None, 5.0, 5, "law")],
)
def test_the_widest_holds(lawn, label, law, width, source):
    zones, layers = run(
        lawn, WATER, cards=[lawn.card(untreated_strip_m=label)],
        strips={"legal": {"water_m": law, "drain_m": None, "from": "law"}},
    )  # fmt: skip
    row = zones.loc["a"]
    assert (row["water_strip_m"], row["water_strip_from"]) == (width, source)
    assert left(row["iron_area_m2"], beyond=10 * (20 - width))
    assert not layers["untreated strip"].empty


def test_paving_has_a_default_and_the_users_own(lawn):
    zones, _ = run(lawn, PAVING)
    assert zones.loc["a", "hand_strip_m"] == 0.3
    assert left(zones.loc["a", "iron_area_m2"], beyond=20 * 9.7)
    zones, _ = run(lawn, PAVING, strips={"workmanship": {"paving_m": 1.0}})
    assert left(zones.loc["a", "iron_area_m2"], beyond=20 * 9.0)


def test_a_wide_spreader_keeps_half_its_width(lawn):
    sand = lawn.card(form="lawn sand", rate_printed="35 g/m²")
    zones, _ = run(lawn, PAVING, cards=[sand], applicator={"iron": "rotary spreader"})
    assert zones.loc["a", "hand_strip_m"] == 1.0


def test_area_is_along_the_slope(lawn):
    zones, _ = run(lawn, PAVING, slope=20.0)
    # 1/cos 20° = 1.06418 (any table of cosines).
    assert zones.loc["a", "iron_area_m2"] == pytest.approx(194 * 1.06418, rel=1e-4)
    assert zones.loc["a", "iron_area_m2"] <= zones.loc["a", "ground_area_m2"]
