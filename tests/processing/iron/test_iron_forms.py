"""Label cards with iron side by side: what each takes, and which is used and why."""

import datetime as dt

import numpy as np
import pytest

from lawnmap import schema
from lawnmap.days import Calendar
from lawnmap.logistics.work import Closed
from lawnmap.model import Machine
from lawnmap.processing.days.soonest import soonest
from lawnmap.processing.iron import iron_forms
from lawnmap.processing.iron.label_card import OPERATION
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.steps import steps
from lawnmap.reference import tables

EMPTY = Calendar()
CAN = Machine("can", "can", tank_l=10, water_l_m2=0.625, area_m2_h=200)
SPREADER = Machine("spreader", "spreader", width_m=0.5, area_m2_h=600)
RAKE = Machine("rake", "rake")


def sand(lawn, **changes):
    usual = {
        "name": "Sand", "form": "lawn sand", "rate_printed": "35 g/m²", "analysis_pct": 2.0,
        "packs": ((20_000.0, "g", 21.0),),
    }  # fmt: skip
    return lawn.card(**{**usual, **changes})


def liquid(lawn, **changes):
    usual = {
        "name": "Liquid", "form": "liquid", "rate_printed": "", "rate_ml_m2": 10.0,
        "water_l_m2": 0.1, "analysis_pct": 60, "analysis_basis": "g/l",
        "packs": ((5000.0, "ml", 30.0),),
    }  # fmt: skip
    return lawn.card(**{**usual, **changes})


def compared(lawn, *cards, zones=None, own=(CAN, SPREADER, RAKE), calendar=EMPTY, **choices):
    """Do as the job does: plan each card, then compare."""
    specification = lawn.choices(*cards, own=own, **choices)
    table = zones if zones is not None else lawn.zones()
    rows = []
    for card in iron_forms.cards(specification):
        if card.status != "do":
            rows.append(iron_forms.stopped_row(card))
            continue
        mine = iron_forms.with_iron(specification, card.product.name)
        judged = choose(table, lawn.features(), mine)
        own_steps = lawn.treatments()[OPERATION[card.form]].steps(judged, mine)
        whole = steps(judged, mine, lawn.treatments())
        first = soonest(whole, judged, mine, calendar)
        rows.append(iron_forms.form_row(card, judged, own_steps, mine, first))
    return iron_forms.compare(rows, specification).set_index("product")


def test_columns_are_those_of_the_schema(lawn):
    table = compared(lawn, lawn.iron, sand(lawn)).reset_index()
    assert list(table.columns) == schema.names("iron_forms")


def test_what_each_takes(lawn):
    """180 m²: 50 g in 10 l over 16 m² (I7) is 562.5 g and 112.5 l; 35 g/m² is 6.3 kg."""
    table = compared(lawn, lawn.iron, sand(lawn), liquid(lawn))
    iron = table.loc["Moss iron"]
    assert (iron["amount"], iron["water_l"], iron["cost"]) == (562.5, 112.5, 10.0)
    assert iron["cost_each"] == pytest.approx(10 / 180)
    assert iron["hours"] == pytest.approx(180 / 200)
    # A can of 10 l takes 50 g; scales in steps of 1 g tell that to 2 %.
    assert iron["accuracy_pct"] == pytest.approx(2.0)
    assert iron["accuracy_from"] == "scales, patches pegged out"
    dry = table.loc["Sand"]
    assert (dry["amount"], dry["water_l"], dry["packs"]) == (6300, 0.0, "1 × 20 kg")
    assert (dry["accuracy_pct"], dry["accuracy_from"]) == (5.0, "after a catch test")
    assert "watered in" in dry["keep_off"]
    # 10 ml/m² in 0.1 l/m²: a can of 10 l does 100 m² and takes 1 l, told to 10 ml.
    assert table.loc["Liquid", "accuracy_pct"] == pytest.approx(1.0)
    assert (iron["rake_days"], iron["seed_days"], iron["black_days"]) == (14, 42, "1 to 4")


