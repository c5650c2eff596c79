"""Iron on record counts against the label's number for a year."""

import pytest

from lawnmap.processing.iron.year_doses import year_doses
from lawnmap.processing.records.done import done


def row(date, operation="iron_soluble", zone_id="a", product="Other iron"):
    return {"zone_id": zone_id, "operation": operation, "date": date, "product": product}


def left_to_do(lawn, record, **label):
    specification = lawn.choices(lawn.card(**{"least_days_between": 28, **label}))
    steps = lawn.work(lawn.zones({"moss_rating": 5}), specification).steps
    marked = done(steps, [], since=None)
    found = year_doses(marked.steps, record, specification)
    iron = found[found["operation"] == "iron_soluble"]
    return list(iron["status"]), found


@pytest.mark.parametrize(
    ("record", "statuses"),
    [
        ([], ["do", "do"]),
        ([row("2027-01-15")], ["do", "not allowed"]),
        ([row("2027-01-15"), row("2027-02-20")], ["not allowed", "not allowed"]),
        ([row("2026-12-15")], ["do", "do"]),
        ([row("2027-01-15", "lawn_sand")], ["do", "not allowed"]),
        ([row("2027-01-15", "overseeding"), row("2027-01-15", zone_id="b")], ["do", "do"]),
    ],
)
def test_two_a_year(lawn, record, statuses):
    assert left_to_do(lawn, record, most_doses_a_year=2)[0] == statuses


def test_a_label_that_names_no_number_allows_one(lawn):
    assert left_to_do(lawn, [], most_doses_a_year=None)[0] == ["do"]
    said, steps = left_to_do(lawn, [row("2027-01-15")], most_doses_a_year=None)
    assert said == ["not allowed"]
    iron = steps.set_index("operation").loc["iron_soluble"]
    assert iron["rule"] == "iron_none_year"
    assert iron[["dose", "amount", "water_l"]].isna().all()
    assert "do not apply" in iron["remark"]


def test_what_the_plan_itself_has_done_counts_too(lawn):
    specification = lawn.choices(lawn.card(least_days_between=28, most_doses_a_year=2))
    steps = lawn.work(lawn.zones({"moss_rating": 5}), specification).steps
    marked = done(steps, [row("2027-02-01")], since=None)
    found = year_doses(marked.steps, [row("2027-01-02")], specification)
    iron = found[found["operation"] == "iron_soluble"]
    assert list(iron["status"]) == ["done", "not allowed"]
