"""First months of many zones against the days a plan of the same zones could begin on."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from lawnmap.days import Calendar
from lawnmap.processing.days.months import Months
from lawnmap.processing.days.soonest import first_days

ROWS = (
    {},
    {"moss_rating": 1},
    {"moss_rating": 5, "thatch_rating": 4},
    {"moss_rating": 4, "slope_deg": 8.0},
)


@pytest.fixture(scope="module")
def choices(request):
    lawn = request.getfixturevalue("lawn")
    return lawn.choices(lawn.iron, first_day=dt.date(2027, 3, 1), last_day=dt.date(2028, 2, 28))


@pytest.fixture(scope="module")
def worked(request, choices):
    lawn = request.getfixturevalue("lawn")
    return lawn.work(lawn.zones(*ROWS), choices)


def figures(worked):
    """Return the rows of each operation with the place of their zones, as a partition has them."""
    place = worked.zones.index.get_indexer(worked.steps["zone_id"])
    rows = worked.steps.assign(zone=place)
    return {str(name): own.reset_index(drop=True) for name, own in rows.groupby("operation")}


def test_every_month_is_that_of_the_first_day_a_plan_could_use(worked, choices):
    days = first_days(worked.steps, worked.zones, choices, Calendar())
    found = Months(choices).of(figures(worked), worked.zones)
    compared = 0
    for operation, rows in figures(worked).items():
        number = rows.groupby("zone").cumcount() + 1
        keys = zip(rows["zone_id"], rows["operation"], number, strict=True)
        asked = [f"{days[key]:%Y-%m}" if key in days else "" for key in keys]
        assert found[operation].tolist() == asked
        compared += sum(map(bool, asked))
    assert compared > 10


def test_many_zones_have_what_one_of_their_kind_has(worked, choices):
    months = Months(choices)
    few = months.of(figures(worked), worked.zones)
    count = len(worked.zones)
    many = {
        name: pd.concat([rows.assign(zone=rows["zone"] + turn * count) for turn in range(5)],
                        ignore_index=True)
        for name, rows in figures(worked).items()
    }  # fmt: skip
    # Words kept as codes, as a partition may have them, are the same words.
    many = {name: rows.astype({"status": "category"}) for name, rows in many.items()}
    zones = pd.concat([worked.zones] * 5, ignore_index=True)
    found = months.of(many, zones)
    for name, own in few.items():
        assert found[name].tolist() == own.tolist() * 5


def test_south_of_the_equator_seasons_are_half_a_year_on(worked, choices):
    south = np.array([False, True, False, True])
    found = Months(choices).of(figures(worked), worked.zones, south)["raking"]
    rows = figures(worked)["raking"]["zone"].to_numpy()
    north_months, south_months = set(found[~south[rows]]), set(found[south[rows]])
    assert north_months
    assert south_months
    assert not north_months & south_months


def test_a_step_that_is_not_allowed_has_no_month(worked, choices):
    rows = figures(worked)
    rows["overseeding"] = rows["overseeding"].assign(status="not allowed")
    assert set(Months(choices).of(rows, worked.zones)["overseeding"]) == {""}
    assert Months(choices).of({}, worked.zones) == {}