def test_the_cheapest_is_used(lawn):
    table = compared(lawn, lawn.iron, sand(lawn), liquid(lawn))
    assert list(table["chosen"]) == [True, False, False]
    assert list(table["rule"]) == ["iron_form_cheapest", "iron_form_dearer", "iron_form_dearer"]


def test_labour_counts_where_an_hour_has_a_price(lawn):
    """0.9 h with the can against 0.6 h with the spreader, which goes over it twice."""
    table = compared(lawn, lawn.iron, sand(lawn, packs=((10_000.0, "g", 12.0),)),
                     money={"hour_rate": 30.0})  # fmt: skip
    assert table.loc["Moss iron", "cost"] == pytest.approx(10 + 0.9 * 30)
    assert table.loc["Sand", "cost"] == pytest.approx(12 + 2 * 0.3 * 30)
    assert table.loc["Sand", "chosen"]


def test_the_users_own_choice_stands(lawn):
    table = compared(lawn, lawn.iron, sand(lawn), products={"iron": "Sand"})
    assert list(table["chosen"]) == [False, True]
    assert list(table["rule"]) == ["iron_form_cheaper", "iron_form_own_choice"]


def test_a_choice_that_is_not_allowed_is_not_replaced(lawn):
    table = compared(lawn, lawn.card(country="IE"), sand(lawn), products={"iron": "Moss iron"})
    assert not table["chosen"].any()
    assert table.loc["Moss iron", "rule"] == "iron_card_country"
    assert np.isnan(table.loc["Moss iron", "amount"])


def test_coarse_scales_and_what_is_not_to_hand(lawn):
    """50 g on scales in steps of 10 g is off by up to 20 %."""
    coarse = compared(lawn, lawn.iron, sand(lawn), weighing={"scale_g": 10.0, "jug_ml": 10.0})
    assert coarse.loc["Moss iron", "accuracy_pct"] == pytest.approx(20)
    assert list(coarse["rule"]) == ["iron_form_coarse", "iron_form_cheapest"]
    no_can = compared(lawn, lawn.iron, sand(lawn), own=(SPREADER, RAKE))
    assert list(no_can["rule"]) == ["iron_form_no_equipment", "iron_form_cheapest"]
    nothing = compared(lawn, lawn.iron, sand(lawn), own=(RAKE,))
    assert nothing.loc["Moss iron", "rule"] == "iron_form_get"


def test_by_hand_is_never_accurate(lawn):
    hand = Machine("by hand", "hand", area_m2_h=150)
    table = compared(lawn, sand(lawn), own=(hand, RAKE), applicator={"iron": "by hand"})
    assert table.loc["Sand", "accuracy_pct"] == 25
    assert table.loc["Sand", "rule"] == "iron_form_only"


def test_what_cannot_go_everywhere_is_not_chosen(lawn):
    zones = lawn.zones({}, {"turf_type": "cricket square", "thatch_mm": 6.0})
    cheap = sand(lawn, packs=((20_000.0, "g", 1.0),))
    table = compared(lawn, lawn.iron, cheap, zones=zones)
    assert table.loc["Sand", "left_out_m2"] == 180
    assert list(table["rule"]) == ["iron_form_fits", "iron_form_left_out"]


def test_nitrogen_late_in_the_year(lawn):
    cheap = sand(lawn, nitrogen_pct=3.0, packs=((20_000.0, "g", 1.0),))
    august, september = dt.date(2027, 8, 20), dt.date(2027, 9, 2)
    assert compared(lawn, lawn.iron, cheap, today=august).loc["Sand", "chosen"]
    late = compared(lawn, lawn.iron, cheap, today=september)
    assert late.loc["Sand", "rule"] == "iron_form_late_nitrogen"


def test_without_prices_the_hours_decide_and_it_is_said(lawn):
    table = compared(lawn, lawn.card(packs=()), sand(lawn, packs=()))
    assert table.loc["Sand", "rule"] == "iron_form_unpriced"
    assert table.loc["Moss iron", "rule"] == "iron_form_no_price"


def test_a_form_that_no_operation_is_for(lawn):
    table = compared(lawn, lawn.iron, sand(lawn), operations=("iron_soluble", "raking"))
    assert table.loc["Sand", "rule"] == "iron_form_not_offered"


