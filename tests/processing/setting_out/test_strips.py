"""Two kinds of strip, never mixed; areas against the sides of the rectangle itself."""

import dataclasses

import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.geometry.frame import about
from lawnmap.processing.measure import measure
from lawnmap.processing.setting_out.strips import strips

PLACE = shapely.Point(-1.55, 53.8)


def shape(west, south, east, north):
    """Return a rectangle in metres about a place, in longitude and latitude."""
    return about(PLACE).round(np.array([shapely.box(west, south, east, north)], dtype=object))[0]


def run(lawn, *features, cards=(), slope=0.0, **choices):
    """Return the zones and layers of a lawn of 20 × 10 m."""
    zones = lawn.zones({"zone_id": "a"}).assign(slope_seen_deg=slope)
    zones = zones.set_geometry([shape(0, 0, 20, 10)], crs=zones.crs)
    things = lawn.features(*features)
    measured = measure(zones.drop(columns=["ground_area_m2", "slope_deg"]), things, {})
    return strips(measured.zones, measured.lawn, things, lawn.choices(*cards, **choices))


def left(area, *, beyond):
    """Tell whether a strip is not narrower than asked, and at most 0.13 % wider."""
    return beyond * (1 - 1e-3) <= area <= beyond * (1 + 1e-6)


def kept(layers, kind, column="area_m2"):
    table = layers["kept_clear"]
    return list(table.loc[table["kind"] == kind, column])


WATER = {"feature": "water", "water_kind": "ditch", "geometry": shape(20, -5, 22, 15)}
DRAIN = {"feature": "drain", "drain_kind": "channel", "geometry": shape(-1, -5, 0, 15)}
PAVING = {"feature": "paving", "name": "Terrace", "geometry": shape(-5, 10, 25, 12)}
BED = {"feature": "bed", "geometry": shape(-5, -2, 25, 0)}
FEED = {"name": "Feed", "form": "feed", "rate_printed": "", "authorised_for_moss": False,
        "authorisation_no": "", "nitrogen_pct": 6.0}  # fmt: skip
LAW = {"legal": {"water_m": 5.0, "drain_m": None, "from": "law"}}


def test_nothing_mapped(lawn):
    zones, layers = run(lawn)
    row = zones.loc["a"]
    assert (row["water_strip_m"], row["water_strip_from"], row["hand_strip_m"]) == (
        0, "none mapped", 0,
    )  # fmt: skip
    assert row["iron_area_m2"] == pytest.approx(200, abs=0.01)
    assert list(layers) == ["treatable"]
    assert list(layers["treatable"]["kind"]) == ["spray", "feed", "seed"]


@pytest.mark.parametrize("thing", [WATER, DRAIN])
def test_not_set_means_nothing_is_applied(lawn, thing):
    zones, layers = run(lawn, thing)
    row = zones.loc["a"]
    assert (row["water_strip_from"], row["feed_strip_from"]) == ("not set", "not set")
    assert np.isnan(row["water_strip_m"])
    assert (row["iron_area_m2"], row["feed_area_m2"]) == (0, 0)
    assert list(layers["treatable"]["kind"]) == ["seed"]
    assert kept(layers, "spray", "instead") == ["not set: do not apply"]
    assert kept(layers, "spray", "because") == [thing.get("water_kind") or thing["drain_kind"]]
    assert kept(layers, "spray") == pytest.approx([row["ground_area_m2"]])


def test_a_zone_far_from_the_water_is_not_called_far_enough(lawn):
    """How near water the lawn may be treated is just what nobody has said."""
    far = {**WATER, "geometry": shape(2000, 0, 2001, 1)}
    zones, _ = run(lawn, far)
    assert zones.loc["a", "iron_area_m2"] == 0


def test_one_of_water_and_drain_set_is_not_enough(lawn):
    zones, _ = run(lawn, WATER, DRAIN, strips=LAW)
    assert zones.loc["a", "iron_area_m2"] == 0
    zones, _ = run(lawn, WATER, strips=LAW)
    assert left(zones.loc["a", "iron_area_m2"], beyond=150)


@pytest.mark.parametrize(
    ("label", "law", "width", "source"),
    [
        (2.0, None, 2, "label"), (2.0, 5.0, 5, "law"), (6.0, 5.0, 6, "label"),
        (None, 5.0, 5, "law"), (5.0, 5.0, 5, "label"),
    ],
)  # fmt: skip
def test_the_widest_holds(lawn, label, law, width, source):
    zones, layers = run(
        lawn, WATER, cards=[lawn.card(untreated_strip_m=label)],
        strips={"legal": {"water_m": law, "drain_m": None, "from": "law"}},
    )  # fmt: skip
    row = zones.loc["a"]
    assert (row["water_strip_m"], row["water_strip_from"]) == (width, source)
    assert left(row["iron_area_m2"], beyond=10 * (20 - width))
    assert kept(layers, "spray", "strip") == ["untreated"]
    assert kept(layers, "spray", "set_by") == [source]


