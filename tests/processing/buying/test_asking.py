"""What the exclusions of a quote leave out is charged nowhere, and is said once."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.model import Machine
from lawnmap.processing.buying.asking import asking, excluded
from lawnmap.processing.buying.costs import costs
from lawnmap.processing.buying.totals import totals

HIRED = Machine("Hired", "petrol", hire_a_day=60.0)
MONEY = {"hour_rate": 30.0, "travel_a_visit": 18.0}
ROWS = [
    {"operation": "scarifying", "kind": "blades", "machine": "Hired", "hours": 4.0,
     "day": "2027-09-06", "day_last": "2027-09-07"},
    {"operation": "watering", "kind": "water", "day": "2027-09-20"},
    {"operation": "first_cut", "kind": "hand", "hours": 2.0, "day": "2027-10-18"},
]  # fmt: skip
DAYS = [dt.date(2027, 9, 6), dt.date(2027, 9, 7), dt.date(2027, 9, 20), dt.date(2027, 10, 18)]


def steps(rows=ROWS):
    empty = {c.name: "" if c.dtype == "object" else np.nan for c in schema.columns("steps")}
    usual = {"zone_id": "a", "status": "do", "sequence": 1}
    return pd.DataFrame([empty | usual | row for row in rows])


def asked(lawn, *exclusions):
    choices = lawn.choices(own=[HIRED], money=MONEY, quote={"exclusions": exclusions})
    dates = Dates(tuple(DAYS), tuple(("Hired", day) for day in DAYS[:2]))
    rows = steps()
    cost = costs(rows, totals(rows, choices), choices, dates)
    return asking(
        cost, rows, dates, zones=lawn.zones({}).assign(verdict_rule="renovate"),
        features=lawn.features(), specification=choices,
    )  # fmt: skip


def amount(table, part):
    return table.set_index("part").loc[part, "amount"]


def said(table, part):
    return table.loc[table["part"] == part, "what"].tolist()


def test_nothing_excluded_is_all_charged(lawn):
    table = asked(lawn)
    # 6 h × 30; 2 days × 60; 4 visits × 18.
    assert [amount(table, each) for each in ("labour", "hire", "travel")] == [180, 120, 72]
    # Nobody is paid for watering, so it is no work of the price, and is said to be none.
    assert said(table, "not_in") == ["Watering"]
    assert said(table, "left_out") == ["watering"]


def test_watering_that_is_excluded_is_said_once(lawn):
    table = asked(lawn, "Watering after sowing")
    assert said(table, "excluded") == ["Watering after sowing"]
    assert said(table, "not_in") == []
    assert said(table, "left_out") == ["watering"]
    # The day of the watering alone is no visit any more.
    assert amount(table, "travel") == 54


def test_what_is_excluded_takes_its_hours_and_its_visit_along(lawn):
    table = asked(lawn, "First cut of the seedlings")
    # 4 h × 30; 3 visits × 18.
    assert [amount(table, each) for each in ("labour", "hire", "travel")] == [120, 120, 54]
    assert "first_cut" in said(table, "left_out")
    without = asked(lawn, "scarifying")
    assert amount(without, "labour") == 60
    assert "hire" not in set(without["part"])


@pytest.mark.parametrize(
    ("text", "out"),
    [
        ("Visits after the first cut", ()),  # names an operation, and is not about it
        ("Wateringcans", ()),
        ("WATERING", ("watering",)),
        ("First cut: by the client", ("first_cut",)),
    ],
)
def test_an_exclusion_is_of_what_it_begins_with(lawn, text, out):
    assert excluded(steps(), lawn.choices(quote={"exclusions": [text]})) == out