def test_a_feed_that_claims_nothing_is_not_compared(lawn):
    feed = sand(lawn, name="Feed", form="granule", authorised_for_moss=False)
    assert "Feed" not in compared(lawn, lawn.iron, feed).index


CHEAP = ((20_000.0, "g", 1.0),)
NOVEMBER = dt.date(2027, 11, 5)  # lawn sand is over on 31 October, spray on 30 November


def test_a_card_without_a_day_in_its_season_is_passed_over(lawn):
    """Sand is cheaper; on 5 November it would wait for another year, and spray would not."""
    cheap = sand(lawn, nitrogen_pct=0.0, packs=CHEAP)
    bare = {"seeding": {"wanted": False}}
    october = compared(lawn, lawn.iron, cheap, today=dt.date(2027, 10, 5), **bare)
    assert october.loc["Sand", "chosen"]
    for choices in ({}, {"last_day": dt.date(2027, 11, 30)}):
        late = compared(lawn, lawn.iron, cheap, today=NOVEMBER, **bare, **choices)
        assert list(late["chosen"]) == [True, False]
        assert list(late["rule"]) == ["iron_form_fits", "iron_form_no_day"]
        assert (late.loc["Sand", "no_day"], late.loc["Sand", "no_day_m2"]) == ("a", 180)
        said = tables.sentence("iron_form_no_day", {"product": "Sand", "no_day": "a"})
        assert "passed over: no day in its season on a" in said


def test_of_those_that_fit_the_cheapest_is_used(lawn):
    cheap = sand(lawn, nitrogen_pct=0.0, packs=CHEAP)
    table = compared(lawn, cheap, liquid(lawn), lawn.iron, today=NOVEMBER,
                     seeding={"wanted": False})  # fmt: skip
    assert table.loc["Moss iron", "rule"] == "iron_form_cheapest"
    assert table.loc["Liquid", "rule"] == "iron_form_dearer"


def test_where_no_card_has_a_day_the_cheapest_stands(lawn):
    cheap = sand(lawn, nitrogen_pct=0.0, packs=CHEAP)
    dear = sand(lawn, name="Dear", nitrogen_pct=0.0)
    table = compared(lawn, dear, cheap, today=NOVEMBER, last_day=dt.date(2027, 11, 30))
    assert list(table["rule"]) == ["iron_form_dearer", "iron_form_cheapest"]
    assert list(table["no_day"]) == ["", ""]


def test_a_card_whose_waits_leave_the_blades_without_a_day_is_passed_over(lawn):
    """From 15 September 28 days to the rake are 13 October; seeded ground is raked by the 10th."""
    slow = lawn.card(name="Slow", iron_to_rake_days=28, packs=((1000.0, "g", 1.0),))
    quick = lawn.card(name="Quick", iron_to_rake_days=7, iron_to_seed_days=14)
    table = compared(lawn, slow, quick, today=dt.date(2027, 9, 15))
    assert list(table["rule"]) == ["iron_form_no_day_waits", "iron_form_fits"]
    august = compared(lawn, slow, quick, today=dt.date(2027, 8, 15))
    assert august.loc["Slow", "chosen"]


def test_a_card_that_was_named_stays_and_its_season_is_told(lawn):
    cheap = sand(lawn, nitrogen_pct=0.0)
    table = compared(lawn, lawn.iron, cheap, today=NOVEMBER, seeding={"wanted": False},
                     products={"iron": "Sand"})  # fmt: skip
    assert list(table["chosen"]) == [False, True]
    assert table.loc["Sand", "rule"] == "iron_form_own_no_day"


def test_days_on_which_the_site_is_closed_count_too(lawn):
    """Closed from 1 to 30 November: then spray has no day either, and nothing speaks for it."""
    cheap = sand(lawn, nitrogen_pct=0.0, packs=CHEAP)
    shut = Calendar(closed=(Closed(NOVEMBER, dt.date(2027, 11, 30)),))
    table = compared(lawn, lawn.iron, cheap, today=NOVEMBER, calendar=shut,
                     seeding={"wanted": False})  # fmt: skip
    assert table.loc["Sand", "chosen"]
