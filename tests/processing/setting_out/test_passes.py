"""Pass lines of a plan: which steps have them, which way they run, what is said of them."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap import schema
from lawnmap.found import Heights
from lawnmap.geometry.frame import Frame
from lawnmap.model import Machine
from lawnmap.processing.setting_out.pass_words import compass
from lawnmap.processing.setting_out.pass_working import Working, worked
from lawnmap.processing.setting_out.passes import pass_lines
from lawnmap.reference import tables

FRAME = Frame(-1.55, 53.8)
PETROL = Machine("own petrol", "petrol", width_m=0.38, speed_km_h=3.0)
ELECTRIC = Machine("own electric", "electric", width_m=0.3, speed_km_h=2.0)
SPREADER = Machine("own spreader", "spreader", width_m=0.5, speed_km_h=3.0)
RAKE = Machine("own rake", "rake", width_m=0.4)


def placed(shape):
    return FRAME.round(np.array([shape], dtype=object))[0]


def box(east, north):
    return placed(shapely.box(0, 0, east, north))


class Made:
    def __init__(self, lawn):
        self.lawn = lawn

    def __call__(self, *steps, shape=None, zone=None, things=(), heights=None, asked=False, **own):
        """Lay the lines of steps in a lawn of 20 by 50 m, or of another shape, all zones alike."""
        shape = box(20, 50) if shape is None else shape
        rows = [step(**each) for each in steps or ({},)]
        ids = sorted({row["zone_id"] for row in rows})
        one = self.lawn.zones({"zone_id": "a"}).loc[["a"] * len(ids)]
        zones = one.set_axis(ids).set_geometry([shape] * len(ids))
        zones = zones.assign(crossing_rule="crossing_single").assign(**(zone or {}))
        layers = {"lawn": zones[["geometry"]], **own.pop("layers", {})}
        specification = self.lawn.choices(
            own=[PETROL, ELECTRIC, SPREADER, RAKE], zones=own.pop("zones", None), pass_lines=own
        )
        features = self.lawn.features(*things)
        return pass_lines(
            zones, pd.DataFrame(rows), layers, features, specification,
            heights=heights, asked=asked,
        )  # fmt: skip


def step(**changes):
    return {
        "zone_id": "a", "operation": "scarifying", "kind": "blades", "sequence": 3,
        "status": schema.DO, "machine": "own petrol", "passes": 1.0, "area_m2": 1000.0,
        "machine_hours": 1.6, "hours": 2.0,
    } | changes  # fmt: skip


def thing(feature, shape, **facts):
    return {"feature": feature, "geometry": placed(shape), **facts}


@pytest.fixture
def made(lawn):
    return Made(lawn)


def turned(one, other):
    """Return by how much two headings differ [°]."""
    apart = abs(one - other) % 180
    return min(apart, 180 - apart)


def test_a_row_and_its_bouts(made):
    found = made()
    (row,) = found.passes.to_dict("records")
    assert list(found.passes) == schema.names("passes")
    assert [*found.bouts.columns] == [*schema.names("bouts"), "geometry"]
    # Worked by hand: 59 bouts of 0.38 m with a tenth overlapped over 20 m, two of them the round.
    assert (row["bouts"], row["headland_bouts"], row["turns"]) == (57, 1, 57)
    assert turned(row["heading_deg"], 0) < 0.01
    assert row["covered_pct"] > 99.9
    assert row["left_m2"] < 0.1
    assert row["rule"] == "heading_least_width"
    assert row["hours"] == pytest.approx(row["length_m"] / 3000 + 57 * 6 / 3600)
    assert row["hours_planned"] == 1.6
    assert row["flag"] == ""
    assert len(found.bouts) == 58
    assert found.bouts["length_m"].sum() == pytest.approx(row["length_m"])
    metres = FRAME.flat(np.asarray(found.bouts.geometry.array))
    assert shapely.length(metres) == pytest.approx(found.bouts["length_m"].to_numpy(), rel=1e-5)
    assert list(found.bouts["part"].unique()) == ["headland", "bout"]


def test_rakes_cans_and_steps_left_out_have_no_lines(made):
    found = made(
        {"machine": "own rake"},
        {"operation": "raking", "kind": "hand"},
        {"operation": "iron_soluble", "kind": "spray", "machine": "watering can, 10 l"},
        {"operation": "iron_soluble", "kind": "spray", "machine": "knapsack sprayer, 15 l"},
        {"operation": "aerating", "kind": "blades"},
        {"status": schema.NOT_NEEDED},
        {"machine": ""},
    )
    assert found.passes.empty
    assert found.bouts.empty
    assert found.told == ()
    assert list(found.passes) == schema.names("passes")


def test_a_second_pass_crosses_as_planned(made):
    for rule, angle in (("crossing_right_angle", 90), ("crossing_thin", 30)):
        one, other = made({"passes": 2.0}, zone={"crossing_rule": rule}).passes.to_dict("records")
        assert turned(other["heading_deg"], one["heading_deg"]) == pytest.approx(angle)
        assert (one["pass"], one["times"], other["pass"], other["times"]) == (1, 1, 2, 1)
        assert one["hours_planned"] == other["hours_planned"] == 0.8


@pytest.mark.parametrize("rule", ["crossing_same", "crossing_one_way"])
def test_one_direction_only_is_the_same_lines_again(made, rule):
    (row,) = made({"passes": 2.0}, zone={"crossing_rule": rule}).passes.to_dict("records")
    assert row["times"] == 2
    assert row["hours_planned"] == 1.6
    once = made().passes.iloc[0]
    assert row["hours"] == pytest.approx(2 * once["hours"])


def test_further_passes_follow_both_in_turn(made):
    found = made({"passes": 3.0}, zone={"crossing_rule": "crossing_right_angle"})
    assert list(found.passes["times"]) == [2, 1]


def test_what_is_spread_in_two_halves_goes_one_way_and_across(made):
    feed = {"operation": "feeding", "kind": "granules", "machine": "own spreader", "passes": 2.0}
    one, other = made(feed).passes.to_dict("records")
    assert turned(one["heading_deg"], other["heading_deg"]) == pytest.approx(90)
    assert one["overlap_pct"] == 0
    assert one["bouts"] == 38  # 20 m in swaths of half a metre, two of them the round


def slope(degrees, falls):
    """Return heights of a plane that falls towards a bearing."""
    east, north = (each.ravel() for each in np.meshgrid(np.arange(0, 21, 2.0), np.arange(0, 51, 2)))
    down = np.radians(falls)
    drop = np.tan(np.radians(degrees)) * (east * np.sin(down) + north * np.cos(down))
    lonlat = FRAME.to_lonlat(np.column_stack([east, north]))
    return Heights(np.column_stack([lonlat, 100 - drop]))


def test_on_a_slope_lines_follow_the_contour(made):
    steep = {"slope_deg": 10.0, "crossing_rule": "crossing_acute"}
    # The ground falls along the long side: fewest turns would go straight up and down.
    (row,) = made(
        zone=steep | {"crossing_rule": "crossing_single"}, heights=slope(10, 0)
    ).passes.to_dict("records")
    assert turned(row["heading_deg"], 90) < 0.01
    assert row["rule"] == "heading_contour"
    one, other = made({"passes": 2.0}, zone=steep, heights=slope(10, 0)).passes.to_dict("records")
    assert turned(one["heading_deg"], 75) < 0.01
    assert turned(other["heading_deg"], 105) < 0.01
    assert one["rule"] == other["rule"] == "heading_pair"
    # Fifteen degrees off the contour a slope of 10° rises by 2.6°, less than may go straight up.
    rise = np.degrees(np.arctan(np.tan(np.radians(10)) * np.sin(np.radians(15))))
    assert rise < tables.value("level_up_to_deg").number


def test_a_slope_of_unknown_fall_takes_the_long_side_and_says_so(made):
    found = made(zone={"slope_deg": 12.0})
    (row,) = found.passes.to_dict("records")
    assert turned(row["heading_deg"], 0) < 0.01
    assert row["rule"] == "heading_bank_side"
    assert "which way it falls is not known" in found.told[0]


def test_a_square_is_worked_along_its_pitches(made):
    square = {"crossing_rule": "crossing_one_way"}
    (row,) = made(zone=square).passes.to_dict("records")
    assert "along its pitches" in row["flag"]
    (row,) = made(zone=square, heading_deg=12.0).passes.to_dict("records")
    assert row["flag"] == ""


def test_ones_own_direction_beats_all(made):
    steep = {"slope_deg": 10.0}
    (row,) = made(zone=steep, heights=slope(10, 0), heading_deg=40.0).passes.to_dict("records")
    assert row["heading_deg"] == pytest.approx(40)
    assert row["rule"] == "heading_own"
    assert "your own direction" in row["flag"]
    zones = {"a": {"pass_lines": {"heading_deg": 200.0, "along": ""}}}
    (row,) = made(heading_deg=40.0, zones=zones).passes.to_dict("records")
    assert row["heading_deg"] == pytest.approx(20)
    wedge = placed(shapely.Polygon([(0, 0), (30, 0), (30, 12), (0, 20)]))
    (row,) = made(shape=wedge, along="longest edge").passes.to_dict("records")
    assert turned(row["heading_deg"], np.degrees(np.arctan2(30, -8))) < 0.01
    (row,) = made(along="contour", heights=slope(2, 0)).passes.to_dict("records")
    assert turned(row["heading_deg"], 90) < 0.01


def test_overlap_and_rounds_are_ones_own(made):
    (row,) = made(overlap_pct=0.0, rounds=2).passes.to_dict("records")
    assert row["bouts"] == 53 - 4
    assert row["headland_bouts"] == 2


def test_lines_in_an_l_are_named_by_the_side_they_run_along(made):
    ell = placed(shapely.Polygon([(0, 0), (18, 0), (18, 6), (6, 6), (6, 18), (0, 18)]))
    for heading, words in ((2.0, "west"), (88.0, "south")):
        (row,) = made(shape=ell, heading_deg=heading).passes.to_dict("records")
        assert row["direction"].startswith(f"parallel to the {words} side, ")
    (row,) = made(shape=ell, heading_deg=45.0).passes.to_dict("records")
    assert not row["direction"].startswith("parallel")  # its inner corner has no such side


def test_start_and_direction_in_words(made):
    drive = thing("paving", shapely.box(20.2, 0, 23, 50), name="Drive")
    gate = thing("access", shapely.Point(24, 2))
    (row,) = made(things=[drive, gate]).passes.to_dict("records")
    assert row["direction"] == (
        "along the long side, south to north and back; start at the east edge, from its south end "
        "next to Drive"
    )
    (row,) = made(things=[gate], heading_deg=90.0).passes.to_dict("records")
    assert row["direction"] == (
        "across, along the short side, east to west and back; start at the south edge, from its "
        "east end"
    )
    hedge = thing("hedge", shapely.box(-1, 20, -0.5, 30), name="Privet")
    (row,) = made(things=[hedge]).passes.to_dict("records")
    assert "west edge next to Privet, from its" in row["direction"]  # beside the middle, not an end
    (row,) = made(heading_deg=30.0).passes.to_dict("records")
    assert row["direction"].startswith("slantwise at 30°, 30° off the long side")
    assert [compass(each) for each in (0, 44, 350)] == ["north", "north-east", "north"]


def test_a_cable_reaches_from_the_nearest_socket(made):
    socket = thing("supply", shapely.Point(0, 0), supply_kind="socket")
    far = thing("supply", shapely.Point(0, 300), supply_kind="socket")
    tap = thing("supply", shapely.Point(20, 50), supply_kind="tap")
    found = made({"machine": "own electric"}, things=[far, tap, socket], cable_m=50.0)
    (row,) = found.passes.to_dict("records")
    # To the far corner, less half a width and the corner's share: 53.85 m at the most.
    assert 53.4 < row["cable_m"] < np.hypot(20, 50)
    assert "the cable has to reach 54 m as the crow flies, and 50 m is to hand" in found.told[0]
    (row,) = made({"machine": "own electric"}, things=[tap]).passes.to_dict("records")
    assert np.isnan(row["cable_m"])
    assert "no socket is mapped" in row["flag"]
    assert np.isnan(made().passes.iloc[0]["cable_m"])


def test_hours_unlike_the_plans_raise_a_doubt(made):
    assert "h by the lines" in made({"machine_hours": 0.5}).told[0]
    assert "h by the lines" in made({"machine_hours": 9.0}).told[0]
    assert made({"machine_hours": np.nan, "hours": 1.6}).told == ()


def blades_layers(kept, because):
    """Return the layers of the strips where blades keep clear of one thing."""
    lawn = box(20, 50)
    left = {"zone_id": ["a"], "kind": ["blades"], "area_m2": [990.0]}
    away = {"zone_id": ["a"], "kind": ["blades"], "because": [because]}
    return {
        "treatable": shaped(left, shapely.difference(lawn, kept)),
        "kept_clear": shaped(away, shapely.intersection(kept, lawn)),
    }


def shaped(rows, shape):
    return gpd.GeoDataFrame(rows, geometry=[shape], crs="OGC:CRS84")


def test_blades_lift_over_what_lies_hidden_and_go_round_what_stands(made):
    head = shapely.Point(10, 25)
    layers = blades_layers(placed(head.buffer(0.3)), "irrigation")
    hidden = thing("hidden", head, hidden_kind="irrigation", depth_mm=0.0)
    found = made(things=[hidden], layers=layers)
    (row,) = found.passes.to_dict("records")
    assert row["headland_bouts"] == 1
    assert row["lifts"] in {2, 3}
    assert len(found.bouts) == 58 + row["lifts"]
    metres = FRAME.flat(np.asarray(found.bouts.geometry.array))
    keep = tables.value("blades_point_m").number + 0.19
    assert shapely.distance(metres, head).min() == pytest.approx(keep, abs=2e-3)
    assert 0.2 < row["left_m2"] < 2
    standing = thing("tree", head, stem_m=0.2)
    (row,) = made(things=[standing], layers=layers).passes.to_dict("records")
    assert (row["headland_bouts"], row["lifts"]) == (2, 0)


def test_no_ground_is_counted_twice_for_the_rake():
    """The strip about a hidden thing is ground of the rake already: what is left is beside it."""
    area, head, keep_m = shapely.box(0, 0, 20, 50), shapely.Point(10, 25), 0.3
    found = worked(area, Working(0.38, 0.0, 1, None), None, np.array([head]), np.array([keep_m]))
    uncovered = area.area - found.cover.covered.area
    strip = head.buffer(keep_m)
    assert found.cover.left.area == pytest.approx(uncovered - strip.area, abs=2e-3)
    assert found.cover.left.intersection(strip).area == pytest.approx(0, abs=2e-3)


def test_what_lies_deep_is_no_reason_to_lift(made):
    deep = thing("hidden", shapely.Point(10, 25), hidden_kind="cable", depth_mm=600.0)
    (row,) = made(things=[deep], layers=blades_layers(shapely.Polygon(), "")).passes.to_dict(
        "records"
    )
    assert row["lifts"] == 0


def test_work_without_ground_or_on_patches_has_no_lines(made):
    feed = {"operation": "feeding", "kind": "granules", "machine": "own spreader"}
    nowhere = {"zone_id": ["a"], "kind": ["blades"], "area_m2": [1000.0]}
    assert made(feed, layers={"treatable": shaped(nowhere, box(20, 50))}).passes.empty
    here = {"zone_id": ["a"], "kind": ["feed"], "area_m2": [1000.0]}
    layers = {"treatable": shaped(here, box(20, 50))}
    assert len(made(feed, layers=layers).passes) == 1
    assert made(feed | {"area_m2": 200.0}, layers=layers).passes.empty


def test_a_zone_narrower_than_the_machine_has_a_word_and_no_lines(made):
    found = made({"area_m2": 15.0}, shape=box(50, 0.3))
    (row,) = found.passes.to_dict("records")
    assert row["direction"] == "it is narrower than the machine everywhere"
    assert (row["bouts"], row["headland_bouts"], row["rule"]) == (0, 0, "")
    assert np.isnan(row["hours"])
    assert found.bouts.empty
    assert row["left_m2"] == pytest.approx(15, rel=0.01)


def test_a_large_site_has_lines_when_asked(made):
    many = int(tables.value("pass_lines_zones").number) + 1
    rows = [{"zone_id": f"z{number}"} for number in range(many)]
    small = box(3, 4)
    found = made(*rows, shape=small)
    assert found.passes.empty
    assert found.told == (
        f"No pass lines for {many} zones, which is more than {many - 1}: ask for them with plan "
        "--setting-out, or with pass_lines.when in specification.toml.",
    )
    assert len(made(*rows, shape=small, asked=True).passes) == many
    assert len(made(*rows, shape=small, when="always").passes) == many
    assert len(made(*rows[1:], shape=small).passes) == many - 1
    assert made(rows[0], when="never").passes.empty


def test_what_is_alike_is_told_together(made):
    rows = [{"zone_id": each, "machine": "own electric"} for each in ("a", "b")]
    found = made(*rows, {"zone_id": "b", "machine_hours": 0.2})
    assert found.told[0].startswith("Pass lines of a (scarifying), b (scarifying): no socket is")


def test_the_same_step_twice_has_its_lines_once(made):
    assert len(made({}, {"sequence": 9}).passes) == 1
