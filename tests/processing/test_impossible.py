"""What cannot be is named with the way out; nothing asked for is dropped in silence."""

import datetime as dt

import pytest

from lawnmap.errors import InputRefused
from lawnmap.model import Machine, Product
from lawnmap.processing.impossible import impossible, refuse
from lawnmap.store import depot
from lawnmap.store import specification as written

WIDE = Machine("wide", "petrol", width_m=0.9, overall_width_m=1.1, speed_km_h=3, weight_kg=60)
GATE = {"feature": "access", "width_m": 1.0}
SEED = Product("Seed", "seed")


def told(lawn, *cards, zone=None, features=(), **choices):
    zones, things = lawn.zones(zone or {}), lawn.features(*features)
    specification = lawn.choices(*cards, **choices)
    worked = lawn.work(zones, specification, things)
    return impossible(worked.zones, things, worked.steps, specification)


def assert_one(lines, *words):
    found = [each for each in lines if all(word in each for word in words)]
    assert len(found) == 1, lines
    return found[0]


def test_nothing_is_said_of_a_plan_that_can_be(lawn):
    assert told(lawn, lawn.iron) == ()


def test_seed_wanted_inside_the_iron_interval(lawn):
    """The longest published wait is 42 days: 1 September and 42 days is 13 October."""
    season = {"today": dt.date(2027, 9, 1), "first_day": dt.date(2027, 9, 1)}
    line = assert_one(
        told(lawn, lawn.iron, last_day=dt.date(2027, 10, 1), **season), "inside the wait"
    )
    for word in ("2027-10-13", "2027-10-01", "Begin by 2027-08-20", "seed now"):
        assert word in line
    assert not told(lawn, lawn.iron, last_day=dt.date(2027, 10, 13), **season)
    assert not told(lawn, last_day=dt.date(2027, 10, 1), iron="not on this site", **season)


def test_a_last_day_before_the_first_is_refused():
    text = b"first_day = 2027-09-10\nlast_day = 2027-09-01\n"
    with pytest.raises(InputRefused, match=r"last_day: is before first_day.*Swap"):
        written.parse(text, products={}, machines={})


def test_days_past_the_season(lawn):
    gone = told(lawn, lawn.iron, last_day=dt.date(2026, 10, 31), today=dt.date(2026, 11, 20))
    assert "no day is left" in assert_one(gone, "2026-10-31, has passed")
    far = told(lawn, lawn.iron, first_day=dt.date(2029, 9, 1))
    assert "look for a slip" in assert_one(far, "2029-09-01", "two years")


def test_a_machine_wider_than_the_way_in(lawn):
    line = assert_one(
        told(lawn, own=[WIDE], machines=("wide",), features=[GATE]), "1.15 m", "1.00 m"
    )
    assert "narrower machine" in line
    assert not told(lawn, own=[WIDE], machines=("wide",), features=[{**GATE, "width_m": 1.2}])
    assert not told(lawn, own=[WIDE], machines=("wide",), features=[GATE, {"feature": "access"}])


def test_steps_in_the_way(lawn):
    steps = {"feature": "access", "width_m": 3.0, "steps": 4}
    line = assert_one(told(lawn, own=[WIDE], machines=("wide",), features=[steps]), "4 steps")
    assert "wide (60 kg)" in line
    assert "two people" in line
    level = {"feature": "access", "width_m": 3.0}
    assert not told(lawn, own=[WIDE], machines=("wide",), features=[steps, level])


def test_a_rate_above_the_upper_limit(lawn):
    """31.25 g/m² of 20.09 % iron is 6.28 g/m²; the upper limit without a second typing is 4."""
    card = lawn.card(rate_printed="500 g in 10 l over 16 m²")
    line = assert_one(told(lawn, card), "3.12 times the published rate")
    assert "rate_typed_again" in line
    assert "No iron is planned" in line


def test_a_pack_of_nothing_is_refused():
    card = b'[[product]]\nname = "A"\nform = "seed"\npacks = [{ size = 0, unit = "kg" }]\n'
    with pytest.raises(InputRefused, match=r"packs.*size: 0 is not allowed.*from 0\.001"):
        depot.parse_products(card)