def test_feed_keeps_the_clearance_for_all_unless_it_has_its_own(lawn):
    feed = lawn.card(**FEED, untreated_strip_m=None)
    both = {"products": {"iron": lawn.iron.name, "feed": "Feed"}, "cards": [lawn.iron, feed]}
    zones, _ = run(lawn, WATER, strips=LAW, **both)
    assert left(zones.loc["a", "feed_area_m2"], beyond=150)
    own = {"feed": {"water_m": 1.0, "drain_m": None, "from": "site rule"}}
    zones, _ = run(lawn, WATER, strips={**LAW, **own}, **both)
    assert left(zones.loc["a", "feed_area_m2"], beyond=190)
    assert left(zones.loc["a", "iron_area_m2"], beyond=150)
    assert zones.loc["a", "feed_strip_from"] == "site rule"


def test_a_label_of_iron_says_nothing_of_feed(lawn):
    zones, layers = run(lawn, WATER, cards=[lawn.card(untreated_strip_m=2.0)])
    row = zones.loc["a"]
    assert (row["water_strip_from"], row["feed_strip_from"]) == ("label", "not set")
    assert left(row["iron_area_m2"], beyond=180)
    assert row["feed_area_m2"] == 0
    assert kept(layers, "seed") == []


def test_paving_has_a_default_and_the_users_own(lawn):
    zones, layers = run(lawn, PAVING)
    assert zones.loc["a", "hand_strip_m"] == 0.3
    assert left(zones.loc["a", "iron_area_m2"], beyond=20 * 9.7)
    assert kept(layers, "spray", "because") == ["Terrace (paving)"]
    assert kept(layers, "spray", "instead") == ["left"]
    zones, _ = run(lawn, PAVING, strips={"workmanship": {"paving_m": 1.0}})
    assert left(zones.loc["a", "iron_area_m2"], beyond=20 * 9.0)


def test_beds_have_their_own(lawn):
    zones, _ = run(lawn, PAVING, BED, strips={"workmanship": {"paving_m": 1.0, "bed_m": 0.5}})
    assert left(zones.loc["a", "iron_area_m2"], beyond=20 * 8.5)


def test_a_strip_done_by_hand_counts_for_the_quantity(lawn):
    zones, layers = run(lawn, PAVING, strips={"workmanship": {"iron_instead": "by hand"}})
    assert zones.loc["a", "iron_area_m2"] == pytest.approx(200, abs=0.01)
    assert kept(layers, "spray") == pytest.approx([6], rel=5e-3)


def test_a_drop_spreader_is_no_way_to_spray(lawn):
    with pytest.raises(InputRefused, match="sprayed"):
        run(
            lawn,
            PAVING,
            cards=[lawn.iron],
            strips={"workmanship": {"iron_instead": "drop spreader"}},
        )


def test_a_wide_spreader_keeps_half_its_width(lawn):
    sand = lawn.card(form="lawn sand", rate_printed="35 g/m²")
    zones, layers = run(lawn, PAVING, cards=[sand], applicator={"iron": "rotary spreader"})
    assert zones.loc["a", "hand_strip_m"] == 1.0
    assert kept(layers, "granules", "set_by") == ["half the width of the rotary spreader"]


def test_feed_and_seed_thrown_wide_are_put_down_by_hand_at_edges(lawn):
    wide = {"feed": "rotary spreader", "seed": "rotary spreader"}
    zones, layers = run(lawn, PAVING, BED, applicator=wide)
    assert left(sum(layers["treatable"].query("kind == 'feed'")["area_m2"]), beyond=20 * 8)
    assert set(kept(layers, "seed", "instead")) == {"by hand"}
    assert zones.loc["a", ["feed_area_m2", "seed_area_m2"]].to_list() == pytest.approx(
        [200, 200], abs=0.01
    )
    own = {"workmanship": {"seed_instead": "left", "seed_m": 2.0}}
    zones, _ = run(lawn, PAVING, BED, applicator=wide, strips=own)
    assert left(zones.loc["a", "seed_area_m2"], beyond=20 * 6)


def test_area_is_along_the_slope(lawn):
    zones, _ = run(lawn, PAVING, slope=20.0)
    # 1/cos 20° = 1.06418 (any table of cosines).
    assert zones.loc["a", "iron_area_m2"] == pytest.approx(194 * 1.06418, rel=1e-4)
    assert zones.loc["a", "iron_area_m2"] <= zones.loc["a", "ground_area_m2"]


corners = st.tuples(*[st.floats(-6, 24).map(lambda each: round(each, 2))] * 2)
sizes = st.floats(0.3, 6).map(lambda each: round(each, 2))
mapped = st.lists(
    st.tuples(st.sampled_from(["water", "drain", "paving", "bed", "building"]), corners, sizes),
    max_size=5,
)


