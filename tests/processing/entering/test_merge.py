"""What is found becomes part of a site, and nothing is renamed, doubled or mended unseen."""

import numpy as np
import pytest
import shapely

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.jobs.features import take
from lawnmap.jobs.reading import Reading
from lawnmap.processing.entering.names import DEVICES, check_id, new_id
from tests.processing.sites import EMPTY, FRAME, box, found, lonlat


def read(site, plan, **choices):
    return take(site, plan, Reading(**choices))


def ids(merged):
    return list(merged.site.zones.index)


def test_ids_come_from_names_and_are_unique():
    merged = read(
        EMPTY,
        found(
            (box(0, 0, 9, 9), {"name": "Front"}),
            (box(20, 0, 29, 9), {"name": "front!"}),
            (box(40, 0, 49, 9), {}),
        ),
    )
    assert ids(merged) == ["front", "front-2", "zone"]


def test_a_plan_read_twice_changes_nothing():
    plan = found(
        (box(0, 0, 9, 9), {"name": "Front"}),
        ({"type": "Point", "coordinates": lonlat((3, 3))[0]}, {"feature": "tree"}),
    )
    once = read(EMPTY, plan)
    twice = read(once.site, plan)
    assert {change.what for change in twice.changes} == {"unchanged"}
    assert twice.site.document["features"] == once.site.document["features"]


def test_a_redrawn_zone_keeps_its_id_and_other_facts():
    first = read(EMPTY, found((box(0, 0, 10, 10), {"zone_id": "a", "moss_rating": 3, "ID": 9})))
    again = read(first.site, found((box(0, 0, 10.5, 10), {"thatch_mm": 12})))
    (feature,) = again.site.document["features"]
    assert feature["properties"] == {
        "feature": "zone",
        "zone_id": "a",
        "moss_rating": 3,
        "ID": 9,
        "thatch_mm": 12,
    }
    (change,) = again.changes
    assert change.what == "updated"
    assert dict(change.facts) == {"thatch_mm": (None, 12)}
    assert change.moved_m == pytest.approx(0.5, abs=1e-3)
    assert (change.area_before_m2, change.area_m2) == pytest.approx((100, 105), abs=0.01)


def test_how_well_an_outline_is_known_goes_with_that_outline():
    tape = {"zone_id": "a", "outline_source": "tape", "outline_sigma_m": 0.02}
    first = read(EMPTY, found((box(0, 0, 10, 10), tape)))
    same = read(first.site, found((box(0, 0, 10, 10), {"thatch_mm": 12})))
    assert same.site.zones.loc["a", "outline_sigma_m"] == 0.02
    other = read(first.site, found((box(0, 0, 10.5, 10), {"outline_source": "drawing"})))
    assert other.site.zones.loc["a", "outline_source"] == "drawing"
    assert other.site.zones["outline_sigma_m"].isna().all()
    assert other.changes[0].facts["outline_sigma_m"] == (0.02, None)


def test_two_zones_on_one_spot_in_one_file_are_both_kept():
    merged = read(EMPTY, found((box(0, 0, 10, 10), {}), (box(0, 0, 10, 10), {})))
    assert ids(merged) == ["zone", "zone-2"]


def test_the_same_id_twice_in_one_file_is_refused():
    with pytest.raises(InputRefused, match="stands twice"):
        read(
            EMPTY, found((box(0, 0, 9, 9), {"zone_id": "a"}), (box(20, 0, 29, 9), {"zone_id": "A"}))
        )


def test_bow_tie_is_refused_with_its_crossing_and_mended_on_request():
    ring = lonlat((0, 0), (20, 30), (20, 0), (0, 30), (0, 0))
    plan = found(({"type": "Polygon", "coordinates": [ring]}, {}))
    x, y = lonlat((10, 15))[0]
    with pytest.raises(InputRefused, match="crosses itself") as refused:
        read(EMPTY, plan)
    assert f"{x:.5f}"[:-1] in str(refused.value)
    assert f"{y:.5f}"[:-1] in str(refused.value)
    merged = read(EMPTY, plan, repair=True)
    assert any("0.00 m² before, 300.0" in text for text in merged.warnings)


