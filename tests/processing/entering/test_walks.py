"""What is said of walked outlines: pieces, ends, lobes, and how far they may be out."""

import numpy as np
import pytest
import shapely

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.geometry.drift import area_sigma
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.jobs.features import take
from lawnmap.jobs.reading import Reading
from lawnmap.processing.entering import walks
from lawnmap.reference import tables
from tests.processing.sites import EMPTY, box, found, lonlat

SQUARE = [(0, 0), (20, 0), (20, 20), (0, 20)]
# Its sides cross at (12, 12): triangles of base 30 and height 18, and of base 20 and height 12.
BOW = [(0, 0), (30, 30), (30, 0), (0, 20)]
GPS = {"name": "Back lawn", "outline_source": "gps"}


def line(*metres):
    return {"type": "LineString", "coordinates": lonlat(*metres)}


def read(*features, kind="zone", **choices):
    return take(EMPTY, found(*features), Reading(kind=kind, **choices))


def told(taken):
    return "\n".join(taken.warnings)


def test_pieces_are_joined_only_when_asked():
    pieces = {
        "type": "MultiLineString",
        "coordinates": [lonlat((0, 0), (20, 0), (20, 17)), lonlat((20, 20), (0, 20), (0, 1))],
    }
    with pytest.raises(InputRefused, match=r"broken off: 2 pieces, with 3\.0 m between") as refused:
        read((pieces, {**GPS, "feature": "zone"}), kind=None)
    assert "--as zone" in refused.value.remedy
    layer = read((pieces, {**GPS, "feature": "zone"}), kind=None, layers=("Walk=zone",))
    assert "2 pieces joined" in told(layer)
    taken = read((pieces, GPS))
    assert "2 pieces joined in order by straight lines of 3.0 m." in told(taken)
    assert taken.changes[0].area_m2 == pytest.approx(400, abs=0.01)


def test_pieces_of_what_was_not_walked_stay_pieces():
    pieces = {
        "type": "MultiLineString",
        "coordinates": [lonlat((0, 0), (20, 0)), lonlat((20, 20), (0, 20))],
    }
    with pytest.raises(InputRefused, match="a zone cannot be a MultiLineString"):
        read((pieces, {}))
    assert read((pieces, {**GPS, "feature": "fence"}), kind=None).warnings == []


def test_the_gap_is_told_with_its_share():
    taken = read((line(*SQUARE, (0, 2.5)), GPS))
    assert "closed with a straight side of 2.5 m (77.5 m were walked), 3 % of the outline" in told(
        taken
    )


def test_an_overshoot_is_cut_and_told():
    taken = read((line(*SQUARE, (0, 0), (3, 0)), GPS))
    assert "the walk goes on past where it began; 3.0 m were cut off where the ends meet" in told(
        taken
    )
    assert taken.changes[0].area_m2 == pytest.approx(400, abs=0.01)
    drawn = read((line(*SQUARE, (3, 0.5)), {}))
    assert "cut off" not in told(drawn)


def test_lobes_are_told_and_kept_when_asked():
    plan = (line(*BOW, BOW[0]), GPS)
    words = r"the walk crosses itself: 2 lobes of 270\.0 m² and 120\.0 m² \(walked the other way"
    with pytest.raises(InputRefused, match=words) as refused:
        read(plan)
    assert "a figure of eight at -1.5" in refused.value.problem
    taken = read(plan, repair=True)
    (zone,) = taken.site.zones.geometry
    assert zone.geom_type == "MultiPolygon"
    assert areas(np.array([zone], dtype=object))[0] == pytest.approx(390, abs=0.01)
    assert "390.00 m² after" in told(taken)


def test_a_knot_is_left_out_and_told():
    knotted = [
        *SQUARE[:3], (10, 20), (9.8, 20.3), (10.2, 20.3), (9.9, 20), (0, 20), (0, 0),
    ]  # fmt: skip
    with pytest.raises(InputRefused, match=r"1 lobe of 400\.0 m², and a knot of 0\.0\d m²"):
        read((line(*knotted), GPS))
    taken = read((line(*knotted), GPS), repair=True)
    (zone,) = taken.site.zones.geometry
    assert zone.geom_type == "Polygon"
    assert taken.changes[0].area_m2 == pytest.approx(400, abs=0.1)


