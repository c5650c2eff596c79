"""What is said when measures do not fix a point: which one, and what to measure."""

import pytest

from lawnmap.errors import InputRefused
from tests.readers.tape_rows import corners, read

OUTLINE = "outline,,,,,,,A B C,Plot"


@pytest.mark.parametrize(
    ("rows", "place", "problem", "remedy"),
    [
        (["tie,A,C,5", "tie,B,C,9.4"], "point C", "either side of A to B", "left (or right), A, B"),
        (["tie,A,C,5,,left", "tie,B,C,6.58"], "point C",
         "A to C and B to C are too short to meet: 0.42 m lacking", "Measure both again"),
        (["tie,A,C,5,,left", "tie,B,C,18"], "point C", "B to C is 1.00 m too long to meet A to C",
         "Measure both again"),
        (["tie,A,C,5,,left", "tie,B,C,7"], "point C", "in line with A and B", "offset of 0"),
        (["tie,A,C,5"], "point C", "one measure only, from A", "such as B"),
        (["tie,A,C,5", "tie,A,C,5.01"], "point C", "one measure only, from A", "such as B"),
        (["tie,C,D,5"], "point C", "hangs on no fixed point (A, B)", "from two of them"),
        (["offset,A,B,0,12,left,,D", "tie,B,C,3", "tie,D,C,3"], "point C",
         "measured from one place only", "second place"),
        (["offset,D,C,2,3,left,,E"], "point D", "hangs on no fixed point", "two of them"),
    ],
)  # fmt: skip
def test_a_point_that_is_not_fixed_is_named(rows, place, problem, remedy):
    with pytest.raises(InputRefused) as caught:
        read("baseline,A,B,12", *rows, OUTLINE)
    assert caught.value.place == place
    assert problem in caught.value.problem
    assert remedy in caught.value.remedy


def test_a_third_tie_decides_the_side():
    rows = ["baseline,A,B,12", "left,A,B,,,,,C", "tie,A,C,5", "tie,B,C,9.4",
            "tie,A,D,8", "tie,B,D,6"]  # fmt: skip
    with pytest.raises(InputRefused, match="either side of A to B"):
        read(*rows, "outline,,,,,,,A B C,Plot", "spot,,,,,,,D,,tree")
    for length, above in ((3.91, True), (8.25, False)):
        found = read(*rows, f"tie,C,D,{length}", OUTLINE, "spot,,,,,,,D,,tree")
        assert (found.features[1].geometry["coordinates"][1] > 0) == above


def test_a_side_against_a_third_tie_is_refused():
    with pytest.raises(InputRefused, match="does not lie on the side that the sheet says"):
        read("baseline,A,B,12", "left,A,B,,,,,C", "right,A,B,,,,,E D", "tie,A,C,5",
             "tie,B,C,9.4", "tie,A,E,6", "tie,B,E,8", "tie,A,D,9.43", "tie,C,D,4.82",
             "tie,E,D,9.13", OUTLINE)  # fmt: skip


def test_a_side_against_an_offset_is_refused():
    with pytest.raises(InputRefused) as caught:
        read("baseline,A,B,12", "left,A,B,,,,,C", "offset,A,B,3,6,right,,C", OUTLINE)
    assert caught.value.place == "line 4"
    assert "said to lie left of A to B, and the measures put it 3.00 m to the right" in str(
        caught.value
    )


def test_a_baseline_that_comes_late_is_begun_with_all_the_same():
    found = read("tie,A,C,5,,left", "tie,B,C,9.4", "tie,A,D,4", "baseline,A,B,12",
                 "offset,A,B,3,6,left,,D", OUTLINE)  # fmt: skip
    assert corners(found.features[0])[0] == pytest.approx([0, 0])


def test_the_side_of_a_tie_is_that_of_the_baseline_it_starts_from():
    rows = ["baseline,A,B,12", "baseline,B,E,9,,,", "right,A,B,,,,,E", "tie,A,E,15",
            "tie,A,C,5,,left", "tie,B,C,9.4", OUTLINE]  # fmt: skip
    assert corners(read(*rows).features[0])[2][1] > 0
    with pytest.raises(InputRefused, match="of which baseline is not plain"):
        read(*[row.replace("tie,B,C,9.4", "tie,B,C,9.4,,left") for row in rows])


def test_points_chained_from_one_another():
    rows = ["baseline,p0,p1,10", "left,p0,p1,,,,,p2"]
    xy = [(5 * i, 8.66025 * (i % 2)) for i in range(40)]
    order = [0, 2, *range(1, 40, 1)]
    order = list(dict.fromkeys(order))
    names = {point: f"p{n}" for n, point in enumerate(order)}
    for n in range(2, 40):
        for back in (1, 2, 3):
            if n >= back and n - back >= 0:
                one, two = order[n - back], order[n]
                length = ((xy[one][0] - xy[two][0]) ** 2 + (xy[one][1] - xy[two][1]) ** 2) ** 0.5
                rows.append(f"tie,{names[one]},{names[two]},{length:.4f}")
    found = read(*rows, "outline,,,,,,,p0 p1 p2,Plot", "spot,,,,,,,p39,,tree")
    assert found.features[1].geometry["coordinates"] == pytest.approx(xy[order[39]], abs=0.05)


def test_a_baseline_of_no_length_to_speak_of_turns_nothing():
    """A tenth of a micrometre tells no direction: what hangs on it has a place and is not held."""
    with pytest.raises(InputRefused) as caught:
        read("baseline,A,B,0.0000001,,,45", "offset,B,A,1,0,left,,C", OUTLINE)
    assert caught.value.place == "point B"
    assert "is not fixed by its measures" in caught.value.problem
    assert caught.value.remedy.startswith("Measure it from one more fixed point")


def test_an_offset_from_a_line_whose_ends_are_one_place_fixes_nothing():
    rows = ["baseline,A,B,12", "offset,A,B,0,0,,,D", "offset,A,D,3,2,left,,C"]
    with pytest.raises(InputRefused) as caught:
        read(*rows, OUTLINE)
    assert caught.value.place == "point C"
    assert "hangs on no fixed point" in caught.value.problem
    found = read(*rows, "left,A,B,,,,,C", "tie,A,C,5", "tie,B,C,9", OUTLINE)
    assert found.warnings[0].startswith("the offset of C from A to D is 3.00 m longer than")
