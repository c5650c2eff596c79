"""Three ways out of an autumn that is too short, with their days, north and south."""

import datetime as dt

import pytest

from lawnmap.jobs.deciding import decided
from lawnmap.model import Machine
from lawnmap.processing import machines
from lawnmap.processing.iron.chain import chain, told
from tests.conftest import OPERATIONS

LABEL = {"seed_to_iron_days": 150, "iron_to_rake_days": 14, "iron_to_seed_days": 42}


def made(lawn, day, zone=None, south=False, card=None, more=(), **choices):
    zones = lawn.zones(zone or {}, *more)
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


SAND = {"name": "Sand", "form": "lawn sand", "rate_printed": "35 g/m²", "analysis_pct": 2.0}


@pytest.mark.parametrize(
    ("nitrogen", "last"), [(3.0, "2027-08-31"), (None, "2027-08-31"), (0.0, "2027-10-31")]
)
def test_lawn_sand_with_nitrogen_goes_on_by_the_end_of_august(lawn, nitrogen, last):
    """A garden blog, 2010: none after August. A card that is silent may well hold nitrogen."""
    card = {**SAND, "nitrogen_pct": nitrogen, "iron_to_seed_days": 60}
    iron = rows(made(lawn, dt.date(2027, 8, 16), card=card)).loc["iron now"]
    assert (iron["iron_from"], iron["iron_to"]) == (str(iron_after_mowing(8, 16)), last)
    assert dt.date.fromisoformat(iron["blades_to"]) <= dt.date(2027, 11, 30)


def test_sand_whose_season_is_over_makes_the_autumn_too_short(lawn):
    """By its waits seed would be on 17 September, and the sand is no longer to go on."""
    card = {**SAND, "nitrogen_pct": 3.0, "iron_to_seed_days": 14}
    assert made(lawn, dt.date(2027, 8, 20), card=card).programmes.empty
    late = made(lawn, dt.date(2027, 9, 3), card=card)
    assert list(late.programmes["possible"]) == [True, True, False]
    assert "Sand goes on by 2027-08-31" in spoken(late)


def iron_after_mowing(month, day):
    """Return the day for iron when grass of unknown height is mown first, which takes no wait."""
    return dt.date(2027, month, day)


def spoken(found):
    return " ".join(told(found.marked.steps, found.zones, found.specification))


def mixed(lawn, day, **choices):
    """Return a rake on one lawn, and a petrol machine, which goes before the iron, on the other."""
    zones = lawn.zones({}, {"ground_area_m2": 900.0})
    petrol = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)
    specification = lawn.choices(
        lawn.card(**LABEL), own=[machines.generic()["scarifying rake"], petrol],
        zones={"a": {"operations": without("scarifying")}, "b": {"operations": without("raking")}},
        first_day=day, today=day, **choices,
    )  # fmt: skip
    return decided(zones, lawn.features(), specification, lawn.treatments())


def without(operation):
    return tuple(each for each in OPERATIONS if each != operation)


def test_on_a_mixed_site_the_blades_wait_for_the_iron_that_goes_before_them(lawn):
    """14 days from iron to the rake by the label; the machine on b goes first and is told apart."""
    found = mixed(lawn, dt.date(2027, 9, 10))
    assert list(found.zones["iron_order"]) == ["before blades", "after blades"]
    for name in ("iron now", "spring iron"):
        row = rows(found).loc[name]
        iron, blades = (dt.date.fromisoformat(row[f"{each}_from"]) for each in ("iron", "blades"))
        assert (blades - iron).days >= 14
        assert "Where a machine goes before the iron (b): blades from" in row["remark"]
        assert "iron 14 days after them" in row["remark"]


def test_where_every_machine_goes_first_its_own_days_stand(lawn):
    petrol = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)
    row = rows(made(lawn, dt.date(2027, 9, 10), own=[petrol])).loc["iron now"]
    blades, iron = (dt.date.fromisoformat(row[f"{each}_from"]) for each in ("blades", "iron"))
    assert (iron - blades).days == 14
    assert (row["blades_to"], row["iron_to"]) == ("2027-11-16", "2027-11-30")
    assert row["remark"] == ""


