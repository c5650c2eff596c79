"""Control points as a surveyor would judge them."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from lawnmap.agronomy.sampling import student_quantile
from lawnmap.errors import InputRefused
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.local import Local
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.model import Site
from lawnmap.processing.entering.outlines import Shaped
from lawnmap.processing.position.control import (
    Control,
    ControlPoint,
    agree,
    header_for,
    with_sigmas,
)
from lawnmap.processing.replying.agreement import corner_sigma_m
from tests.processing.sites import EMPTY, box

FRAME = Frame(1.9, 53.4)
PLAN = np.array([[18.5, -14.5], [0, 0], [18, 33], [-6, 30], [5, 10]])
TURN = np.radians(17)
TURNED = np.array([[np.cos(TURN), np.sin(TURN)], [-np.sin(TURN), np.cos(TURN)]])


def control(points=4, *, metres=None, plan=PLAN, kind="similarity"):
    metres = PLAN @ TURNED if metres is None else metres
    lonlat = FRAME.to_lonlat(np.asarray(metres, dtype=float))
    made = [
        ControlPoint(f"P{number}", *xy, *at)
        for number, (xy, at) in enumerate(zip(plan.tolist(), lonlat.tolist(), strict=True), 1)
    ]
    return Control(tuple(made[:points]), kind)


def noisy(seed, points, sigma=0.05, kind="similarity"):
    chance = np.random.default_rng(seed)
    return control(points, metres=PLAN @ TURNED + chance.normal(0, sigma, PLAN.shape), kind=kind)


def test_a_place_of_the_plan_goes_where_it_is():
    made = agree(control())
    assert made.fit.turn_deg == pytest.approx(17, abs=1e-3)
    assert made.fit.scale == pytest.approx(1, abs=1e-8)
    there = FRAME.to_metres(made.to_lonlat(np.array([[7.0, 9.0]])))
    assert there == pytest.approx(np.array([[7.0, 9.0]]) @ TURNED, abs=1e-6)
    assert made.warnings == ()


@pytest.mark.parametrize("kind", ["similarity", "affine"])
def test_rows_of_a_picture_go_down(kind):
    pixels = PLAN * [20, -20] + [400, 900]
    made = agree(control(plan=pixels, kind=kind), picture=True)
    assert made.fit.scale == pytest.approx(0.05)
    assert made.warnings == ()
    there = FRAME.to_metres(made.to_lonlat(np.array([[7.0 * 20 + 400, -9.0 * 20 + 900]])))
    assert there == pytest.approx(np.array([[7.0, 9.0]]) @ TURNED, abs=1e-6)


def test_a_plan_seen_from_behind_is_refused_and_of_an_affine_told():
    swapped = PLAN[:, ::-1]
    with pytest.raises(InputRefused, match="from behind") as told:
        agree(control(plan=swapped))
    assert "x given before y" in told.value.remedy
    with pytest.raises(InputRefused, match="from behind") as told:
        agree(control(plan=PLAN * 20), picture=True)
    assert "top down" in told.value.remedy
    assert any(
        "from behind" in text for text in agree(control(plan=swapped, kind="affine")).warnings
    )


@pytest.mark.parametrize(
    ("kind", "points", "words"), [("similarity", 2, "Two"), ("affine", 3, "Three")]
)
def test_an_exact_fit_is_no_check(kind, points, words):
    made = agree(control(points, kind=kind))
    assert made.warnings[0].startswith(f"{words} points always fit: there is no check")
    assert made.sigma_m is None
    assert made.scale_sigma is None
    assert made.corner_sigma_m(100, 10) is None


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (control(0), "at least two control points are needed"),
        (control(1), r"at least two control points are needed \(P1\)"),
        (control(2, kind="affine"), r"at least three .* \(P1, P2\)"),
        (control(3, plan=PLAN * 0), r"one place \(P1, P2, P3\)"),
        (control(3, metres=PLAN * 0), r"one place \(P1, P2, P3\)"),
        (control(4, plan=PLAN[:, :1] * [1, 2], kind="affine"), r"on a line \(P1, P2, P3, P4\)"),
    ],
)
def test_points_that_fix_nothing_are_refused_by_name(points, words):
    with pytest.raises(InputRefused, match=words) as told:
        agree(points)
    assert "well apart" in told.value.remedy


@pytest.mark.parametrize(("lon", "lat"), [(181, 0), (0, 91), (0, 90), (float("nan"), 0)])
def test_a_point_off_the_earth_is_named(lon, lat):
    points = control().points
    wrong = Control((*points[:2], points[2]._replace(lon=lon, lat=lat)))
    with pytest.raises(InputRefused, match="off the earth") as told:
        agree(wrong)
    assert told.value.place == "control point 'P3'"


def test_a_point_in_another_county_is_named():
    points = control().points
    wrong = Control((*points[:3], points[3]._replace(lon=-1.9)))
    with pytest.raises(InputRefused, match=r"is 2\d\d(\.\d)? km from the others") as told:
        agree(wrong)
    assert told.value.place == "control point 'P4'"


def test_points_on_both_sides_of_the_date_line_are_one_plan():
    frame = Frame(180.0, -17.0)
    lonlat = frame.to_lonlat(PLAN[:4]).tolist()
    assert min(at[0] for at in lonlat) < 0 < max(at[0] for at in lonlat)
    points = [ControlPoint("p", *xy, *at) for xy, at in zip(PLAN[:4].tolist(), lonlat, strict=True)]
    assert agree(Control(tuple(points))).fit.rmse < 1e-6


def test_a_scale_that_is_off_is_told_with_what_it_does_to_areas():
    (said,) = agree(control(plan=PLAN * 1.01)).warnings
    assert "0.9901 times its own size" in said
    assert "areas 0.9803 times" in said
    assert agree(control(plan=PLAN * 1000), unit_m=0.001).warnings == ()
    assert agree(control(plan=PLAN * 1.0005)).warnings == ()


@pytest.mark.parametrize("slip", [0, 400])
def test_points_in_another_unit_than_the_plans_are_refused(slip):
    """A drawing in millimetres with points in metres would come out a thousand times too large."""
    points = control(5, plan=PLAN).points
    moved = points[2]._replace(y=points[2].y + slip)  # and a typing error must not hide it
    with pytest.raises(InputRefused, match="1,000 times its own size") as told:
        agree(Control((*points[:2], moved, *points[3:])), unit_m=0.001)
    assert "--units" in told.value.remedy
    assert agree(control(plan=PLAN * 1000), unit_m=0.001).fit.rmse < 1e-6
    assert agree(control(plan=PLAN), unit_m=None).fit.scale == pytest.approx(1)


def test_a_unit_nobody_said_is_worked_out():
    (said,) = agree(control(plan=PLAN / 0.3048), unit_m=None).warnings
    assert said == "One unit of the plan comes out as 0.3048 m: it is in ft."
    (said,) = agree(control(plan=PLAN * 5), unit_m=None).warnings
    assert "0.2 m: compare that with a length you know" in said


def test_a_bent_scan_is_told():
    stretched = agree(control(5, plan=PLAN * [1, 1.03], kind="affine"), unit_m=None)
    assert "3.0% longer one way" in stretched.warnings[0]
    leaning = agree(control(5, plan=PLAN @ [[1, 0], [0.05, 1]], kind="affine"))
    assert "leaning by 2.9°" in leaning.warnings[0]


def test_points_nearly_on_a_line_are_told_to_an_affine():
    narrow = PLAN * [0.02, 1]
    made = agree(control(5, plan=narrow, metres=narrow @ TURNED, kind="affine"))
    assert "nearly on a line" in made.warnings[-1]


def test_a_wrong_point_is_named_and_nothing_else_is_made_of_it():
    metres = PLAN @ TURNED + np.random.default_rng(3).normal(0, 0.03, PLAN.shape)
    metres[2] += [0, 4]
    made = agree(control(4, metres=metres))
    assert made.suspect is not None
    assert made.names[made.suspect.which] == "P3"
    (said,) = made.warnings
    off = np.hypot(*made.suspect.off)
    assert off == pytest.approx(4, abs=0.2)
    assert said == f"Control point P3 does not agree with the others: it is {off:.2f} m off."


@pytest.mark.parametrize(("points", "kind"), [(3, "similarity"), (4, "similarity"), (5, "affine")])
def test_what_is_claimed_holds_19_times_in_20(points, kind):
    """1,000 seeded scans as wrong as their points: the area is within 1.96 standard errors."""
    lawn = np.array([[-4.0, 12], [16, 12], [18.5, 21], [14, 30], [2, 32], [-5, 24]])
    true = shapely.Polygon(lawn).area
    (span,) = area_sigmas(
        np.array([shapely.Polygon(FRAME.to_lonlat(lawn))], dtype=object), np.array([2.0])
    )
    chance = np.random.default_rng(11)
    held = 0
    for seed in range(1000):
        made = agree(noisy(seed, points, kind=kind))
        picked = lawn + chance.normal(0, 0.05, lawn.shape)
        metres = FRAME.to_metres(made.to_lonlat(picked))
        area = shapely.Polygon(metres).area
        sigma = made.corner_sigma_m(true, span) * span / 2
        held += abs(area - true) < 1.96 * sigma
    assert 0.94 <= held / 1000 <= 0.99


def test_few_points_make_the_error_larger_as_student_has_it():
    # t of 95 % with 2 and 4 degrees of freedom, any table: 4.303, 2.776; normal 1.960.
    assert student_quantile(0.95, 2) == pytest.approx(4.303, abs=5e-4)
    three, four = agree(noisy(1, 3)), agree(noisy(1, 4))
    assert three.sigma_m / three.fit.s0 == pytest.approx(4.303 / 1.960, abs=1e-3)
    assert four.sigma_m / four.fit.s0 == pytest.approx(2.776 / 1.960, abs=1e-3)


def test_corner_and_scale_errors_add_as_variances():
    # A rectangle of 20 x 50 m: the span is twice its diagonal (geo.md 3.8: 5 cm gives 2.693 m²).
    span = 2 * np.hypot(20, 50)
    assert corner_sigma_m(1000, span, 0.05, None) * span / 2 == pytest.approx(2.693, abs=1e-3)
    both = corner_sigma_m(1000, span, 0.05, 0.001) * span / 2
    assert both == pytest.approx(np.hypot(2.693, 2 * 1000 * 0.001), abs=1e-3)


def lawn(**properties):
    return Shaped("zone", shapely.geometry.shape(box(0, 0, 20, 50)), properties, "feature 1")


def test_only_zones_that_do_not_know_are_given_an_error():
    route = SimpleNamespace(sigma_m=0.05, scale_sigma=0.001, outline_source="plan picture")
    bed = replace(lawn(), kind="bed")
    given, kept, other = with_sigmas([lawn(), lawn(outline_sigma_m=0.2), bed], route)
    outline = np.array([given.shape], dtype=object)
    sigma = given.properties["outline_sigma_m"]
    assert area_sigmas(outline, np.array([sigma]))[0] == pytest.approx(
        np.hypot(2.693, 0.002 * areas(outline)[0]), abs=1e-3
    )
    assert given.properties["outline_source"] == "plan picture"
    assert kept.properties == {"outline_sigma_m": 0.2}
    assert other.properties == {}
    unknown = SimpleNamespace(sigma_m=None, scale_sigma=None, outline_source="")
    assert with_sigmas([lawn()], unknown)[0].properties == {}


def test_a_plan_that_reaches_far_past_its_points_is_measured():
    made = agree(control())
    middle = PLAN[:4].mean(axis=0)
    assert made.reach(PLAN[:4]) == pytest.approx(1)
    assert made.reach(middle + 3 * (PLAN[:4] - middle)) == pytest.approx(3)
    assert made.reach(np.zeros((0, 2))) == 0


def test_points_and_site_lie_both_on_the_earth_or_neither():
    drawn = EMPTY.with_features(
        [{"type": "Feature", "properties": {}, "geometry": box(0, 0, 1, 1)}]
    )
    unplaced = drawn.with_header(placed=False, anchor=[0, 0], origin=[3, 4])
    local = replace(control(), local=Local((0.0, 0.0), (3.0, 4.0)))
    assert header_for(drawn, control()) == {"placed": True}
    assert header_for(unplaced, local) == {"placed": False, "anchor": [0, 0], "origin": [3, 4]}
    assert header_for(Site({**EMPTY.document}), local)["placed"] is False
    with pytest.raises(InputRefused, match="the control points have none"):
        header_for(drawn, local)
    with pytest.raises(InputRefused, match="the site is not") as told:
        header_for(unplaced, control())
    assert "--crs local" in told.value.remedy
