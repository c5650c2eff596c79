"""What a plan costs, each figure by hand."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.model import Machine
from lawnmap.processing.buying.costs import costs, unpriced

HIRED = Machine(
    "Scarifier of the hire shop", "petrol", hire_a_day=60.0, hire_least_days=2, hire_delivery=25.0
)
OWN = Machine("My rake", "rake")
MONEY = {"currency": "GBP", "hour_rate": 30.0, "travel_a_visit": 18.0}
CREW = {"people": 2, "hours_a_day": 7.0}


def steps(*rows):
    """Return steps of blades, clearing and cores, but for what each row says."""
    empty = {c.name: "" if c.dtype == "object" else np.nan for c in schema.columns("steps")}
    usual = {"zone_id": "a", "kind": "blades", "status": "do", "sequence": 1}
    return pd.DataFrame([empty | usual | row for row in rows])


BLADES = {"operation": "scarifying", "machine": HIRED.name, "hours_low": 10.0, "hours": 15.0}
CLEARING = {
    "operation": "clearing", "kind": "collection", "amount_low": 2000.0, "amount": 5000.0,
    "unit": "l", "hours_low": 4.0, "hours": 25.0,
}  # fmt: skip
CORES = {
    "operation": "aerating", "machine": OWN.name, "amount_low": 400.0, "amount": 400.0,
    "unit": "l", "hours_low": 1.0, "hours": 2.0,
}  # fmt: skip
NOTHING = pd.DataFrame(columns=schema.names("totals"))


def worked(lawn, *rows, totals=NOTHING, dates=None, **choices):
    given = {"crew": CREW, "own": [HIRED, OWN]} | choices
    specification = lawn.choices(**given)
    table = costs(steps(*rows), totals, specification, *([dates] if dates else []))
    return table.set_index(["part", "what"])


def test_hire_by_the_hours(lawn):
    # 10 to 15 h at 7 h a day are 2 to 3 days: 2 × 60 + 25 = 145, 3 × 60 + 25 = 205.
    row = worked(lawn, BLADES, money=MONEY).loc[("hire", HIRED.name)]
    assert (row["number_low"], row["number"], row["number_unit"]) == (2, 3, "days")
    assert (row["price"], row["cost_low"], row["cost"]) == (60, 145, 205)
    # 1 h is a day, and the shop lets it for two: 145.
    short = worked(lawn, BLADES | {"hours_low": 1.0, "hours": 1.0}, money=MONEY)
    assert short.loc[("hire", HIRED.name), "cost"] == 145
    assert ("hire", OWN.name) not in worked(lawn, CORES, money=MONEY).index


def test_hire_and_visits_by_the_schedule(lawn):
    days = [dt.date(2027, 9, n) for n in (6, 7, 8, 13)]
    dates = Dates(tuple(days), tuple((HIRED.name, day) for day in days))
    table = worked(lawn, BLADES, money=MONEY, dates=dates)
    # 4 days × 60 + 25; 4 visits × 18.
    assert table.loc[("hire", HIRED.name), "cost"] == 265
    assert table.loc[("travel", "visits"), "cost"] == 72
    assert "no dates" not in table.loc[("travel", "visits"), "remark"]


def test_a_machine_without_a_price_is_out_on_the_days_of_the_schedule(lawn):
    # 1 h on each of three zones is one day by the hours, and three by the days it is used on.
    from lawnmap.processing.machines import generic

    stand_in = generic()["petrol scarifier"]
    row = BLADES | {"machine": stand_in.name, "hours_low": 1.0, "hours": 1.0}
    days = [dt.date(2027, 9, n) for n in (6, 7, 13)]
    dates = Dates(tuple(days), (), tuple((stand_in.name, day) for day in days))
    for given, number in ((None, 1), (dates, 3)):
        table = worked(lawn, row, row, row, own=[stand_in], money=MONEY, dates=given)
        assert table.loc[("hire", stand_in.name), "number"] == number


def test_vibration_makes_days_of_hire(lawn):
    # 2 × 10² × 2 h are 400 points, the limit (HSE): one person at 10 m/s² holds it 2 h a day.
    shaking = replace(HIRED, vibration_m_s2=10.0, hire_least_days=None, hire_delivery=None)
    row = BLADES | {"hours_low": 6.0, "hours": 6.0}
    table = worked(lawn, row, own=[shaking], crew=CREW | {"people": 1}, money=MONEY)
    assert table.loc[("hire", HIRED.name), "number"] == 3


def test_lines_add_up_as_they_are_printed(lawn):
    # Three times a third of an hour at 30.01 are 10.00333… each: 10.00 three times are 30.00,
    # and the sum of what is hidden behind them would be 30.01.
    third = {"hours_low": 1 / 3, "hours": 1 / 3}
    rows = [CORES | third | {"operation": each} for each in ("mowing", "raking", "first_cut")]
    table = worked(lawn, *rows, money={"hour_rate": 30.01})
    priced = table["cost"].dropna()
    assert [Decimal(repr(each)) for each in priced] == [Decimal("10.0")] * 3
    printed = [Decimal(f"{each:.2f}") for each in priced]
    assert sum(printed) == Decimal(f"{priced.sum():.2f}") == Decimal("30.00")
    # Half a penny goes up: 0.5 h at 30.01 are 15.005.
    half = worked(lawn, CORES | {"hours_low": 0.5, "hours": 0.5}, money={"hour_rate": 30.01})
    assert half.loc[("labour", "aerating"), "cost"] == 15.01
    whole = worked(lawn, CORES, money={"hour_rate": 30.3, "decimals": 0})
    assert whole.loc[("labour", "aerating"), "cost"] == 61  # 60.6 yen are 61


def test_labour_and_visits_by_the_hours(lawn):
    table = worked(lawn, BLADES, CLEARING, money=MONEY)
    # 10 to 15 h and 4 to 25 h at 30: 300 to 450, 120 to 750.
    assert table.loc[("labour", "scarifying"), ["cost_low", "cost"]].tolist() == [300, 450]
    assert table.loc[("labour", "clearing"), ["cost_low", "cost"]].tolist() == [120, 750]
    # 14 to 40 h, two people of 7 h: 1 to 3 days, 18 to 54.
    visits = table.loc[("travel", "visits")]
    assert (visits["number_low"], visits["number"]) == (1, 3)
    assert (visits["cost_low"], visits["cost"]) == (18, 54)


def test_arisings_by_volume_and_by_payload(lawn):
    own = {"route": "tip", "load_l": 3000.0, "load_kg": 500.0, "price_a_load": 40.0}
    row = worked(lawn, CLEARING, CORES, disposal=own).loc[("disposal", "arisings: tip")]
    # Volume: 2,000 + 400 = 2,400 l, one load; 5,000 + 400 = 5,400 l, two.
    # Weight: 2.0 × 148 + 0.4 × 1,305 = 818 kg, two loads; 5.0 × 231 + 0.4 × 1,602 = 1,795.8 kg,
    # four. Densities: Oregon DEQ and EPA 148, Merseyside 231, Waupaca 1,305, USGA 1,602 kg/m³.
    assert (row["number_low"], row["number"]) == (2, 4)
    assert (row["cost_low"], row["cost"]) == (80, 160)
    assert row["remark"].startswith(
        "full by weight first; 2.4 to 5.4 m³, 0.8 to 1.8 t, cores included"
    )


def test_bins_take_weeks(lawn):
    """practice.md, change 19: 1,080 l are 4.5 wheeled bins, two months of fortnights."""
    row = worked(
        lawn, CLEARING | {"amount_low": 1080.0, "amount": 1080.0},
        disposal={"route": "bins", "bins": 1, "bin_weeks": 2}, bags={"bin_l": 240.0},
    ).loc[("disposal", "arisings: bins")]  # fmt: skip
    assert (row["number"], row["number_unit"], row["cost"]) == (5, "bins", 0)
    assert "1 bin of 240 l emptied every 2 weeks: 10 to 10 weeks" in row["remark"]


@pytest.mark.parametrize(
    ("own", "told"),
    [
        ({}, "no route chosen"),
        ({"route": "skip"}, "what a load may hold is not given"),
        ({"route": "skip", "load_l": 6000.0}, "full by volume first"),
    ],
)
def test_a_route_without_a_price_costs_nothing_known(lawn, own, told):
    table = worked(lawn, CLEARING, disposal=own)
    (row,) = table.loc["disposal"].to_dict("records")
    assert np.isnan(row["cost"])
    assert row["remark"].startswith("no price given; ")
    assert told in row["remark"]


def test_nothing_is_priced_that_has_no_price(lawn):
    # No price of an hour, a visit or a pack; and a machine of no make that may have to be hired.
    worked_out = lawn.work(lawn.zones(), lawn.choices(lawn.card(packs=((1000.0, "g", None),))))
    table = costs(worked_out.steps, worked_out.totals, lawn.choices(crew=CREW))
    assert set(table["part"]) >= {"materials", "labour", "travel", "disposal"}
    assert table["cost"].isna().all()
    assert table["remark"].str.startswith("no price given").all()
    assert not (table[["price", "cost_low", "cost"]] == 0).any(axis=None)
    assert len(unpriced(table)) == len(table)


def test_packs_and_what_the_shed_holds(lawn):
    card = lawn.card(stock=1000.0)
    made = lawn.work(lawn.zones({}, {}), lawn.choices(card))
    row = costs(made.steps, made.totals, lawn.choices(card, crew=CREW)).iloc[0]
    # 2 × 562.5 g less 1,000 g in the shed are 125 g: one pack of 1 kg at 10.
    assert (row["part"], row["what"], row["remark"]) == ("materials", "Moss iron", "1 × 1 kg")
    assert (row["number"], row["cost"]) == (125, 10)


def test_a_machine_of_no_make_is_listed_and_not_priced(lawn):
    from lawnmap.processing.machines import generic

    stand_in = generic()["petrol scarifier"]
    table = worked(lawn, BLADES | {"machine": stand_in.name}, own=[stand_in], money=MONEY)
    row = table.loc[("hire", "petrol scarifier")]
    assert row["remark"] == "no price given; if you have none of your own"
    assert np.isnan(row["cost"])
    free = worked(
        lawn, BLADES | {"machine": "mine"}, own=[Machine("mine", "petrol", hire_a_day=0.0)]
    )
    assert ("hire", "mine") not in free.index


def test_work_that_is_done_or_not_allowed_costs_nothing_more(lawn):
    for status in ("done", "not needed", "not allowed", "not set: do not apply"):
        assert worked(lawn, BLADES | {"status": status}, money=MONEY).empty
    assert not worked(lawn, BLADES | {"status": "for pricing only"}, money=MONEY).empty
