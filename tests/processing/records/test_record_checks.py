"""A piece of work against its label and against what was done before: nothing passes unsaid."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.model import Product
from lawnmap.processing.records.record_checks import Label, iron_g_m2, iron_total, warnings
from lawnmap.processing.records.record_slips import of_area, of_day, twice
from lawnmap.reference import tables

IRON = Product(
    "X", "soluble", authorised_for_moss=True, least_days_between=28, most_doses_a_year=2,
    iron_to_seed_days=42, seed_to_iron_days=180, use_by=dt.date(2026, 12, 31),
)  # fmt: skip


def labels(card=IRON, per_m2=3.125, unit="g", **iron):
    return {card.name: Label(card, per_m2, unit, {"g": 0.2, "ml": None, **iron})}


def row(date="2026-09-14", operation="iron_soluble", product="X", **cells):
    return {
        "record_id": "new", "zone_id": "a", "operation": operation, "date": date,
        "product": product, **cells,
    }  # fmt: skip


def told(new, *others, of=None):
    return " ".join(warnings(new, others, labels() if of is None else of))


@pytest.mark.parametrize(("dose", "over"), [("3.125", False), ("3.14", False), ("3.15", True)])
def test_a_dose_above_the_label_is_told(dose, over):
    assert ("above the label's rate" in told(row(dose=dose, dose_unit="g/m²"))) is over


def test_a_dose_in_the_other_unit_is_compared_by_density_or_said_not_to_be():
    new = row(dose="2.6", dose_unit="g/m²")
    assert "were not compared" in told(new, of=labels(unit="ml", per_m2=2.0))
    dense = Product("X", "soluble", authorised_for_moss=True, density_kg_l=1.25)
    # 2 ml/m² of 1.25 kg/l are 2.5 g/m²
    assert "rate, 2.5 g/m²: 1.04 times" in told(new, of=labels(dense, unit="ml", per_m2=2.0))
    thin = row(dose="2", dose_unit="ml/m²")
    assert warnings(thin, (), labels(dense, unit="g", per_m2=2.5)) == []


@pytest.mark.parametrize(
    ("before", "said"), [("2026-08-17", ""), ("2026-08-18", "27 days between"),
                         ("2026-10-01", "17 days between"), ("2026-09-14", "0 days between")]
)  # fmt: skip
def test_the_least_days_between_doses_hold_on_either_side(before, said):
    found = told(row(), row(before, record_id="old"))
    assert said in found
    assert bool(said) == ("its label wants 28" in found)


def test_another_product_and_another_zone_do_not_count_and_an_unnamed_one_does():
    assert told(row(), row("2026-09-10", product="Y")) == ""
    assert told(row(), {**row("2026-09-10"), "zone_id": "b"}) == ""
    assert "names no product" in told(row(), row("2026-09-10", product=""))


def test_more_doses_than_the_label_allows_in_a_year_are_told():
    year = [row("2026-03-01"), row("2026-05-01")]
    assert "application 3 of X on a in 2026, and its label allows 2" in told(row(), *year)
    assert told(row(), row("2025-03-01"), row("2026-05-01")) == ""


@pytest.mark.parametrize(
    ("iron_on", "seed_on", "said"),
    [
        ("2026-08-03", "2026-09-14", ""),
        ("2026-08-04", "2026-09-14", "41 days after the iron of 2026-08-04: its label wants 42"),
        ("2026-09-14", "2026-09-14", "0 days after the iron"),
        ("2026-09-14", "2026-03-18", ""),
        ("2026-09-14", "2026-03-19", "179 days after the seed of 2026-03-19: its label wants 180"),
    ],
)
def test_seed_and_iron_keep_apart_in_either_order_whichever_is_recorded_last(
    iron_on, seed_on, said
):
    iron, seed = row(iron_on), row(seed_on, "overseeding", "")
    for new, other in ((iron, seed), (seed, iron)):
        found = told(new, other)
        assert said in found
        assert bool(said) == ("wants" in found)


@given(st.integers(-400, 400), st.booleans())
def test_seed_inside_an_interval_is_never_passed_over(gap, seed_is_new):
    start = dt.date(2026, 6, 1)
    iron = row(start.isoformat())
    seed = row((start + dt.timedelta(gap)).isoformat(), "overseeding", "")
    new, other = (seed, iron) if seed_is_new else (iron, seed)
    inside = 0 <= gap < 42 or -180 < gap < 0
    assert bool(warnings(new, [other], labels())) == inside


def test_the_nearest_iron_does_not_hide_one_with_a_longer_wait():
    quick = Product("Q", "soluble", authorised_for_moss=True, iron_to_seed_days=7)
    both = labels() | labels(quick)
    seed = row("2026-09-14", "overseeding", "")
    found = told(seed, row("2026-08-20"), row("2026-09-05", product="Q"), of=both)
    assert "25 days after the iron of 2026-08-20: its label wants 42" in found


def test_without_a_label_the_longest_published_wait_holds_and_new_grass_gets_no_iron():
    seed = row("2026-09-14", "overseeding", "")
    found = told(seed, row("2026-08-20", product=""), of={})
    # practice.md 1, change 4: 4 to 6 weeks (a nursery's page, read), of which the longest
    assert "the longest published wait is 42" in found
    assert tables.interval("iron", "seed").usual_days == 42
    open_ = Product("X", "soluble", authorised_for_moss=True)
    assert "do not apply" in told(row(), row("2025-01-01", "overseeding"), of=labels(open_))


def test_the_card_itself_is_looked_at():
    late = row("2027-01-01")
    assert "approval of X ended on 2026-12-31" in told(late)
    assert "that is iron_soluble, not iron_liquid" in told(row(operation="iron_liquid"))
    assert "claims no control of moss" in told(row(), of=labels(Product("X", "soluble")))
    assert "X is soluble by its card" in told(row(operation="overseeding"))
    assert "held against no label" in told(row(product="Z"))
    # values.csv wind_stop_force: Beaufort table for spraying, Victoria, read
    assert "nothing is to be sprayed" in told(row(wind_force="4"))
    assert told(row(wind_force="3")) == ""


def test_iron_adds_up_over_the_year_and_what_is_not_known_is_counted():
    dosed = row(dose="3.125", dose_unit="g/m²")
    assert iron_g_m2(dosed, labels()) == pytest.approx(0.625)
    others = [{**dosed, "date": "2026-03-01"}, {**dosed, "date": "2025-12-31"}]
    assert iron_total(dosed, others, labels()) == (
        "Elemental iron on a in 2026: 1.25 g/m² in 2 applications."
    )
    unknown = iron_total(dosed, [row("2026-02-01", product="")], labels())
    assert unknown.endswith("in 1 application, and 1 application of which the iron is not known.")
    assert iron_total(row(operation="mowing", product=""), others, labels()) == ""


def test_slips_of_area_day_and_twice():
    whole = {"area_m2": "the whole zone", "dose": "worked out"}
    assert "say area=" in of_area(row(area_m2="500", dose="1"), whole, 500, 5)[0]
    assert of_area(row(area_m2="509"), {}, 500, 5) == []
    assert "more than a has" in of_area(row(area_m2="511"), {}, 500, 5)[0]
    day = dt.date(2026, 9, 20)
    assert of_day(row(start_time="08:00", end_time="09:00"), day) == []
    assert "look at the year" in of_day(row("2025-09-14"), day)[0]
    assert "before it began" in of_day(row(start_time="10:00", end_time="09:00"), day)[0]
    assert "as old" in twice(row(), [{**row(), "record_id": "old", "batch": ""}])[0]
    assert twice(row(batch="2"), [row()]) == []
