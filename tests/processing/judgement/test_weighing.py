"""Blades weighed over the whole site. Prices are invented; the sums stand beside them."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.model import Machine
from lawnmap.processing.impossible import impossible
from lawnmap.processing.judgement.choose import choose
from lawnmap.treatments.bladed import effort

RAKE = Machine("rake", "rake")
ELECTRIC = Machine("electric", "electric", width_m=0.3, speed_km_h=2.0, field_efficiency=0.6,
                   box_l=50.0)  # fmt: skip
HIRED = Machine("hired", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7,
                hire_a_day=150.0)  # fmt: skip
NINETY = {"ground_area_m2": 90, "moss_rating": 3, "thatch_rating": 1}
PRICED = {"money": {"hour_rate": 30.0}}


def judged(lawn, *own, zones=1, zone=None, of_zones=None, **choices):
    rows = [{**NINETY, **(zone or {}), "zone_id": name} for name in "abc"[:zones]]
    choices = lawn.choices(own=own, zones=of_zones, **choices)
    return choose(lawn.zones(*rows), lawn.features(), choices, effort)


def blades(found):
    return sorted(set(found["blades"])), sorted(set(found["blades_rule"]))


def test_a_day_of_hire_is_not_worth_one_small_zone(lawn):
    # By rake 90 m² × 2 ÷ 46.5 and ÷ 18.6 m²/h are 3.87 and 9.68 h, 6.12 h in the middle: 183.60.
    # Hired 180 ÷ 798 and getting ready are 0.48 to 0.73 h, 0.59 h: 17.60 and 150, which saves 16.
    found = judged(lawn, RAKE, HIRED, **PRICED)
    assert blades(found) == (["rake"], ["blades_by_area"])
    told = found["blades_weighed"].iloc[0]
    assert "rake 6.1 h, 183.6" in told
    assert "hired 0.6 h, 17.6" in told
    assert "and hire" in told
    assert found["blades_others"].iloc[0] == "hired"


def test_two_zones_share_the_day_of_hire(lawn):
    # By rake 367; hired about 25 and one day, 150: 192 less, and 2 h are worth 60.
    found = judged(lawn, RAKE, HIRED, zones=2, **PRICED)
    assert blades(found) == (["hired"], ["blades_by_cost"])
    assert found["blades_others"].iloc[0] == "rake"


def test_least_days_and_bringing_count(lawn):
    # 3 days are 450, more than both zones by rake; and so are 150 and 200 for bringing it.
    for dear in (replace(HIRED, hire_least_days=3), replace(HIRED, hire_delivery=200.0)):
        found = judged(lawn, RAKE, dear, zones=2, **PRICED)
        assert blades(found) == (["rake"], ["blades_by_area"])


def test_a_machine_is_hired_for_as_long_as_clearing_takes(lawn):
    # 540 to 1,170 l at 600 and 200 l/h are 0.9 to 5.9 h, 2.3 in the middle; with 0.6 h of blades
    # that are two evenings of 2 h: 60 a day are 120, and the rake is 184 against 138.
    evenings = {"crew": {"people": 1, "hours_a_day": 2.0, "hours_planned": "middle"}}
    day = replace(HIRED, hire_a_day=60.0)
    assert blades(judged(lawn, RAKE, day, **PRICED))[0] == ["hired"]
    assert blades(judged(lawn, RAKE, day, **PRICED, **evenings))[0] == ["rake"]


def test_without_the_price_of_an_hour_time_decides(lawn):
    found = judged(lawn, RAKE, HIRED)
    assert blades(found) == (["hired"], ["blades_by_time"])
    assert "rake 6.1 h" in found["blades_weighed"].iloc[0]
    # An hour that costs nothing is worth no hire.
    assert blades(judged(lawn, RAKE, HIRED, money={"hour_rate": 0.0}))[0] == ["rake"]


def test_an_hour_saved_does_not_turn_the_usual_choice(lawn):
    # One pass over 54 m²: 1.9 h by rake, about 1 h with an electric machine and its box.
    small = {"ground_area_m2": 54, "sun_hours_seen": 5}
    assert blades(judged(lawn, RAKE, ELECTRIC, zone=small))[0] == ["rake"]
    assert blades(judged(lawn, RAKE, ELECTRIC))[0] == ["electric"]


def test_a_large_lawn_stays_with_what_one_has_when_hire_is_dear(lawn):
    large = {"ground_area_m2": 250}
    dear = replace(HIRED, hire_a_day=900.0)
    found = judged(lawn, ELECTRIC, dear, zone=large, **PRICED)
    assert blades(found) == (["electric"], ["blades_by_cost"])
    # Size alone would say petrol above 200 m².
    without = choose(
        lawn.zones({**NINETY, **large}), lawn.features(),
        lawn.choices(own=[ELECTRIC, dear], **PRICED),
    )  # fmt: skip
    assert without["blades"].tolist() == ["hired"]


def test_what_is_named_wins_wherever_it_may_go(lawn):
    found = judged(lawn, RAKE, HIRED, zones=2, blades="rake", **PRICED)
    assert blades(found) == (["rake"], ["blades_named"])
    one = judged(lawn, RAKE, HIRED, zones=2, of_zones={"a": {"blades": "rake"}}, **PRICED)
    assert one.loc["a", "blades"] == "rake"
    steep = judged(lawn, RAKE, HIRED, zone={"slope_deg": 20}, blades="hired", **PRICED)
    assert blades(steep) == (["rake"], ["blades_slope"])


@pytest.mark.parametrize(
    ("choices", "reason"),
    [
        ({"blades": "hired"}, "20° is steeper than a machine to hand may work across"),
        ({"blades": "hired", "operations": ["raking"]}, "operations leaves scarifying out"),
        ({"blades": "knapsack sprayer, 15 l"}, "no rake or scarifier to hand"),
    ],
)
def test_what_is_named_and_cannot_be_is_said(lawn, choices, reason):
    choices = lawn.choices(own=[RAKE, HIRED], **choices)
    made = lawn.work(lawn.zones({**NINETY, "slope_deg": 20}), choices)
    told = "\n".join(impossible(made.zones, lawn.features(), made.steps, choices))
    assert reason in told
    assert "on a rake is planned" in told


def test_machines_of_no_make_are_not_weighed(lawn):
    found = choose(lawn.zones(NINETY), lawn.features(), lawn.choices(), effort)
    assert found["blades_rule"].tolist() == ["blades_by_area"]
    assert found["blades_weighed"].tolist() == [""]


@settings(max_examples=15)
@given(
    areas=st.lists(st.integers(20, 600), min_size=1, max_size=3),
    prices=st.lists(st.integers(10, 300), min_size=1, max_size=3),
    rate=st.sampled_from([None, 0.0, 12.0, 40.0]),
)
def test_no_single_machine_on_its_own_beats_the_choice_by_what_is_worth_a_change(
    lawn, areas, prices, rate
):
    own = [RAKE, ELECTRIC, *(replace(HIRED, name=f"hired {n}", hire_a_day=float(price))
                             for n, price in enumerate(prices))]  # fmt: skip
    money = {"money": {"hour_rate": rate}}
    rows = [{**NINETY, "zone_id": "abc"[n], "ground_area_m2": a} for n, a in enumerate(areas)]

    def total(machines):
        choices = lawn.choices(own=machines, **money)
        found = choose(lawn.zones(*rows), lawn.features(), choices, effort)
        sums = 0.0
        for name, group in found.groupby("blades"):
            machine = next(each for each in machines if each.name == name)
            low, high, *clear = effort(group, machine, group["passes"].to_numpy(), choices)
            hours = math.fsum((low * high) ** 0.5)
            # What comes off is cleared on the days of the blades.
            days = math.ceil((hours + math.fsum((clear[0] * clear[1]) ** 0.5)) / 7 - 1e-9)
            sums += hours * (1 if rate is None else rate)
            sums += days * (machine.hire_a_day or 0.0) * (rate is not None)
        return sums

    # Hours of getting ready are shared as the zones are: half an hour a machine at the most.
    slack = (2 + 0.5 * len(own)) * (1 if rate is None else rate) + 1e-6
    best = total(own)
    assert all(best <= total([each]) + slack for each in own)
