"""Letters on a still drawing lie on no number and on no other letter, and lead to their places."""

import re
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from lawnmap.exports.drawing.letters import ASIDE, SIZE, box, letters
from tests.exports.drawing.test_outline_svg import svg
from tests.exports.papers import paper

WINDOW = (0.0, 0.0, 640.0, 600.0)
HALF = SIZE / 2


def drawn(places, numbers=(), window=WINDOW):
    """Return the boxes of the letters, and the lines that lead to their places."""
    root = ET.fromstring(f"<svg>{letters(places, numbers, window)}</svg>")
    boxes = [square(each) for each in root.iter("rect")]
    return boxes, [each.attrib["d"] for each in root.iter("path")]


def square(rect):
    x, y, wide, high = (float(rect.attrib[name]) for name in ("x", "y", "width", "height"))
    return x, y, x + wide, y + high


def meet(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_a_letter_alone_stands_on_its_place():
    (only,), stems = drawn([("supply", 100, 100)])
    assert only == (100 - HALF, 100 - HALF, 100 + HALF, 100 + HALF)
    assert stems == []


def test_of_two_in_one_place_one_stands_aside_with_a_line_to_it():
    (first, second), (stem,) = drawn([("drain", 100, 100), ("access", 103, 104)])
    assert not meet(first, second)
    assert first == (90, 90, 110, 110)
    middle = ((second[0] + second[2]) / 2, (second[1] + second[3]) / 2)
    ends = [float(each) for each in re.findall(r"[\d.]+", stem)]
    assert ends == pytest.approx([103, 104, *middle])


def test_none_lies_on_a_number():
    number = box(100, 100, 15, 15)
    (only,), _ = drawn([("supply", 104, 96)], [number])
    assert not meet(only, number)


def test_none_is_moved_out_of_sight_and_a_full_place_keeps_them_all():
    edge = [("access", 300, 595), ("drain", 300, 595)]
    for one in drawn(edge)[0][1:]:
        assert one[3] <= WINDOW[3]
    crowd = [("supply", 300, 300)] * (len(ASIDE) + 3)
    boxes, _ = drawn(crowd)
    assert len(boxes) == len(crowd)
    assert [pair for pair in combinations(boxes[:5], 2) if meet(*pair)] == []
    assert boxes[-1] == boxes[0]  # there is no room left: it stands where it belongs


def test_on_a_plan_no_letter_hides_a_number_or_another_letter():
    root, _ = svg(paper())
    squares = [square(each) for each in root.iter("rect") if each.get("rx")]
    assert len(squares) > len(paper().plan.zones)  # numbers, and letters beside them
    assert [pair for pair in combinations(squares, 2) if meet(*pair)] == []
