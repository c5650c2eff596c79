"""The report of control points reads like a surveyor's."""

import json
from pathlib import Path

import pytest

from lawnmap.cli import agreement_text
from lawnmap.files.json_text import dumps
from lawnmap.jobs.control import from_sheet, from_texts
from lawnmap.processing.position.control import agree

PLANS = Path(__file__).parents[2] / "sample_geo" / "plans"


def made(name="control.csv", kind="similarity", **said):
    return agree(from_sheet(PLANS / name, kind=kind), **said)


def test_residuals_are_metres_on_the_ground_with_a_direction():
    lines = agreement_text.report(made()).splitlines()
    assert lines[0].split("  ")[0] == "control point"
    assert lines[3].split() == ["back", "wall", "0.030", "-0.006", "-0.029", "S"]
    assert lines[5] == "Fit: similarity of 4 points, turned 16.95° anticlockwise."
    assert lines[6].startswith("Scale: one unit of the plan is 1.00006 m on the ground (±0.05%")
    assert "Root mean square 0.022 m" in lines[7]
    assert lines[-1] == "No point stands out; the largest residual is 0.030 m, at back wall."


@pytest.mark.parametrize(
    ("east", "north", "words"),
    [(0, 1, "N"), (1, 1, "NE"), (1, 0.1, "E"), (-1, -1, "SW"), (-0.1, 1, "N"), (1e-4, 0, "")],
)
def test_directions(east, north, words):
    assert agreement_text.towards(east, north) == words


def test_a_slip_is_named_with_what_to_do():
    assert agreement_text.advice(made("control_slip.csv")) == (
        "back wall is 4.06 m off and the others agree within 0.01 m without it: check its typing, "
        "or leave it out."
    )


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [
        (
            "control_three.csv",
            "similarity",
            "Three points cannot tell which one is wrong; add a fourth.",
        ),
        ("control.csv", "affine", "Four points cannot tell which one is wrong; add a fifth."),
        ("control_three.csv", "affine", "No check: three points always fit"),
    ],
)
def test_with_few_points_it_says_what_cannot_be_told(name, kind, words):
    assert words in agreement_text.report(made(name, kind))


def test_two_points_are_no_check():
    exact = agree(from_texts(("0,0=1.9,53.4", "40,0=1.9006,53.4")))
    text = agreement_text.report(exact)
    assert "No check: two points always fit" in text
    assert "Add a third and a fourth." in text
    assert "±" not in text


def test_an_affine_tells_both_scales():
    assert "Along x 1.00041, along y 1.00024; the axes lean by 0.12°." in agreement_text.report(
        made(kind="affine")
    )


def test_of_a_picture_the_scale_is_that_of_a_pixel():
    text = agreement_text.report(made("garden_control.csv", picture=True))
    assert "one pixel is 0.0549" in text
    assert "clockwise" in text


def test_json_holds_the_same():
    told = json.loads(dumps(agreement_text.data(made("control_slip.csv"))))
    assert told["suspect"]["name"] == "back wall"
    assert told["suspect"]["off_m"] == pytest.approx(4.06, abs=0.005)
    assert told["residuals_m"][2]["name"] == "back wall"
    assert told["advice"] == agreement_text.advice(made("control_slip.csv"))
    exact = json.loads(dumps(agreement_text.data(made("control_three.csv", "affine"))))
    assert (exact["checked"], exact["rmse_m"], exact["scale_sigma"]) == (False, None, None)
    assert {"scale_x", "scale_y", "shear_deg"} <= set(exact)