def test_a_renovation_that_begins_in_spring_offers_its_own_three_ways(lawn):
    """practice.md, 4: spring iron and light work, or autumn with seed and iron next spring."""
    found = made(lawn, dt.date(2027, 3, 10))
    table = rows(found)
    spring, now, iron = (table.loc[each] for each in ("spring iron", "seed now", "iron now"))
    assert spring["iron_from"] < spring["blades_from"] < spring["blades_to"] == "2027-05-31"
    assert (spring["seed_from"], spring["seed_to"]) == ("2027-08-15", "2027-10-10")
    assert (now["seed_from"], now["seed_to"]) == ("2027-08-15", "2027-10-10")
    # 150 days after 15 August are 12 January.
    assert (now["iron_from"], now["iron_to"]) == ("2028-03-01", "2028-05-31")
    assert iron["rule"] == "programme_iron_now_spring"
    assert list(table["answer"]) == ["suggested", "", ""]
    assert "In spring only light work is done" in spoken(found)


def test_who_chose_autumn_is_asked_in_spring_only_when_autumn_is_too_short(lawn):
    """From 15 August, when iron may begin, 42 days are 26 September; 60 are 14 October."""
    spring = dt.date(2027, 3, 10)
    assert made(lawn, spring, season="autumn").programmes.empty
    long = made(lawn, spring, season="autumn", card={"iron_to_seed_days": 60})
    assert list(long.programmes["possible"]) == [True, True, True]
    assert "Autumn is too short: from 2027-08" in spoken(long)


def test_light_work_begun_late_in_spring_is_too_late_for_its_seed(lawn):
    """42 days from 28 April are 9 June, and seed in spring goes in by 31 May."""
    light = {"moss_rating": 2}
    assert made(lawn, dt.date(2027, 3, 20), light).programmes.empty
    found = made(lawn, dt.date(2027, 4, 28), light)
    assert rows(found).loc["seed now", "seed_to"] == "2027-05-31"
    assert rows(found).loc["seed now", "rule"] == "programme_seed_now"
    assert "Spring is too short: from 2027-04-28" in spoken(found)


def test_spring_south_of_the_equator_offers_the_same(lawn):
    south = rows(made(lawn, dt.date(2027, 9, 10), south=True, country="NZ",
                      card={"country": "NZ"}))  # fmt: skip
    assert list(south["answer"]) == ["suggested", "", ""]
    assert (south.loc["seed now", "seed_from"], south.loc["seed now", "seed_to"]) == (
        "2028-02-15", "2028-04-10",
    )  # fmt: skip


def test_spring_iron_in_spring_goes_over_it_once(lawn):
    found = made(lawn, dt.date(2027, 3, 10), programme="spring iron")
    heavy = made(lawn, dt.date(2027, 3, 10))
    assert list(heavy.zones["passes"]) == [2]
    assert list(found.zones["passes"]) == [1]
    assert list(found.zones["passes_rule"]) == ["passes_light_spring"]
    seed = found.marked.steps.set_index("operation").loc["overseeding"]
    assert seed["rule"] == "programme_later_seed_autumn"


def test_what_is_kept_to_without_a_programme_is_said_with_the_three_that_could_be(lawn):
    said = spoken(made(lawn, dt.date(2027, 9, 10)))
    assert "No programme is chosen, so this plan keeps to iron, its wait and then seed" in said
    assert 'programme = "spring iron", "seed now" or "iron now" in specification.toml' in said
    assert spoken(made(lawn, dt.date(2027, 9, 10), programme="seed now")) == ""


def test_zones_are_named_where_not_all_are_too_short(lawn):
    """The machine on b goes first: mowing, 1 day, blades, 14, iron, 42, seed are 57 days."""
    said = spoken(mixed(lawn, dt.date(2027, 8, 20)))
    assert "Autumn is too short on b: from 2027-08-20 the waits take 57 days" in said
    assert "Autumn is too short: from" in spoken(mixed(lawn, dt.date(2027, 9, 20)))


def test_light_work_may_be_sown_sooner_and_is_told_apart(lawn):
    found = made(lawn, dt.date(2027, 3, 10), more=[{"moss_rating": 2}, {"moss_rating": 0}])
    assert "light work is due (b), seed from 2027-04-01 to 2027-05-31" in rows(found).loc[
        "seed now", "remark"
    ]  # fmt: skip
