import math

import numpy as np
import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.processing.buying.totals import totals
from lawnmap.processing.many.depots import depot_machines, depot_shopping
from lawnmap.reference.tables import machine
from lawnmap.schema import DO, PRICING
from tests import sites_tables
from tests.sites_tables import DEPOTS, IRON, SEED


@pytest.fixture(scope="module")
def of():
    return sites_tables.sites(80)


@pytest.fixture(scope="module")
def bought(of):
    return depot_shopping(sites_tables.needs(of), sites_tables.specifications())


def test_it_is_the_table_of_the_schema(bought):
    assert list(bought.columns) == schema.names("depot_shopping")
    assert set(bought["depot"]) == set(DEPOTS)
    assert set(bought["status"]) == {DO, PRICING}
    assert set(bought["product"]) == {IRON, SEED}  # what is cleared is not bought


def test_a_depot_buys_for_the_sum_of_its_sites(of, bought):
    needs = sites_tables.needs(of)
    for row in bought.to_dict("records"):
        rows = needs[
            (needs["depot"] == row["depot"])
            & (needs["product"] == row["product"])
            & (needs["status"] == row["status"])
        ]
        assert row["amount"] == math.fsum(rows["amount"])
        assert row["sites"] == rows["site_id"].nunique()
        assert row["month"] == rows["month"].min()


def test_whole_packs_are_bought_once_and_not_for_each_site(of, bought):
    needs = sites_tables.needs(of)
    cards = sites_tables.specifications()[DEPOTS[0]]
    own = needs[(needs["depot"] == DEPOTS[0]) & (needs["product"] == SEED)]
    alone = [totals(rows, cards)["cost"].sum() for _, rows in own.groupby("site_id")]
    together = bought[(bought["depot"] == DEPOTS[0]) & (bought["product"] == SEED)]["cost"].sum()
    assert together < math.fsum(alone)


def test_the_shed_is_emptied_once(bought):
    iron = bought[(bought["depot"] == DEPOTS[1]) & (bought["product"] == IRON)]
    taken = iron["amount"].sum() - iron["to_buy"].sum()
    assert len(iron) == 2  # what is to be done, and what is priced only
    assert taken == pytest.approx(3000.0)


def test_a_depot_without_cards_is_told_amounts_alone(of):
    bare = depot_shopping(sites_tables.needs(of), {})
    assert (bare["packs"] == "").all()
    assert bare["to_buy"].isna().all()
    assert (bare["amount"] > 0).all()


def test_the_order_of_the_sites_makes_no_difference(of, bought):
    mixed = sites_tables.needs(of).sample(frac=1, random_state=4)
    again = depot_shopping(mixed, sites_tables.specifications())
    pd.testing.assert_frame_equal(bought, again, check_exact=True)


def hours_of(*rows):
    usual = {"region": "", "depot": DEPOTS[0], "month": "2027-09", "operation": "scarifying",
             "machine": "petrol scarifier", "hours_low": 1.0}  # fmt: skip
    return pd.DataFrame([{**usual, **row} for row in rows])


def test_machine_days_are_hours_by_those_of_a_day_at_least():
    hours = hours_of({"site_id": "a", "hours": 8.0}, {"site_id": "b", "hours": 7.0})
    (row,) = depot_machines(hours, sites_tables.specifications()).to_dict("records")
    assert (row["sites"], row["hours"], row["days_least"]) == (2, 15.0, 3)
    assert np.isnan(row["days"])
    assert row["cost"] == 3 * 45.0 + 20.0


def test_a_machine_at_two_sites_on_one_day_is_out_once():
    hours = hours_of({"site_id": "a", "hours": 2.0}, {"site_id": "b", "hours": 2.0})
    days = ["2027-09-06", "2027-09-06", "2027-09-07", "2027-10-01"]
    out = pd.DataFrame({"depot": DEPOTS[0], "machine": "petrol scarifier", "day": days})
    found = depot_machines(hours, sites_tables.specifications(), out).set_index("month")
    assert found["days"].to_dict() == {"2027-09": 2, "2027-10": 1}
    assert found["days_least"].to_dict() == {"2027-09": 1, "2027-10": 0}
    assert found.loc["2027-09", "cost"] == 2 * 45.0 + 20.0
    assert np.isnan(found.loc["2027-10", "hours"])


def test_days_are_never_fewer_than_the_hours_take():
    out = pd.DataFrame({"depot": [DEPOTS[0]], "machine": "petrol scarifier", "day": "2027-09-06"})
    hours = hours_of({"site_id": "a", "hours": 15.0})
    (row,) = depot_machines(hours, sites_tables.specifications(), out).to_dict("records")
    assert row["days"] == row["days_least"] == 3  # so three of a kind were out


def test_what_is_ones_own_or_has_no_price_costs_nothing_that_is_known():
    hours = hours_of(
        {"site_id": "a", "hours": 3.0, "machine": "knapsack"},
        {"site_id": "a", "hours": 3.0, "machine": "seed spreader"},
        {"site_id": "a", "hours": 3.0, "machine": "a machine of nobody's"},
        {"site_id": "a", "hours": 3.0, "machine": ""},
        {"site_id": "a", "hours": 3.0, "machine": machine("hand_spread").name},  # bare hands
    )
    found = depot_machines(hours, sites_tables.specifications())
    assert len(found) == 3
    assert found["cost"].isna().all()
    assert (found["days_least"] == 1).all()
