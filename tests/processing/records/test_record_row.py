"""Amount, area and dose: any two give the third, and three must agree."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.processing.records.record_row import completed

# agronomy.md I7 (a published rate): 50 g in 10 l over 16 m² is 3.125 g/m², so 180 m² take 562.5 g.
AMOUNT = {"amount": "562.5", "unit": "g"}
AREA = {"area_m2": "180"}
DOSE = {"dose": "3.125", "dose_unit": "g/m²"}
ALL = {**AMOUNT, **AREA, **DOSE}


@pytest.mark.parametrize(
    ("told", "worked_out"),
    [
        ({**AMOUNT, **AREA}, "dose"),
        ({**AMOUNT, **DOSE}, "area_m2"),
        ({**AREA, **DOSE}, "amount"),
    ],
)
def test_two_give_the_third(told, worked_out):
    found = completed(told, "iron_soluble", 500.0)
    assert found.cells == ALL
    assert found.how == {worked_out: "worked out"}


def test_what_is_not_said_of_the_area_is_the_whole_zone():
    found = completed(AMOUNT, "iron_soluble", 180.0)
    assert found.cells == ALL
    assert found.how == {"area_m2": "the whole zone", "dose": "worked out"}
    assert completed({}, "mowing", 180.004).cells == {"area_m2": "180"}
    assert completed({}, "mowing", math.nan).cells == {}
    assert completed(AMOUNT, "iron_soluble", 0.0).cells == AMOUNT


def test_three_that_do_not_agree_are_refused():
    assert completed({**ALL, "dose": "3.1"}, "iron_soluble", 500.0).how == {}
    with pytest.raises(InputRefused, match=r"562\.5 g on 180 m² is 3\.125 g/m²"):
        completed({**ALL, "dose": "5"}, "iron_soluble", 500.0)
    with pytest.raises(InputRefused, match="in g and dose in ml/m²"):
        completed({**ALL, "dose_unit": "ml/m²"}, "iron_soluble", 500.0)


def test_a_heap_that_came_off_has_no_dose():
    found = completed({"amount": "3000", "unit": "l"}, "clearing", 500.0)
    assert "dose" not in found.cells


def test_top_dressing_is_in_cubic_metres_and_litres_on_each():
    found = completed({"amount": "0.4", "unit": "m³"}, "top_dressing", 200.0)
    assert (found.cells["dose"], found.cells["dose_unit"]) == ("2", "l/m²")
    again = completed({"dose": "2", "dose_unit": "l/m²"}, "top_dressing", 200.0)
    assert (again.cells["amount"], again.cells["unit"]) == ("0.4", "m³")


@given(st.floats(1, 1e5), st.floats(1, 1e4))
def test_what_is_worked_out_always_agrees_with_the_rest(amount, area):
    told = {"amount": f"{amount:.8g}", "unit": "g", "area_m2": f"{area:.2f}"}
    made = completed(told, "iron_soluble", 1.0).cells
    dose = float(made["dose"])
    follows = float(told["amount"]) / float(told["area_m2"])
    assert dose == pytest.approx(follows, abs=5.1e-5, rel=1e-7)
    if dose >= 0.01:  # four decimals of a smaller one are too coarse to go back by
        assert completed(made, "iron_soluble", 1.0).how == {}
