"""The days of each step by months, half of the earth and weather."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.agronomy.weather import SERIES, Weather
from lawnmap.processing.days import season_weather
from lawnmap.processing.days.seasons import seasons
from lawnmap.reference import tables

OPERATIONS = (
    "mowing", "iron_soluble", "lawn_sand", "raking", "scarifying", "clearing", "aerating",
    "overseeding", "top_dressing", "feeding", "watering",
)  # fmt: skip
DATES = st.dates(dt.date(1990, 1, 1), dt.date(2060, 12, 31))


def day(text):
    return dt.date.fromisoformat(text)


def steps(*operations, status="do", product="", kind=""):
    return pd.DataFrame(
        [
            {"zone_id": "a", "operation": name, "kind": kind, "status": status, "product": product}
            for name in operations
        ]
    )


@pytest.fixture(scope="module")
def found(request):
    lawn = request.getfixturevalue("lawn")

    def ask(*operations, first, last, verdict="renovate", north=True, latitude=None, weather=None,
            card=None, rows=None, **choices):  # fmt: skip
        zones = lawn.zones().assign(verdict=verdict)
        at = latitude if latitude is not None else 53.8 if north else -37.8
        zones = zones.set_geometry([shapely.box(0, at, 2e-4, at + 1e-4)])
        table = steps(*operations, product=card.name if card else "") if rows is None else rows
        chosen = lawn.choices(*([card] if card else []), **choices)
        return seasons(table, zones, chosen, weather=weather, first=day(first), last=day(last))

    return ask


def weather(first, **series):
    number = max(len(each) for each in series.values())
    full = {name: np.full(number, np.nan) for name in SERIES} | {
        name: np.asarray(each, dtype=float) for name, each in series.items()
    }
    return Weather(day(first), **full)


def a_year_of(soil_c, first="2025-01-01"):
    """Make a file whose air is as its soil, so that only the named figures turn the result."""
    return weather(first, mean_c=soil_c, soil_c=soil_c)


def cosine_year():
    """Invented, to published marks.

    AHDB 2015 has about 5 °C at the end of February, TurfPro 13 falling to 9 °C in October.
    """
    at = np.arange(365)
    return 10.5 - 6.5 * np.cos(2 * np.pi * (at - 35) / 365)


def test_november_is_for_heavy_work_without_seed_only(found):
    """Issue 5, practice.md 3: "Oct to early Nov: only without seed"; R1, R2 of agronomy.md."""
    span = {"first": "2026-11-01", "last": "2026-11-30"}
    with_seed = found("scarifying", "overseeding", **span)
    assert with_seed.windows == [(), ()]
    assert with_seed.rules == ["season_heavy_seed", "season_seed"]
    assert "Scarifying on a: no day from 2026-11-01" in " ".join(with_seed.cautions)
    without = found("scarifying", **span)
    assert without.windows == [((day("2026-11-01"), day("2026-11-30")),)]
    assert without.rules == ["season_heavy_bare"]
    assert without.cautions == ()


def test_may_is_november_in_the_south(found):
    span = {"first": "2026-05-01", "last": "2026-05-31", "north": False, "country": "NZ"}
    assert found("scarifying", "overseeding", **span).windows == [(), ()]
    without = found("scarifying", **span)
    assert without.windows == [((day("2026-05-01"), day("2026-05-31")),)]
    assert without.told == ("South of the equator: seasons are taken six months later.",)
    assert "check with local practice" in without.cautions[0]


@pytest.mark.parametrize(
    ("operation", "on", "may"),
    [
        # practice.md 3: mid-August to early October with seed (trade page); R2: to early October.
        ("overseeding", "2026-08-14", False),
        ("overseeding", "2026-08-15", True),
        ("overseeding", "2026-10-10", True),
        ("overseeding", "2026-10-11", False),
        # RHS by R1: October to early November; agronomy.md D7: iron in spring and autumn.
        ("scarifying", "2026-10-31", True),
        ("scarifying", "2026-12-01", False),
        ("scarifying", "2026-06-15", False),
        ("iron_soluble", "2026-04-01", True),
        ("iron_soluble", "2026-07-01", False),
        ("iron_soluble", "2026-09-20", True),
        # practice.md 6: no lawn sand with nitrogen after the end of August.
        ("lawn_sand", "2026-08-31", True),
        ("lawn_sand", "2026-09-01", False),
    ],
)
def test_days_in_and_out_of_season(found, operation, on, may):
    assert bool(found(operation, first=on, last=on).windows[0]) is may


def test_last_day_of_seed_is_that_of_the_values(found):
    last = dt.date(2027, 1, 1) + dt.timedelta(tables.value("sow_by_uk_day").number - 1)
    year = found("overseeding", first="2027-01-01", last="2027-12-31")
    assert year.windows[0][-1][1] == last


def test_lawn_sand_without_nitrogen_has_autumn(found, lawn):
    for pct, may in ((0.0, True), (None, False), (6.0, False)):
        card = lawn.card(form="lawn sand", nitrogen_pct=pct)
        asked = found("lawn_sand", first="2026-10-01", last="2026-10-01", card=card)
        assert bool(asked.windows[0]) is may


def test_light_work_has_the_spring_and_heavy_work_only_when_asked(found):
    span = {"first": "2026-04-01", "last": "2026-04-30"}
    whole = ((day("2026-04-01"), day("2026-04-30")),)
    assert found("raking", verdict="light work", **span).windows == [whole]
    assert found("raking", **span).windows == [()]
    asked = found("raking", season="spring", **span)
    assert asked.windows == [whole]
    assert "drought and weeds" in asked.said_of([day("2026-04-12")])[0]
    assert asked.said_of([None]) == ()


def test_a_season_that_is_chosen_is_that_of_the_blades(found):
    """Practice.md change 4: blades now, and iron or seed next spring, are among the ways out."""
    span = {"first": "2026-01-01", "last": "2026-12-31"}
    operations = ("raking", "iron_soluble", "overseeding", "mowing")
    chosen = found(*operations, season="autumn", verdict="light work", **span)
    usual = found(*operations, verdict="light work", **span)
    assert chosen.windows[0] == ((day("2026-08-15"), day("2026-10-10")),)
    assert len(usual.windows[0]) == 2
    assert chosen.windows[1:] == usual.windows[1:]


def test_seed_in_spring_is_flagged_and_in_autumn_not(found):
    year = found("overseeding", first="2026-01-01", last="2026-12-31")
    assert len(year.windows[0]) == 2
    assert len(year.said_of([day("2026-05-01")])) == 1
    assert year.said_of([day("2026-09-10")]) == ()


def test_what_has_no_season_may_be_on_any_day(found):
    rows = pd.concat([steps("clearing", "watering", "brushing"), steps("combing", kind="blades")])
    year = found(rows=rows, first="2026-12-01", last="2026-12-31")
    assert year.windows == [None, None, None, ()]
    assert year.rules[0] == "season_any"


def test_only_seed_that_takes_place_makes_the_work_seeded(found):
    rows = pd.concat([steps("scarifying"), steps("overseeding", status="not needed")])
    asked = found(rows=rows, first="2026-11-01", last="2026-11-10")
    assert asked.rules[0] == "season_heavy_bare"
    assert len(asked.cautions) == 0, "what is not to be done is not missed"


def test_a_site_without_a_place_goes_by_its_country(found):
    span = {"first": "2026-11-01", "last": "2026-11-30"}
    assert found("scarifying", latitude=0.0, country="AU", **span).windows == [()]
    assert found("scarifying", latitude=-0.001, **span).windows != [()]
    tropics = found("scarifying", latitude=10.0, country="", **span)
    assert "the country is not set" in tropics.cautions[0]
    assert "tropics" in tropics.cautions[1]


def test_soil_of_october_leaves_october_open(found):
    """agronomy.md GD12 (TurfPro): 9 to 13 °C over October, falling; GD14 must not shut it."""
    october = np.linspace(13, 9, 31)
    asked = found(
        "scarifying",
        first="2026-10-01",
        last="2026-10-31",
        weather=a_year_of(october, "2026-10-01"),
    )
    assert asked.windows == [((day("2026-10-01"), day("2026-10-31")),)]
    assert asked.effects == [()]
    assert "only the months count" in asked.told[-1]


def test_a_cold_end_of_october_shuts_the_days_before_it(found):
    october = np.concatenate([np.full(20, 10.0), np.full(11, 4.0)])
    asked = found(
        "scarifying", first="2026-09-01", last="2026-10-31",
        weather=weather("2026-09-01", mean_c=np.concatenate([np.full(30, 14.0), october]),
                        soil_c=np.concatenate([np.full(30, 14.0), october])),
    )  # fmt: skip
    # 30 days before 21 October, when five cold days begin.
    assert asked.windows[0][0] == (day("2026-09-01"), day("2026-09-21"))
    assert asked.effects[0][0].rule == "weather_autumn_soil"
    assert "30 days of growth" in asked.told[-1]
    assert f"lost by it: scarifying {asked.effects[0][0].days}." in asked.told[-1]


def test_seed_needs_more_of_the_autumn_than_bare_work(found):
    known = a_year_of(cosine_year() - 3)
    span = {"first": "2026-08-15", "last": "2026-12-31", "weather": known}
    bare = found("scarifying", **span).windows[0]
    sown = found("overseeding", **span).windows[0]
    assert (bare[-1][1] - sown[-1][1]).days >= 15
    assert sown


def test_spring_waits_for_the_soil(found):
    span = {"first": "2026-03-01", "last": "2026-05-31", "verdict": "light work"}
    asked = found("raking", weather=a_year_of(cosine_year()), **span)
    opened = asked.windows[0][0][0]
    assert day("2026-03-25") < opened < day("2026-04-20")
    assert asked.windows[0][-1][1] == day("2026-05-31")
    assert asked.effects[0] == (("weather_spring_soil", (opened - day("2026-03-15")).days),)
    assert any("mean year" in each for each in asked.told)


def test_spring_that_opened_before_the_first_day_is_open(found):
    soil = np.concatenate([np.full(50, 4.0), np.linspace(4, 10, 20), np.full(30, 7.0)])
    asked = found(
        "raking", verdict="light work", first="2026-04-05", last="2026-04-10",
        weather=a_year_of(soil, "2026-01-15"),
    )  # fmt: skip
    assert asked.windows == [((day("2026-04-05"), day("2026-04-10")),)]


def test_frost_rain_and_heat_take_single_days(found, lawn):
    known = weather(
        "2026-09-01", mean_c=[15.0, 15, 25, 15, 15, 15], min_c=[8.0, 0, 18, 8, 8, 8],
        frost=[np.nan, np.nan, np.nan, 1, np.nan, np.nan], rain_mm=[0.0, 0, 0, 0, 0.1, 0.2],
        soil_c=[14.0] * 6,
    )  # fmt: skip
    span = {"first": "2026-09-01", "last": "2026-09-06", "weather": known}
    spray = found("iron_soluble", **span)
    days = [day(f"2026-09-0{n}") for n in (1, 5)]
    assert spray.windows == [((days[0], days[0]), (days[1], days[1]))]
    assert set(spray.effects[0]) == {
        ("weather_frost", 2), ("weather_heat", 1), ("weather_rain", 1)
    }  # fmt: skip
    sand = found("lawn_sand", card=lawn.card(form="lawn sand", nitrogen_pct=0.0), **span)
    assert sand.windows[0][-1] == (days[1], day("2026-09-06"))
    blades = found("scarifying", **span)
    assert {each.rule for each in blades.effects[0]} == {"weather_frost"}
    assert found("mowing", **span).effects == [()]
    long = found("iron_soluble", card=lawn.card(rainfast_h=24.0), **span)
    assert long.windows == [((days[0], days[0]),)]


def test_what_is_told_of_the_file(found):
    known = weather("2026-01-01", mean_c=[5.0] * 10 + [16.0] * 10)
    asked = found("mowing", first="2026-03-01", last="2026-04-01", weather=known)
    assert "100 growing-degree days (base 6 °C) since 2026-01-01" in asked.told[0]
    assert "mean of 7 days of air" in asked.told[1]


def test_degree_days_of_the_south_begin_in_july():
    known = weather("2026-01-01", mean_c=[16.0] * 365)
    assert "since 2026-07-01" in season_weather.told(known, south=True)[0]
    short = weather("2026-01-01", mean_c=[16.0] * 30)
    assert "300 growing-degree days" in season_weather.told(short, south=True)[0]


def test_gaps_are_named(found):
    mean = np.full(40, 10.0)
    mean[[3, 4, 8, 12, 16, 20, 24]] = np.nan
    asked = found("mowing", first="2026-03-01", last="2026-04-01",
                  weather=weather("2026-03-01", mean_c=mean))  # fmt: skip
    assert "says nothing of 2026-03-04 to 2026-03-05, 2026-03-09" in asked.cautions[0]
    assert "and 1 more" in asked.cautions[0]


def test_days_the_wrong_way_round(found):
    with pytest.raises(ValueError, match="before the first"):
        found("mowing", first="2026-03-02", last="2026-03-01")


def test_the_ends_of_the_calendar(found):
    known = weather("2026-03-01", mean_c=[10.0])
    early = found("scarifying", first="0001-01-01", last="0001-12-31", weather=known)
    late = found("scarifying", first="9999-01-01", last="9999-12-31", weather=known)
    assert len(early.windows[0]) == len(late.windows[0]) == 1


@given(
    first=DATES,
    length=st.integers(0, 800),
    north=st.booleans(),
    verdict=st.sampled_from(["renovate", "staged", "light work"]),
    season=st.sampled_from(["", "spring", "autumn"]),
    soil=st.lists(st.floats(-5, 25), max_size=60),
)
def test_windows_lie_within_the_days_asked_for(found, first, length, north, verdict, season, soil):
    last = first + dt.timedelta(length)
    known = a_year_of(soil, str(first)) if soil else None
    asked = found(*OPERATIONS, first=str(first), last=str(last), north=north, verdict=verdict,
                  season=season, weather=known)  # fmt: skip
    plain = found(*OPERATIONS, first=str(first), last=str(last), north=north, verdict=verdict,
                  season=season)  # fmt: skip
    assert len(asked.windows) == len(asked.rules) == len(asked.effects) == len(OPERATIONS)
    assert set(asked.rules) <= set(tables.rules())
    for one, without in zip(asked.windows, plain.windows, strict=True):
        if one is None:
            assert without is None
            continue
        days = [each for run in one for each in run]
        assert days == sorted(days)
        assert all(first <= each <= last for each in days)
        assert all(any(a <= c <= d <= b for a, b in without) for c, d in one), "weather opens none"
