"""Ground that blades keep clear of, against areas worked by hand."""

import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap.found import Heights
from lawnmap.geometry.frame import about
from lawnmap.model import Machine
from lawnmap.processing.measure import measure
from lawnmap.processing.setting_out.blade_strips import blade_strips

PLACE = shapely.Point(-1.55, 53.8)
FRAME = about(PLACE)
PETROL = Machine("petrol", "petrol", width_m=0.4, overall_width_m=0.8, most_slope_deg=15.0)
PLAIN = Machine("plain", "petrol", width_m=0.4)
RAKE = Machine("rake", "rake")


def on_earth(geometry):
    return FRAME.round(np.array([geometry], dtype=object))[0]


def run(lawn, *features, machine=PETROL, heights=None, blades=None, **choices):
    """Return the zone and the layers of a lawn of 20 × 10 m that a machine was chosen for."""
    zones = lawn.zones({"zone_id": "a"}).drop(columns=["ground_area_m2", "slope_deg"])
    zones = zones.set_geometry([on_earth(shapely.box(0, 0, 20, 10))], crs=zones.crs)
    things = lawn.features(*[{**each, "geometry": on_earth(each["geometry"])} for each in features])
    measured = measure(zones, things, {}, heights)
    name = machine.name if blades is None else blades
    judged = measured.zones.assign(blades=name, blades_kind=machine.kind if name else "")
    specification = lawn.choices(own=[machine], **choices)
    found, layers = blade_strips(judged, measured.lawn, things, specification, heights)
    return found.loc["a"], layers


def kept(layers, column):
    return list(layers["kept_clear"][column]) if "kept_clear" in layers else []


FENCE = {"feature": "fence", "geometry": shapely.LineString([(-5, 0), (25, 0)])}
TREE = {"feature": "tree", "name": "Oak", "stem_m": 0.8, "geometry": shapely.Point(10, 5)}
WIRE = {"feature": "hidden", "hidden_kind": "boundary wire", "depth_mm": 20.0,
        "geometry": shapely.LineString([(5, -1), (5, 11)])}  # fmt: skip
HEAD = {"feature": "hidden", "hidden_kind": "irrigation", "geometry": shapely.Point(15, 5)}


def test_the_body_of_the_machine_keeps_its_blades_from_a_fence(lawn):
    """(0.8 − 0.4) / 2 = 0.2 m; half a metre for a machine whose width nobody measured is 0.1 m."""
    zone, layers = run(lawn, FENCE)
    assert zone["blades_area_m2"] == pytest.approx(20 * 9.8, rel=1e-4)
    assert zone["rake_area_m2"] == pytest.approx(20 * 0.2, rel=5e-3)
    assert kept(layers, "set_by") == ["the body of the petrol"]
    zone, _ = run(lawn, FENCE, machine=PLAIN)
    assert zone["rake_area_m2"] == pytest.approx(20 * 0.1, rel=5e-3)


def test_a_stem_is_kept_clear_of_at_its_bark(lawn):
    zone, layers = run(lawn, TREE)
    assert kept(layers, "because") == ["stem of Oak"]
    ring = np.pi * (0.9**2 - 0.4**2)
    assert zone["rake_area_m2"] == pytest.approx(ring, rel=5e-3)
    assert zone["ground_area_m2"] == pytest.approx(200 - np.pi * 0.4**2, abs=0.05)


def test_hidden_points_and_lines_have_their_own_distance(lawn):
    zone, layers = run(lawn, WIRE, HEAD)
    assert kept(layers, "because") == ["boundary wire", "irrigation"]
    assert kept(layers, "width_m") == [0.2, 0.3]
    assert kept(layers, "area_m2") == pytest.approx([10 * 0.4, np.pi * 0.3**2], rel=5e-3)
    own = {"workmanship": {"blades_line_m": 0.5, "blades_instead": "left"}}
    zone, layers = run(lawn, WIRE, strips=own)
    assert zone["blades_area_m2"] == pytest.approx(200 - 10, rel=1e-3)
    assert zone["rake_area_m2"] == 0
    assert kept(layers, "instead") == ["left"]


def test_what_lies_deep_is_no_reason_to_lift(lawn):
    zone, layers = run(lawn, {**WIRE, "hidden_kind": "cable", "depth_mm": 450.0})
    assert zone["blades_area_m2"] == pytest.approx(200, abs=0.01)
    assert kept(layers, "because") == []


def test_a_rake_goes_everywhere_and_no_blades_nowhere(lawn):
    zone, layers = run(lawn, FENCE, WIRE, machine=RAKE)
    assert zone["blades_area_m2"] == pytest.approx(200, abs=0.01)
    assert kept(layers, "because") == []
    zone, layers = run(lawn, FENCE, blades="")
    assert (zone["blades_area_m2"], zone["rake_area_m2"]) == (0, 0)
    assert layers["treatable"].empty


def test_ground_too_steep_for_the_machine_is_raked(lawn):
    """Ten metres level, then ten at 22° (tan 22° = 0.40403); the machine's limit is 15°."""
    east, north = np.meshgrid(np.arange(-1, 21.5, 0.5), np.arange(-1, 11.5, 0.5))
    height = np.maximum(east - 10, 0) * np.tan(np.radians(22))
    metres = np.column_stack([east.ravel(), north.ravel()])
    points = np.column_stack([FRAME.to_lonlat(metres), height.ravel()])
    zone, layers = run(lawn, heights=Heights(points, east.shape))
    assert kept(layers, "because") == ["steeper than 15°"]
    assert kept(layers, "instead") == ["rake"]
    # Half of the zone, which has one slope for all its ground; a cell lies across the break.
    assert zone["rake_area_m2"] == pytest.approx(zone["ground_area_m2"] / 2, rel=0.03)
    whole = zone["blades_area_m2"] + zone["rake_area_m2"]
    assert whole == pytest.approx(zone["ground_area_m2"], abs=1e-6)


def test_a_bed_of_another_site_keeps_no_blades_away(lawn):
    zones = pd.concat([lawn.zones({"zone_id": each}) for each in ("a", "b")])
    zones = zones.drop(columns=["ground_area_m2", "slope_deg"])
    zones = zones.set_geometry([on_earth(shapely.box(0, 0, 20, 10))] * 2, crs=zones.crs)
    bed = {"feature": "bed", "geometry": on_earth(shapely.box(0, 10, 20, 12))}
    things, of = lawn.features(bed), {"sites": np.array([1, 0]), "features_sites": np.array([0])}
    measured = measure(zones, things, {}, **of)
    judged = measured.zones.assign(blades=PETROL.name, blades_kind=PETROL.kind)
    found, _ = blade_strips(judged, measured.lawn, things, lawn.choices(own=[PETROL]), **of)
    assert found["blades_area_m2"].tolist() == pytest.approx([200, 196], abs=0.02)
    assert found["rake_area_m2"].tolist() == pytest.approx([0, 4], abs=0.02)
