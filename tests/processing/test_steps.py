"""The order of work and the waits in it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap import schema
from lawnmap.model import Machine
from lawnmap.pages.words import known

PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)


def test_the_order_of_a_small_lawn(lawn):
    worked = lawn.work(
        lawn.zones({"compaction": "hard"}),
        lawn.choices(lawn.iron, top_dressing={"wanted": True, "reason": "hollows"}),
    )
    assert worked.operations() == [
        "mowing", "iron_soluble", "raking", "clearing", "aerating", "overseeding", "top_dressing",
        "feeding", "watering", "first_cut",
    ]  # fmt: skip
    assert list(worked.steps["sequence"]) == list(range(1, 11))
    assert list(worked.steps.columns) == schema.names("steps")
    assert (
        dict(zip(worked.steps["operation"], worked.steps["kind"], strict=True))["raking"] == "hand"
    )


def test_a_lawn_in_order_is_left_alone_in_one_row(lawn):
    """practice.md (c) 7: moss rating 1 and thatch 5 mm."""
    worked = lawn.work(
        lawn.zones({"moss_rating": 1, "thatch_rating": None, "thatch_mm": 5}, {}),
        lawn.choices(lawn.iron),
    )
    assert worked.operations("a") == ["leave it alone"]
    row = worked.step("leave it alone")
    assert row["rule"] == "leave_alone"
    assert "Leave it alone" in row["remark"]
    assert set(worked.loads["zone_id"]) == {"b"}


@pytest.mark.parametrize(
    ("zone", "rule"),
    [
        ({"sun_hours_seen": 2, "moss_rating": 5}, "not_for_grass"),
        ({"moss_rating": 1, "thatch_mm": 5}, "leave_alone"),
    ],
)
def test_other_reasons_to_do_nothing(lawn, zone, rule):
    worked = lawn.work(lawn.zones(zone), lawn.choices(lawn.iron))
    assert worked.step("leave it alone")["rule"] == rule
    assert worked.totals.empty


@pytest.mark.parametrize(
    ("zone", "rule"),
    [
        ({"moss_rating": None, "thatch_rating": None}, "not_rated"),
        ({"moss_rating": None, "thatch_rating": 0}, "half_rated"),
        ({"turf_type": "cricket square", "thatch_rating": 2}, "thatch_not_measured"),
    ],
)
def test_a_zone_that_nobody_rated_is_not_told_to_be_left_alone(lawn, zone, rule):
    worked = lawn.work(lawn.zones(zone), lawn.choices(lawn.iron))
    assert worked.operations() == ["rate it first"]
    assert worked.step("rate it first")["rule"] == rule
    assert known("operation", "rate it first") == "Not rated yet: nothing is planned"
    assert worked.totals.empty


def test_a_plan_without_iron_is_whole(lawn):
    with_iron = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    without = lawn.work(lawn.zones(), lawn.choices(lawn.iron, iron="not on this site"))
    assert without.operations() == [
        each for each in with_iron.operations() if each != "iron_soluble"
    ]
    assert without.loads.empty
    assert not any("Iron" in each for each in without.cautions)
    assert without.step("raking")["wait_days"] == 1


def test_waits_of_the_label_beat_the_usual_ones(lawn):
    usual = lawn.work(lawn.zones(), lawn.choices(lawn.iron))
    assert usual.step("raking")["wait_days"] == 14
    # 14 to the blades, so 28 more to the 42 of the longest published (4 to 6 weeks).
    assert usual.step("overseeding")["wait_days"] == 28
    assert usual.step("overseeding")["remark"].startswith("not before 42 days after iron")
    card = lawn.card(iron_to_rake_days=10, iron_to_seed_days=10)
    own = lawn.work(lawn.zones(), lawn.choices(card))
    assert own.step("raking")["wait_days"] == 10
    assert own.step("overseeding")["wait_days"] == 0


def test_iron_after_a_petrol_machine_and_seed_after_both(lawn):
    worked = lawn.work(lawn.zones({"ground_area_m2": 900.0}), lawn.choices(lawn.iron, own=[PETROL]))
    names = worked.operations()
    assert names.index("scarifying") < names.index("iron_soluble") < names.index("overseeding")
    assert worked.step("iron_soluble")["wait_days"] == 14
    assert worked.step("overseeding")["wait_days"] == 42


def test_nothing_waits_for_what_is_not_done(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(lawn.card(country="IE")))
    iron = worked.step("iron_soluble")
    assert (iron["status"], iron["rule"]) == ("not allowed", "iron_card_country")
    assert iron["wait_days"] != iron["wait_days"]
    assert worked.step("raking")["wait_days"] == 1


def test_a_zone_has_its_own_operations(lawn):
    choices = lawn.choices(lawn.iron, zones={"b": {"operations": ("raking", "clearing")}})
    worked = lawn.work(lawn.zones({}, {}), choices)
    assert worked.operations("b") == ["raking", "clearing"]
    assert len(worked.operations("a")) > 4


def test_an_operation_of_a_stranger_comes_last(lawn):
    class Stranger:
        TITLE, KIND = "Brushing", "hand"

        @staticmethod
        def steps(zones, specification):
            import pandas as pd

            return pd.DataFrame({"zone_id": zones.index, "rule": "", "status": "do"})

    from lawnmap.processing.judgement.choose import choose
    from lawnmap.processing.steps import steps

    choices = lawn.choices(operations=("brushing", "raking"))
    zones = choose(lawn.zones(), lawn.features(), choices)
    found = steps(zones, choices, {"brushing": Stranger, **lawn.treatments()})
    assert list(found["operation"]) == ["raking", "brushing"]
    assert list(found["kind"]) == ["hand", "hand"]


@settings(max_examples=20, deadline=None)
@given(
    st.integers(0, 60), st.integers(0, 60), st.integers(0, 120), st.integers(0, 5), st.booleans()
)
def test_seed_never_falls_inside_the_wait_for_iron(lawn, between, to_rake, to_seed, moss, petrol):
    card = lawn.card(
        most_doses_a_year=3, least_days_between=between, iron_to_rake_days=to_rake,
        iron_to_seed_days=to_seed,
    )  # fmt: skip
    own = [PETROL] if petrol else ()
    steps = lawn.work(lawn.zones({"moss_rating": moss}), lawn.choices(card, own=own)).steps
    # One that is only made if moss is still green is waited for when it is on record.
    repeats = steps["rule"] == "iron_repeat"
    assert (steps.loc[repeats, "wait_days"] >= between).all()
    rows = steps[~repeats]
    day = rows["wait_days"].fillna(0.0).cumsum()
    iron, seed = (rows["operation"] == name for name in ("iron_soluble", "overseeding"))
    if iron.any() and seed.any():
        assert day[seed].min() - day[iron].max() >= to_seed
        assert rows.index[seed].min() > rows.index[iron].max(), "no iron on new seed"
