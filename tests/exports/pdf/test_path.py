"""Outlines: path data and transforms of SVG 1.1, chapters 7.6 and 8.3."""

import math

import pytest

from lawnmap.exports.pdf.path import Fit, ellipse, path, transform


def test_each_command_moves_on_from_where_the_pen_is():
    assert path("M1 2 3 4") == [("m", (1, 2)), ("l", (3, 4))]
    assert path("m1 2 3 4h5V0z") == [
        ("m", (1, 2)), ("l", (4, 6)), ("l", (9, 6)), ("l", (9, 0)), ("h", ()),
    ]  # fmt: skip
    assert path("M-3 3 3-3M3 3h.01") == [
        ("m", (-3, 3)), ("l", (3, -3)), ("m", (3, 3)), ("l", (3.01, 3)),
    ]  # fmt: skip
    assert path("M0 0c1 0 2 1 2 2") == [("m", (0, 0)), ("c", (1, 0, 2, 1, 2, 2))]


def test_a_closed_outline_is_gone_on_from_where_it_began():
    assert path("M1 1h4v4zl1 1")[-1] == ("l", (2, 2))


def test_a_bend_of_one_handle_is_one_of_two():
    # At its middle a quadratic curve is a quarter of each end and a half of its handle.
    _, (_, (a, b, c, d, e, f)) = path("M0 0Q3 6 6 0")
    middle = ((3 * a + 3 * c + e) / 8, (3 * b + 3 * d + f) / 8)
    assert middle == pytest.approx((3, 3))


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("translate(10 20)", (13, 24)),
        ("translate(10)", (13, 4)),
        ("scale(2)", (6, 8)),
        ("scale(2 3)", (6, 12)),
        ("rotate(90)", (-4, 3)),
        ("rotate(180 5 5)", (7, 6)),
        ("matrix(1 0 0 -1 0 10)", (3, 6)),
        ("translate(10 0) scale(2)", (16, 8)),
    ],
)
def test_transforms_take_a_place_where_svg_says(text, there):
    assert transform(text).at(3, 4) == pytest.approx(there)


def test_a_transform_tells_how_much_lengths_grow():
    assert Fit(3, 0, 0, 3).scale == 3
    assert transform("rotate(30) scale(2)").scale == pytest.approx(2)


def test_a_circle_of_four_bends_is_round():
    # Off by less than 3 in 10 000 of its radius, as such circles are known to be.
    last = None
    for letter, places in ellipse(0, 0, 1, 1):
        if letter == "c":
            (a, b), (c, d, e, f, g, h) = last, places
            for t in (0.2, 0.5, 0.8):
                u = 1 - t
                x = u**3 * a + 3 * u * u * t * c + 3 * u * t * t * e + t**3 * g
                y = u**3 * b + 3 * u * u * t * d + 3 * u * t * t * f + t**3 * h
                assert math.hypot(x, y) == pytest.approx(1, abs=3e-4)
        if places:
            last = places[-2:]
    assert last == (1, 0)
