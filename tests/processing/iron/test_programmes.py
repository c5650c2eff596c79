"""Three ways out of an autumn that is too short, with their days, north and south."""

import datetime as dt

import pytest

from lawnmap.jobs.deciding import decided
from lawnmap.processing.iron.programmes import chain

LABEL = {"seed_to_iron_days": 150, "iron_to_rake_days": 14, "iron_to_seed_days": 42}


def made(lawn, day, zone=None, south=False, card=None, **choices):
    zones = lawn.zones(zone or {})
    if south:
        zones = zones.set_geometry(zones.geometry.scale(1, -1, origin=(0, 0, 0)))
    label = lawn.card(**{**LABEL, **(card or {})})
    specification = lawn.choices(label, first_day=day, **{"today": day, **choices})
    return decided(zones, lawn.features(), specification, lawn.treatments())


def rows(found):
    return found.programmes.set_index("programme")


def test_an_autumn_that_is_long_enough_offers_nothing(lawn):
    """Seed by 10 October, less 42 days: iron on 29 August still does."""
    assert made(lawn, dt.date(2027, 8, 28)).programmes.empty
    assert not made(lawn, dt.date(2027, 8, 30)).programmes.empty


def test_the_three_ways_side_by_side(lawn):
    table = rows(made(lawn, dt.date(2027, 9, 10)))
    assert list(table.index) == ["spring iron", "seed now", "iron now"]
    spring = table.loc["spring iron"]
    assert (spring["iron_from"], spring["blades_from"]) == ("2028-03-01", "2028-03-15")
    assert (spring["seed_from"], spring["seed_to"]) == ("2028-08-15", "2028-10-10")
    now = table.loc["seed now"]
    assert (now["seed_from"], now["seed_to"]) == ("2027-09-10", "2027-10-10")
    # 150 days after 10 September is 7 February: old enough when spring comes.
    assert (now["iron_from"], now["iron_to"]) == ("2028-03-01", "2028-05-31")
    iron = table.loc["iron now"]
    assert (iron["seed_from"], iron["seed_to"]) == ("2028-04-01", "2028-05-31")
    assert (iron["iron_from"], iron["blades_from"]) == ("2027-09-10", "2027-09-24")
    assert list(table["answer"]) == ["", "suggested", ""]


def test_iron_is_the_same_in_each_and_none_where_the_label_is_silent(lawn):
    """562.5 g of 20.09 % iron on 180 m² is 0.113 kg of iron."""
    table = rows(made(lawn, dt.date(2027, 9, 10), card={"seed_to_iron_days": None}))
    assert table.loc["iron now", "iron_kg"] == pytest.approx(0.5625 * 0.2009)
    assert table.loc["seed now", "iron_kg"] == 0
    assert "Not set: no iron" in table.loc["seed now", "remark"]


def test_new_grass_that_is_not_old_enough_by_the_label(lawn):
    table = rows(made(lawn, dt.date(2027, 9, 10), card={"seed_to_iron_days": 365}))
    assert table.loc["seed now", "iron_from"] == ""
    assert "2028-09-09" in table.loc["seed now", "remark"]


def test_what_a_season_costs(lawn):
    packs = {"packs": ((1000.0, "g", 10.0),)}
    table = rows(made(lawn, dt.date(2027, 9, 10), card=packs))
    assert table.loc["iron now", "cost"] == 10
    assert table.loc["spring iron", "cost"] == 0


def test_after_the_last_sowing_day_seed_is_gone(lawn):
    table = rows(made(lawn, dt.date(2027, 10, 20)))
    assert list(table["possible"]) == [True, False, True]
    assert table.loc["iron now", "answer"] == "suggested"
    assert rows(made(lawn, dt.date(2027, 12, 10)))["possible"].to_list() == [True, False, False]


def test_south_of_the_equator_all_is_six_months_away(lawn):
    north = rows(made(lawn, dt.date(2027, 9, 10)))
    south = rows(made(lawn, dt.date(2027, 3, 10), south=True, country="NZ",
                      card={"country": "NZ"}))  # fmt: skip
    assert south.loc["seed now", "seed_to"] == "2027-04-10"
    assert south.loc["spring iron", "iron_from"] == "2027-09-01"
    assert south.loc["spring iron", "seed_to"] == "2028-04-10"
    assert south.loc["iron now", "seed_from"] == "2027-10-01"
    assert list(south["answer"]) == list(north["answer"])


def statuses(found):
    return dict(zip(found.marked.steps["operation"], found.marked.steps["status"], strict=True))


def test_seed_now_leaves_iron_for_later(lawn):
    found = made(lawn, dt.date(2027, 9, 10), programme="seed now")
    said = statuses(found)
    assert (said["iron_soluble"], said["overseeding"]) == ("later", "do")
    iron = found.marked.steps.set_index("operation").loc["iron_soluble"]
    assert iron["rule"] == "programme_later_iron"
    assert iron[["dose", "amount", "water_l"]].isna().all()
    assert chain(found.marked.steps, found.zones, found.specification) is None
    assert list(found.programmes["answer"]) == ["", "chosen", ""]


def test_iron_now_leaves_seed_for_later(lawn):
    found = made(lawn, dt.date(2027, 9, 10), programme="iron now")
    said = statuses(found)
    assert (said["iron_soluble"], said["raking"], said["overseeding"]) == ("do", "do", "later")
    assert "watering" not in said
    last = found.marked.steps.iloc[-1]
    assert (last["operation"], last["rule"]) == ("overseeding", "programme_later_seed")
    assert list(found.marked.steps["sequence"]) == list(range(1, len(found.marked.steps) + 1))


def test_spring_iron_leaves_all_for_later(lawn):
    found = made(lawn, dt.date(2027, 9, 10), programme="spring iron")
    assert set(statuses(found).values()) == {"later"}
    assert found.marked.steps["amount"].isna().all()


def test_spring_iron_chosen_in_spring_begins(lawn):
    found = made(lawn, dt.date(2027, 3, 10), programme="spring iron")
    said = statuses(found)
    assert (said["iron_soluble"], said["raking"], said["overseeding"]) == ("do", "do", "later")
    assert rows(found).loc["spring iron", "iron_from"] == "2027-03-10"


def test_without_iron_there_is_nothing_to_choose(lawn):
    assert made(lawn, dt.date(2027, 9, 10), iron="not on this site").programmes.empty


def test_a_label_with_a_short_wait_makes_the_autumn_long_enough(lawn):
    """Label: 7 days to the rake and to seed; seed on 2 October is before the 10th."""
    quick = {"iron_to_seed_days": 7, "iron_to_rake_days": 7}
    assert made(lawn, dt.date(2027, 9, 25), card=quick).programmes.empty
    assert not made(lawn, dt.date(2027, 9, 25)).programmes.empty
