"""Tape surveys: from a sheet to outlines with an honest error, or to what has to be measured."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.files.kind import kind_of
from lawnmap.geometry.offsets import area_by_coordinates
from lawnmap.readers.tape import reader as tape
from tests.readers.tape_rows import corners, read, sheet, source

QUAD = [
    "baseline,A,B,12", "tie,B,C,4", "tie,A,C,12.65,,left", "tie,A,D,4.30,,left",
    "tie,B,D,12.74", "tie,C,D,12.02", "outline,,,,,,,A B C D,Plot",
]  # fmt: skip
LEGS = [
    "leg,A,B,80.40,,,N76E", "leg,B,C,46.30,,,S36E", "leg,C,D,72.80,,,S61W", "leg,D,A,68.00,,,N38W",
    "outline,,,,,,,A B C D,Plot",
]  # fmt: skip


def area(feature):
    return area_by_coordinates(np.array(corners(feature)))


def test_a_plot_by_sides_and_diagonals():
    found = read(*QUAD)
    (plot,) = found.features
    assert (found.crs, found.local, found.unit_m) == (None, True, 1.0)
    assert plot.properties["name"] == "Plot"
    assert plot.properties["feature"] == "zone"
    assert plot.properties["outline_source"] == "tape"
    assert 0.005 < plot.properties["outline_sigma_m"] < 0.05
    assert plot.place == 'line 9 "Plot"'
    assert found.warnings == (
        "6 measures where 5 would do: they agree as well as a tape can. Most is put right in "
        "C to D, by 0.01 m (line 8).",
    )


def test_the_first_point_is_at_nought_and_the_first_line_due_east_or_along_its_bearing():
    plain = np.array(corners(read(*QUAD).features[0]))
    assert plain[0] == pytest.approx([0, 0])
    assert plain[1] == pytest.approx([12, 0], abs=0.02)
    turned = np.array(corners(read(QUAD[0] + ",,,N 30 E", *QUAD[1:]).features[0]))
    east, north = turned[1]
    assert math.degrees(math.atan2(east, north)) == pytest.approx(30)
    assert area_by_coordinates(turned) == pytest.approx(area_by_coordinates(plain))


def test_look_gives_one_layer_with_its_area():
    (layer,) = tape.look(source(sheet(*QUAD)))
    assert (layer.name, layer.count, layer.kinds) == ("survey", 1, ("Polygon",))
    assert layer.area_m2 == pytest.approx(area(read(*QUAD).features[0]), abs=1e-6)


def test_look_does_without_a_unit():
    (layer,) = tape.look(source(sheet(*QUAD, unit=None)))
    assert (layer.count, layer.kinds, layer.area_m2) == (1, ("Polygon",), None)


def test_the_layer_may_be_named():
    assert len(read(*QUAD, layer="survey").features) == 1
    with pytest.raises(InputRefused, match="no layer 'other'"):
        read(*QUAD, layer="other")


def test_kind_is_told_by_the_header():
    assert kind_of(sheet(*QUAD).encode(), "tape.csv") == "tape"


def test_units_from_the_sheet_or_the_person():
    metres = area(read(*QUAD).features[0])
    feet = area(read(*QUAD, unit="ft").features[0])
    said = area(read(*QUAD, unit=None, units="ft").features[0])
    assert feet == pytest.approx(metres * 0.3048**2, rel=0.001)
    assert said == pytest.approx(feet)


@pytest.mark.parametrize(
    ("unit", "units", "words"),
    [
        (None, None, "no unit"),
        ("m", "ft", "--units says ft"),
        (None, "rods", "--units is 'rods'"),
        ("rods", None, "line 2: the unit is 'rods'"),
    ],
)
def test_units_that_are_missing_or_differ_are_refused(unit, units, words):
    with pytest.raises(InputRefused) as caught:
        read(*QUAD, unit=unit, units=units)
    assert words in str(caught.value)


def test_a_mirrored_plot_has_the_same_area_on_the_other_side():
    mirrored = [row.replace("left", "right") for row in QUAD]
    left, right = read(*QUAD).features[0], read(*mirrored).features[0]
    assert area(left) == pytest.approx(area(right))
    assert corners(left)[2][1] > 0 > corners(right)[2][1]


def test_nothing_to_spare_is_told():
    found = read("baseline,A,B,5", "tie,A,C,3,,left", "tie,B,C,4", "outline,,,,,,,A B C,Bed,bed")
    (bed,) = found.features
    assert found.warnings == (
        "Nothing checks these measures: measure a diagonal, or each point from a third one, and a "
        "slip will show.",
    )
    assert corners(bed)[2] == pytest.approx([1.8, 2.4])  # the 3-4-5 triangle of any textbook
    assert bed.properties == {"name": "Bed", "feature": "bed"}


def test_a_wrong_length_is_named():
    honest = read(*network())
    found = read(*[row.replace("tie,A,C,26.6", "tie,A,C,27.1") for row in network()])
    said = found.warnings[0]
    assert said.startswith("A to C is 0.50 m longer than the others allow (line 6): measure it")
    sigma = [each.features[0].properties["outline_sigma_m"] for each in (honest, found)]
    assert sigma[1] > 3 * sigma[0]


STATIONS = {"A": (0, 0), "B": (20, 0), "C": (22, 15), "D": (-1, 14), "E": (9, 7), "F": (15, 4)}


def network():
    """Return the rows of a network with every line taped exactly."""
    rows = ["baseline,A,B,20,,,E", "left,A,B,,,,,C D E F"]
    rows += [
        f"tie,{one},{two},{math.dist(STATIONS[one], STATIONS[two]):.4f}"
        for one, two in itertools.combinations(STATIONS, 2)
    ]
    return [*rows, "outline,,,,,,,A B C D,Plot"]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("leg,A,D,14.04,,,10", "the bearing of A to D is 14.1° further clockwise than the others"),
        ("leg,A,D,14.04,,,340", "the bearing of A to D is 15.9° further anticlockwise than the"),
        ("offset,A,B,7,10.6,left,,E", "E stands 1.60 m further on along A to B than the others"),
        ("offset,A,B,7,7.4,left,,E", "E stands 1.60 m nearer along A to B than the others allow"),
        ("offset,A,B,7.6,9,left,,E", "the offset of E from A to B is 0.60 m longer than the"),
        ("offset,B,A,6.4,11,right,,E", "the offset of E from B to A is 0.60 m shorter than the"),
    ],
)
def test_a_wrong_bearing_or_offset_is_named(row, said):
    rows = network()
    if row.startswith("leg"):  # a bearing needs more than one other to be checked by
        rows += ["leg,B,C,15.13,,,7.6", "leg,A,C,26.63,,,55.7", "leg,B,D,25.24,,,303.7"]
    assert read(*rows, row).warnings[0].startswith(said)


def test_an_offset_that_is_put_right_most_is_called_one():
    found = read(*network(), "offset,A,B,7,9.05,left,,E", "offset,A,B,4.05,15,left,,F")
    assert "Most is put right in the offset of F, by 0.0" in found.warnings[0]
    turned = read(*network(), "leg,B,C,15.13,,,8.6")
    assert "Most is put right in " in turned.warnings[0]
    assert "by 0.5°" in turned.warnings[0]


def test_exact_measures_are_put_right_by_nothing():
    rows = ["baseline,A,B,4", "tie,A,D,3,,left", "tie,B,D,5", "tie,B,C,3,,left", "tie,A,C,5",
            "side,C,D,4", "outline,,,,,,,A B C D,Plot"]  # fmt: skip
    assert (
        read(*rows)
        .warnings[0]
        .startswith("6 measures where 5 would do: they agree as well as a tape can.")
    )


def test_when_it_cannot_be_told_which_is_wrong_that_is_said():
    found = read(*[row.replace("12.02", "13.02") for row in QUAD])
    said = found.warnings[0]
    assert "which is wrong cannot be told" in said
    assert "C to D is " in said
    assert "longer than the others allow" in said


def test_points_that_nothing_checks_are_named():
    found = read(*QUAD[:-1], "offset,A,B,2,3,right", "outline,,,,,,,A o1 B C D,Plot")
    assert "Nothing checks o1: one more tie to each would." in found.warnings


def test_a_point_between_flat_tapes_is_told():
    rows = ["baseline,A,B,12", "tie,A,C,6.2,,left", "tie,B,C,6.2", "outline,,,,,,,A B C,Plot"]
    assert any("The two tapes to C cross at less than 30°" in said for said in read(*rows).warnings)


def test_a_published_traverse():
    # A course presentation on the compass rule: closing error 0.421 m in 267.50 m, 1 : 635.
    found = read(*LEGS)
    assert found.warnings == (
        "The traverse of 4 legs and 267.50 m closes within 0.42 m (1 in 635); the error is shared "
        "out over the legs by their lengths (Bowditch's rule).",
    )
    assert corners(found.features[0])[1] == pytest.approx([78.1055, 19.3653], abs=1e-3)
    # Worked out from the printed figures.
    assert area(found.features[0]) == pytest.approx(4169.14, abs=0.1)


def test_a_traverse_in_another_order_is_the_same():
    mixed = read(LEGS[0], LEGS[2], LEGS[1], LEGS[3], LEGS[4])
    assert corners(mixed.features[0]) == corners(read(*LEGS).features[0])


def test_a_traverse_that_does_not_close_is_refused_with_a_suspect():
    with pytest.raises(InputRefused) as caught:
        read(*[row.replace("72.80", "80.80") for row in LEGS])
    assert "does not close by 8.1" in caught.value.problem
    assert caught.value.remedy.startswith("The error runs along C to D")


def test_a_traverse_whose_error_runs_along_no_leg_has_no_suspect():
    with pytest.raises(InputRefused) as caught:
        read("leg,A,B,20,,,0", "leg,B,C,20,,,90", "leg,C,D,16,,,180", "leg,D,A,16,,,270", LEGS[4])
    assert "of 72.00 m does not close by 5.66 m (1 in 13;" in caught.value.problem
    assert caught.value.remedy == "Measure its legs and bearings again."


def test_an_open_traverse_is_nothing_checked():
    found = read(*LEGS[:3], LEGS[4])
    assert found.warnings[0].startswith("Nothing checks these measures")


def test_legs_among_ties_turn_the_whole():
    found = read(*QUAD[:-1], "leg,B,E,5,,,E", "leg,C,B,4,,,180", "outline,,,,,,,A B E C D,Plot")
    _, b, e, c, _ = corners(found.features[0])
    assert c[1] - b[1] == pytest.approx(4, abs=0.05)
    assert e[0] - b[0] == pytest.approx(5, abs=0.02)


def test_a_strip_by_offsets_as_printed():
    # Basic civil engineering course notes: nine offsets at 10 m, 460.75 m² and 461.167 m².
    widths = ["3.15", "4.3", "8.2", "5.6", "6.85", "7.6", "4.2", "5.6", "4.3"]
    rows = ["baseline,P,Q,80"]
    rows += [f"offset,P,Q,{width},{10 * i},left" for i, width in enumerate(widths)]
    found = read(*rows, "outline,,,,,,,P o1..o9 Q,Strip")
    assert found.warnings[-1] == (
        "Strip by its offsets from P to Q: 460.75 m² with straight edges between them (trapezoidal "
        "rule), 461.17 m² with a curved edge (Simpson's rule); 460.75 m² by coordinates, which is "
        "what is used."
    )
    backwards = read(*rows, "outline,,,,,,,Q o9..o1 P,Strip")
    assert backwards.warnings[-1] == found.warnings[-1]
    uneven = read(*rows, "offset,P,Q,5,33,left,,X", "outline,,,,,,,P o1..o4 X o5..o9 Q,Strip")
    assert "Simpson" not in uneven.warnings[-1]
    assert "trapezoidal" in uneven.warnings[-1]


@pytest.mark.parametrize(
    "outline", ["P o1 o2 Q R", "P o2 o1 Q", "o1 o2 R", "P o1 R Q", "P o1 o3 Q"]
)
def test_other_zones_have_no_area_by_offsets(outline):
    rows = ["baseline,P,Q,20", "tie,P,R,15,,right", "tie,Q,R,14", "offset,P,Q,4,5,left",
            "offset,P,Q,5,15,left", "offset,P,Q,3,16,right"]  # fmt: skip
    try:
        found = read(*rows, f"outline,,,,,,,{outline},Zone")
    except InputRefused as error:
        assert "cross" in error.problem  # noqa: PT017 - some of these orders do
    else:
        assert not any("by its offsets" in said for said in found.warnings)


def test_rows_of_one_zone_are_one_outline_and_other_things_are_drawn():
    found = read(
        *QUAD[:-1],
        "outline,,,,,,,A B,Plot,,gate sticks",
        "outline,,,,,,,C D A,Plot,zone,mind the dog",
        "line,,,,,,,A D,,hedge",
        "spot,,,,,,,C,Birch,tree",
        "spot,,,,,,,D,Birch,tree",
    )
    plot, hedge, birch, other = found.features
    assert len(corners(plot)) == 4
    assert plot.properties["private_note"] == "gate sticks; mind the dog"
    assert hedge.geometry["type"] == "LineString"
    assert hedge.properties["feature"] == "hedge"
    assert (birch.geometry["type"], other.geometry["type"]) == ("Point", "Point")
    assert birch.properties == {"name": "Birch", "feature": "tree"}


def test_an_outline_that_crosses_itself_is_refused_with_its_sides():
    with pytest.raises(InputRefused) as caught:
        read(*QUAD[:-1], "outline,,,,,,,A C B D,Plot")
    assert str(caught.value).startswith(
        'tape.csv: line 9 "Plot": its sides A to C and B to D cross'
    )


def test_columns_that_are_not_known_are_told():
    text = "\n".join(f"{line},x" for line in sheet(*QUAD).split("\n"))
    found = tape.read(source(text))
    assert found.warnings[-1] == "Columns that are not known were not read: x."


def star(spokes):
    """Return corners round a middle, so that no two sides cross."""
    turns = [2 * math.pi * (i + part / 10) / len(spokes) for i, (part, _) in enumerate(spokes)]
    return np.array(
        [(r * math.cos(a), r * math.sin(a)) for a, (_, r) in zip(turns, spokes, strict=True)]
    )


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 6), st.floats(8, 30)), min_size=4, max_size=7))
def test_polygons_measured_exactly_come_back(spokes):
    xy = star(spokes)
    gaps = np.linalg.norm(xy[:, None] - xy[None], axis=2)
    # Every other corner well to one side of the first line, and tapes that do not lie in line.
    line = xy[1] - xy[0]
    aside = (xy[2:] - xy[0]) @ np.array([-line[1], line[0]]) / np.linalg.norm(line)
    assume(np.abs(aside).min() > 2)
    rows = [f"baseline,p0,p1,{gaps[0, 1]:.12f}"]
    for i, left in enumerate(aside, 2):
        rows.append(f"{'left' if left > 0 else 'right'},p0,p1,,,,,p{i}")
    rows += [f"tie,p{i},p{j},{gaps[i, j]:.12f}" for j in range(2, len(xy)) for i in range(j)]
    found = read(*rows, f"outline,,,,,,,p0..p{len(xy) - 1},Plot")
    again = np.array(corners(found.features[0]))
    distances = np.linalg.norm(again[:, None] - again[None], axis=2)
    assert distances == pytest.approx(gaps, abs=1e-6)
    # Not mirrored: up to a turn, it is the outline itself.
    turn = np.arctan2(line[1], line[0])
    turned = again @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    assert turned == pytest.approx(xy - xy[0], abs=1e-6)
