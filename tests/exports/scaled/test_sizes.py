import pytest

from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.exports.scaled.sizes import MARGIN, SCALES, SIZES, Layout, Size, fit, sheets


def test_the_a_sizes_halve_each_other_and_letter_is_in_inches():
    # ISO 216: each size is the one before cut across the longer side, down to whole millimetres.
    for larger, smaller in (("A0", "A1"), ("A1", "A2"), ("A2", "A3"), ("A3", "A4")):
        short, long = SIZES[larger]
        assert SIZES[smaller] == (long // 2, short)
    assert SIZES["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert SIZES["Tabloid"] == pytest.approx((11 * 25.4, 17 * 25.4))


def test_the_scales_have_all_of_iso_5455_from_one_to_ten_on():
    tens = (10, 100, 1000, 10_000)
    assert {size * ten for size in (1, 2, 5) for ten in tens} <= set(SCALES)
    assert list(SCALES) == sorted(SCALES)


def test_a_sheet_is_known_by_name_or_by_its_sides():
    assert sheets("a4") == [Size(297, 210), Size(210, 297)]
    assert sheets("600x400") == [Size(600, 400)]
    assert sheets("1000 × 500") == [Size(1000, 500)]


@pytest.mark.parametrize("name", ["B9", "", "x", "20x9000", "99x500", "A4; rm", "1e9x1"])
def test_a_size_that_is_none_is_told(name):
    with pytest.raises(UsageProblem, match="600x400"):
        sheets(name)


def test_the_largest_scale_that_fits_is_taken():
    layouts = [Layout(Size(297, 210), 0, 0), Layout(Size(210, 297), 0, 0)]
    width, height = layouts[0].window[2:]
    assert (width, height) == (297 - 2 * MARGIN, 173)
    assert fit((width / 5, height / 5), layouts, others={}) == (layouts[0], 200)
    assert fit((190 / 5, 260 / 5), layouts, others={}) == (layouts[1], 200)
    assert fit((width / 5 + 0.01, height / 5), layouts, others={})[1] == 250


def test_what_does_not_fit_is_refused_with_what_would():
    layouts = [Layout(Size(297, 210), 0, 0)]
    others = {"A3": [Layout(Size(420, 297), 0, 0)], "A2": [Layout(Size(594, 420), 0, 0)]}
    with pytest.raises(InputRefused, match=r"500 × 50 mm.* 1:500 fits here; A2 would do"):
        fit((100, 10), layouts, 200, others=others)
    with pytest.raises(InputRefused, match="larger paper"):
        fit((1e6, 1e6), layouts, others={})
