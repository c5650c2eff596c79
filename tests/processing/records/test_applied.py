"""Planned against applied: sums, ranges, units, and what belongs to the plan."""

import datetime as dt

import pandas as pd
import pytest

from lawnmap.processing.records.applied import COLUMNS, applied
from lawnmap.processing.records.applied_words import sentence

ISSUED = dt.date(2026, 9, 14)


def step(operation="iron_soluble", zone_id="a", **more):
    usual = {"status": "do", "amount_low": 400.0, "amount": 500.0, "unit": "g", "area_m2": 160.0}
    return {"zone_id": zone_id, "operation": operation, **usual, **more}


def work(operation="iron_soluble", zone_id="a", date="2026-09-20", **more):
    usual = {"record_id": "", "issued_id": "", "amount": "", "unit": "", "area_m2": ""}
    return {**usual, "zone_id": zone_id, "operation": operation, "date": date, **more}


def held(steps, record):
    return applied(steps, record, issued_id="abc", since=ISSUED)


def only(steps, record):
    (row,) = held(steps, record).to_dict("records")
    return row, sentence(row)


@pytest.mark.parametrize(
    ("amount", "unit", "difference", "words"),
    [
        ("450", "g", 0, "planned 400 to 500 g on 160 m²; recorded on 2026-09-20 with 450 g on "
         "150 m²: as planned"),
        ("550", "g", 50, ": 50 g (10 %) more than planned at most"),
        ("0.3", "kg", -100, " with 300 g on 150 m²: 100 g (25 %) less than planned at least"),
        ("501", "g", 1, ": as planned"),  # 0.2 % is nobody's scale
        ("5", "l", None, "recorded on 2026-09-20 on 150 m²"),  # not to be told in grams
        ("", "", None, "recorded on 2026-09-20 on 150 m²"),
    ],
)  # fmt: skip
def test_an_amount(amount, unit, difference, words):
    row, said = only([step()], [work(amount=amount, unit=unit, area_m2="150")])
    assert said.endswith(words)
    if difference is None:
        assert pd.isna(row["difference"])
    else:
        assert row["difference"] == pytest.approx(difference)


def test_two_applications_are_summed_and_the_ground_is_not():
    steps = [step(), step(amount_low=0.0)]
    record = [work(amount="500", unit="g"), work(amount="450", unit="g", date="2026-10-20")]
    row, said = only(steps, record)
    assert (row["planned"], row["applied"], row["planned_area_m2"]) == (1000, 950, 160)
    assert said == (
        "planned 400 to 1,000 g on 160 m² in 2 applications; recorded 2 times, on 2026-09-20, "
        "2026-10-20 with 950 g: as planned"
    )


def test_what_was_not_done_and_what_was_not_planned():
    table = held([step(), step("leave it alone", "b")], [work("mowing", "b")])
    assert list(table.columns) == list(COLUMNS)
    rows = table.to_dict("records")
    assert [sentence(row) for row in rows] == [
        "planned 400 to 500 g on 160 m², not recorded",
        "not planned; recorded on 2026-09-20",
    ]
    nothing = {"amount_low": None, "amount": None}
    assert only([step("mowing", **nothing)], [])[1] == "planned, not recorded"


def test_what_was_not_to_be_done_counts_only_when_it_was():
    stopped = step(status="not set: do not apply", amount=None, amount_low=None)
    assert held([stopped], []).empty
    said = only([stopped], [work(amount="9", unit="g")])[1]
    assert said == "not planned (not set: do not apply); recorded on 2026-09-20 with 9 g"


def test_what_belongs_to_the_plan():
    record = [
        work(date="2026-09-13", amount="1", unit="g"),
        work(date="2026-09-13", amount="20", unit="g", issued_id="abc"),
        work(amount="300", unit="g", issued_id="other"),
        work(amount="4000", unit="g", record_id="wrong"),
        work("", record_id="back", cancels="wrong"),
        work(amount="50000", unit="g"),
    ]
    assert only([step()], record)[0]["applied"] == 50020


def test_one_price_is_no_range():
    said = only([step(amount_low=None)], [work(amount="550", unit="g")])[1]
    assert said.startswith("planned 500 g on 160 m²; ")
    assert said.endswith(": 50 g (10 %) more than planned")


def test_a_cell_that_is_no_number_is_no_amount():
    assert pd.isna(only([step()], [work(amount="a lot", unit="g")])[0]["applied"])
    assert held([], []).empty