def feature(kind, corner, size):
    west, south = corner
    return {"feature": kind, "geometry": shape(west, south, west + size, south + size / 2)}


@settings(max_examples=25)
@given(mapped, st.tuples(*[st.floats(0, 6)] * 4), st.randoms())
def test_what_is_treated_and_what_is_kept_clear_are_the_lawn(lawn, things, metres, random):
    """Whatever lies where and however wide: nothing is lost, and the order counts for nothing."""
    water, drain, paving, thrown = metres
    own = {
        "legal": {"water_m": water, "drain_m": drain, "from": "law"},
        "workmanship": {"paving_m": paving, "feed_m": thrown, "seed_m": thrown},
    }
    features = [feature(*each) for each in things]
    sums = []
    for _ in range(2):
        zones, layers = run(lawn, *features, strips=own)
        both = [table.groupby("kind")["area_m2"].sum() for table in layers.values()]
        for kind in ("spray", "feed", "seed"):
            whole = sum(each.get(kind, 0.0) for each in both)
            assert whole == pytest.approx(zones.loc["a", "ground_area_m2"], abs=1e-6)
        sums.append(both[-1])
        random.shuffle(features)
    assert sums[0].to_dict() == pytest.approx(sums[1].to_dict(), abs=1e-6)


@settings(max_examples=25)
@given(mapped, st.tuples(*[st.floats(0, 6)] * 2), st.sampled_from(["legal", "workmanship"]))
def test_a_wider_strip_never_gives_more_to_treat(lawn, things, metres, sort):
    features = [feature(*each) for each in things]
    found = []
    for wide in sorted(metres):
        own = {"legal": {"water_m": 1.0, "drain_m": 1.0, "from": "law"}, "workmanship": {}}
        key = ("water_m", "drain_m") if sort == "legal" else ("paving_m", "feed_m", "bed_m")
        own[sort] = {**own[sort], **dict.fromkeys(key, wide)}
        zones, _ = run(lawn, *features, strips=own)
        found.append(zones.loc["a", ["iron_area_m2", "feed_area_m2"]].to_numpy(dtype=float))
    assert (found[1] <= found[0] * (1 + 1e-6) + 1e-6).all()


def test_where_nothing_is_mapped_the_ground_is_the_lawns(lawn):
    row = run(lawn, slope=20.0)[0].loc["a"]
    for name in ("iron_area_m2", "feed_area_m2", "seed_area_m2"):
        assert row[name] == row["ground_area_m2"] == pytest.approx(200 * 1.06418, abs=0.01)


def test_figures_alone_are_the_same_without_the_layers(lawn):
    zones = lawn.zones({"zone_id": "a"}).drop(columns=["ground_area_m2", "slope_deg"])
    zones = zones.set_geometry([shape(0, 0, 20, 10)], crs=zones.crs)
    things = lawn.features(PAVING, BED)
    measured = measure(zones, things, {})
    told, layers = strips(measured.zones, measured.lawn, things, lawn.choices())
    silent = dataclasses.replace(lawn.choices(), words=False)
    bare, none = strips(measured.zones, measured.lawn, things, silent)
    assert told.equals(bare)
    assert layers
    assert none == {}


def test_many_sites_at_once_are_as_each_alone(lawn):
    # Two lawns on one spot, as two sites: what is mapped on one keeps nothing clear on the other.
    mapped = ([PAVING], [BED, {**WATER, "feature": "building"}], [])
    choices = lawn.choices(strips={"workmanship": {"paving_m": 0.5, "bed_m": 0.3}})
    zones, things = [], []
    for place, features in enumerate(mapped):
        zone = lawn.zones({"zone_id": f"z{place}"}).drop(columns=["ground_area_m2", "slope_deg"])
        zones.append(zone.set_geometry([shape(0, 0, 20, 10)], crs=zone.crs))
        things.append(lawn.features(*features))
    alone = []
    for zone, thing in zip(zones, things, strict=True):
        measured = measure(zone, thing, {})
        alone.append(strips(measured.zones, measured.lawn, thing, choices)[0])
    sites = np.array([5, 3, 8])
    of_features = np.repeat(sites, [len(each) for each in things])
    table, features = pd.concat(zones), pd.concat(things, ignore_index=True)
    measured = measure(table, features, {}, sites=sites, features_sites=of_features)
    found, _ = strips(
        measured.zones, measured.lawn, features, choices, sites=sites, features_sites=of_features
    )
    pd.testing.assert_frame_equal(found, pd.concat(alone), rtol=1e-12)
    assert (found["iron_area_m2"] < 199).tolist() == [True, True, False]
    assert (found["hand_strip_m"] > 0).tolist() == [True, True, False]