@pytest.mark.parametrize(
    ("card", "choices", "words"),
    [
        ({"user": "professional"}, {}, ("professional users", "home users under products.iron")),
        ({"use_by": dt.date(2027, 2, 1)}, {}, ("past the last day", "in date")),
        ({"country": "IE"}, {}, ("another country", "where the site lies")),
        ({"country": ""}, {}, ("is not set", "Set country")),
        ({"authorised_for_moss": False}, {}, ("pricing only", "claims control of moss")),
        ({"applicators": ("spreader",)}, {}, ("is not put on with", "applicator.iron")),
    ],
)
def test_a_card_that_is_not_allowed_here(lawn, card, choices, words):
    assert_one(told(lawn, lawn.card(**card), products={"iron": "Moss iron"}, **choices), *words)


def test_an_applicator_that_does_not_suit_the_form(lawn):
    spreader = Machine("my spreader", "spreader", width_m=0.5)
    knapsack = Machine("my knapsack", "knapsack", tank_l=15)
    liquid = told(lawn, lawn.iron, own=[spreader], applicator={"iron": "my spreader"})
    assert_one(liquid, "my spreader does not put on what is soluble", "suits the form")
    sand = lawn.card(form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.0)
    dry = told(lawn, sand, own=[knapsack], applicator={"iron": "my knapsack"})
    assert_one(dry, "my knapsack does not put on what is lawn sand")
    seed = told(lawn, lawn.iron, own=[knapsack], applicator={"seed": "my knapsack"})
    assert_one(seed, "applicator.seed is my knapsack", "name a spreader")


def test_a_card_named_for_what_it_is_not_is_refused(lawn):
    with pytest.raises(InputRefused, match=r"products\.iron: Seed is seed"):
        refuse(lawn.choices(SEED, products={"iron": "Seed"}))
    refuse(lawn.choices(SEED, lawn.iron, products={"iron": "Moss iron", "seed": "Seed"}))


def test_operations_named_twice_or_against_each_other(lawn):
    twice = told(lawn, lawn.iron, operations=("iron_soluble", "raking", "raking"))
    assert_one(twice, "names raking twice", "planned once")
    both = told(lawn, lawn.iron, zones={"a": {"operations": ("raking", "scarifying")}})
    assert_one(both, "raking and scarifying", "leave the other out")
    assert not [each for each in both if "not planned" in each], "one of them is"


def test_a_form_of_iron_that_the_operations_do_not_name(lawn):
    lines = told(lawn, lawn.iron, operations=("iron_liquid", "raking", "clearing"))
    assert_one(lines, "goes on by iron_soluble", "add it")


@pytest.mark.parametrize(
    ("zone", "own", "choices", "words"),
    [
        ({"turf_type": "cricket square", "thatch_mm": 6.0}, ("lawn_sand",), {},
         ("lawn sand", "is soluble")),
        ({}, ("scarifying",), {}, ("scarifying", "to hand")),
        ({"moss_rating": 0, "thatch_rating": 0}, ("raking",), {}, ("raking", "Leave it alone")),
        ({}, ("iron_soluble",), {"iron": "not on this site"}, ("iron soluble", "not to be used")),
        ({}, ("top_dressing",), {}, ("top dressing", "top_dressing.wanted is false")),
        ({}, ("overseeding",), {"seeding": {"wanted": False}}, ("seeding.wanted is false",)),
    ],
)  # fmt: skip
def test_what_a_zone_asks_for_and_does_not_get(lawn, zone, own, choices, words):
    lines = told(lawn, lawn.iron, zone=zone, zones={"a": {"operations": own}}, **choices)
    assert_one(lines, "zones.a.operations", "not planned", *words)


@pytest.mark.parametrize(("rate", "said"), [(3.0, 1), (150.0, 1), (35.0, 0)])
def test_a_seed_rate_far_off(lawn, rate, said):
    lines = told(lawn, lawn.iron, seeding={"wanted": True, "rate_g_m2": rate})
    assert sum("seeding.rate_g_m2" in each for each in lines) == said


def test_seed_and_feed_that_are_past_or_for_others(lawn):
    old = Product("Old seed", "seed", use_by=dt.date(2026, 1, 1))
    feed = Product("Strong feed", "feed", nitrogen_pct=6, user="professional")
    lines = told(lawn, lawn.iron, old, feed, products={
        "iron": "Moss iron", "seed": "Old seed", "feed": "Strong feed",
    })  # fmt: skip
    assert_one(lines, "Old seed is past")
    assert_one(lines, "Strong feed is for professional users")