def test_a_large_star_is_mended_in_a_child_in_time():
    n = 151  # it crosses itself 11,000 times: a quarter of a second where nothing else runs
    turn = 2 * np.pi * np.arange(n + 1) * (n // 2) / n
    ring = FRAME.to_lonlat(20 * np.column_stack([np.cos(turn), np.sin(turn)]))
    ring[-1] = ring[0]
    merged = read(
        EMPTY, found(({"type": "Polygon", "coordinates": [ring.tolist()]}, {})), repair=True
    )
    assert merged.site.zones.geometry.is_valid.all()


def test_bad_features_can_be_left_out_and_are_named():
    plan = found((box(0, 0, 9, 9), {"moss_rating": 7}), (box(20, 0, 29, 9), {"name": "good"}))
    with pytest.raises(InputRefused, match=r"feature 1.*moss_rating is 7.*--skip-bad"):
        read(EMPTY, plan)
    merged = read(EMPTY, plan, skip_bad=True)
    assert ids(merged) == ["good"]
    assert any("feature 1" in text and "moss_rating" in text for text in merged.warnings)


def test_a_walked_line_needs_to_be_called_a_zone():
    line = {"type": "LineString", "coordinates": lonlat((0, 0), (20, 0), (20, 10), (0, 10))}
    with pytest.raises(InputRefused, match="--as"):
        read(EMPTY, found((line, {})))
    merged = read(EMPTY, found((line, {})), kind="zone")
    assert merged.changes[0].area_m2 == pytest.approx(200, abs=0.01)
    assert any("10.0 m (50.0 m were walked)" in text for text in merged.warnings)


def test_no_crs_asks():
    with pytest.raises(CRSNeeded, match="--crs"):
        read(EMPTY, found((box(0, 0, 9, 9), {}), crs=None))


def test_metres_called_degrees_are_refused():
    metres = {
        "type": "Polygon",
        "coordinates": [[[430000, 312000], [430010, 312000], [430010, 312010], [430000, 312000]]],
    }
    with pytest.raises(InputRefused, match="look like metres"):
        read(EMPTY, found((metres, {})))


def test_claimed_areas_are_compared_and_the_cause_named():
    merged = read(EMPTY, found((box(0, 0, 20, 50), {"TOTAL AREA": 10764, "name": "a"})))
    (told,) = [text for text in merged.warnings if "TOTAL AREA" in text]
    assert "square feet" in told
    assert read(EMPTY, found((box(0, 0, 20, 50), {"TOTAL AREA": 1001}))).warnings == []


def test_a_local_plan_keeps_its_areas_and_its_place_for_the_next():
    def local(west):
        ring = [[west, 100], [west + 20, 100], [west + 20, 150], [west, 150], [west, 100]]
        return found(({"type": "Polygon", "coordinates": [ring]}, {}), crs=None)

    first = read(EMPTY, local(5000), crs="local")
    assert not first.site.placed
    assert first.changes[0].area_m2 == pytest.approx(1000, abs=1e-4)
    second = read(first.site, local(5020), crs="local")
    one, other = second.site.zones.geometry
    assert shapely.distance(one, other) < 1e-12
    with pytest.raises(InputRefused, match="Place the site first"):
        read(first.site, found((box(0, 0, 9, 9), {})))


def test_rings_are_written_right_handed():
    ring = lonlat((0, 0), (0, 9), (9, 9), (9, 0), (0, 0))
    merged = read(EMPTY, found(({"type": "Polygon", "coordinates": [ring]}, {})))
    written = merged.site.document["features"][0]["geometry"]["coordinates"][0]
    assert shapely.is_ccw(shapely.LinearRing(written))


@pytest.mark.parametrize("bad", ["", "-a", "a b", "é", "x" * 33, "CON", "lpt1"])
def test_what_is_no_zone_id(bad):
    with pytest.raises(InputRefused):
        check_id(bad)


def test_new_ids_are_always_good_ids():
    for name in ["", "Ünder the öak", "con", "x" * 300, "../../etc", "草"]:
        assert check_id(new_id(name, DEVICES))