def test_many_lobes_are_counted():
    # A chain of seven diamonds and two half ones, walked to and fro.
    there = [(n * 5, 10 * (n % 2)) for n in range(9)]
    back = [(n * 5, 10 - 10 * (n % 2)) for n in range(8, -1, -1)]
    crossing = walks.crossing(shapely.Polygon(lonlat(*there, *back)))
    assert crossing is not None
    assert crossing.words.startswith("the walk crosses itself: 9 lobes of 25.0 m², 25.0 m²")
    assert crossing.words.endswith(" and 4 more")


def test_what_is_not_one_ring_has_no_lobes():
    hole = shapely.box(0, 0, 1, 1) - shapely.box(0.2, 0.2, 0.3, 0.3)
    assert walks.crossing(hole) is None
    wild = np.random.default_rng(1).random((400, 2)) / 1000
    assert walks.crossing(shapely.Polygon(wild)) is None
    scribble = {"type": "LineString", "coordinates": [*wild.tolist(), wild[0].tolist()]}
    with pytest.raises(InputRefused, match="the outline crosses itself at"):
        read((scribble, GPS))


def test_the_error_is_that_of_fixes_that_go_together():
    metres = [
        point
        for (x1, y1), (x2, y2) in zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True)
        for point in [(x1 + (x2 - x1) * n / 20, y1 + (y2 - y1) * n / 20) for n in range(20)]
    ]
    (zone,) = read((line(*metres, (0, 0)), GPS)).site.document["features"]
    shape = np.array([shapely.geometry.shape(zone["geometry"])], dtype=object)
    sigma = area_sigmas(shape, np.array([zone["properties"]["outline_sigma_m"]]))[0]
    fix = tables.value("outline_sigma_gps_m").number
    expected = max(area_sigma(np.array(metres), fix, reach) for reach in walks.REACHES_M)
    assert sigma == pytest.approx(expected, rel=1e-3)
    independent = area_sigmas(shape, np.array([fix]))[0]
    assert sigma > 2 * independent


def test_a_figure_that_is_given_is_believed():
    taken = read((line(*SQUARE, (0, 0)), {**GPS, "outline_sigma_m": 0.02}))
    assert taken.site.document["features"][0]["properties"]["outline_sigma_m"] == 0.02
    assert "too coarse" not in told(taken)


def test_a_small_lawn_is_advised_against():
    taken = read((line(*SQUARE, (0, 0)), GPS))
    assert "Back lawn: 400 m² ± " in told(taken)
    assert "tape it, or trace it" in told(taken)
    park = [(1000 * x / 20, 1000 * y / 20) for x, y in SQUARE]
    assert "too coarse" not in told(read((line(*park, (0, 0)), GPS)))


def test_the_error_of_the_densest_walk_that_is_read_can_be_kept():
    turns = np.linspace(0, 2 * np.pi, 199_999, endpoint=False)
    circle = np.column_stack([np.cos(turns), np.sin(turns)]) * 30
    (zone,) = read((line(*circle, circle[0]), GPS)).site.document["features"]
    (most,) = (each.high for each in schema.facts("zones") if each.name == "outline_sigma_m")
    assert 500 < zone["properties"]["outline_sigma_m"] < most


def test_other_outlines_are_left_alone():
    for properties in ({}, {"outline_source": "tape"}):
        (zone,) = read((box(0, 0, 20, 20), properties)).site.document["features"]
        assert "outline_sigma_m" not in zone["properties"]
    (bed,) = read((box(0, 0, 20, 20), {**GPS, "feature": "bed"})).site.document["features"]
    assert "outline_sigma_m" not in bed["properties"]


def test_a_walk_read_twice_changes_nothing():
    plan = found((line(*SQUARE, (0, 1)), GPS))
    once = take(EMPTY, plan, Reading(kind="zone"))
    twice = take(once.site, plan, Reading(kind="zone"))
    assert {change.what for change in twice.changes} == {"unchanged"}
