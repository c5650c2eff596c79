"""Sums beside those that math.fsum makes of the rows, one group at a time."""

import math

import numpy as np
import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.processing.many.totals_by import LEVELS, joined, totals_by
from lawnmap.schema import DO, DONE, NOT_SET, PRICING
from tests import sites_tables


@pytest.fixture(scope="module")
def given():
    of = sites_tables.sites(120)
    return sites_tables.needs(of), sites_tables.hours(of)


@pytest.fixture(scope="module")
def made(given):
    return totals_by(*given)


def test_it_is_the_table_of_the_schema(made):
    assert list(made.columns) == schema.names("totals_by")
    assert list(dict.fromkeys(made["by"])) == list(LEVELS)
    assert not made.duplicated(["by", "key", "operation", "product", "status", "unit"]).any()


@pytest.mark.parametrize(("by", "column"), list(LEVELS.items()))
def test_every_sum_of_needs_is_the_one_fsum_gives(given, made, by, column):
    needs, _ = given
    keyed = needs.assign(key=needs[column] if column else "")
    what = ["key", "operation", "product", "status", "unit"]
    rows = made[(made["by"] == by) & made["zones"].notna()].set_index(what)
    groups = keyed.groupby(what)
    assert len(rows) == groups.ngroups
    for key, group in groups:
        row = rows.loc[key]
        live = key[3] in {DO, PRICING}
        assert row["sites"] == group["site_id"].nunique()
        assert row["area_m2"] == math.fsum(group["area_m2"])
        for name in ("amount_low", "amount", "water_l"):
            if live:
                assert row[name] == math.fsum(group[name])
            else:
                assert np.isnan(row[name])


def test_hours_stand_once_in_the_row_of_their_operation_that_has_no_product(given, made):
    _, hours = given
    for by, column in (("all", ""), ("region", "region")):
        rows = made[(made["by"] == by) & made["hours"].notna()]
        assert set(rows["product"]) == set(rows["unit"]) == {""}
        assert math.fsum(rows["hours"]) == pytest.approx(math.fsum(hours["hours"]), rel=1e-12)
        keyed = hours.assign(key=hours[column] if column else "")
        for (key, operation), group in keyed.groupby(["key", "operation"]):
            row = rows[(rows["key"] == key) & (rows["operation"] == operation)]
            assert row["hours"].item() == math.fsum(group["hours"])


def test_the_order_of_the_rows_makes_no_difference(given, made):
    needs, hours = (table.sample(frac=1, random_state=3) for table in given)
    pd.testing.assert_frame_equal(made, totals_by(needs, hours), check_exact=True)


def test_parts_of_whole_sites_come_to_the_same(given, made):
    parts = [
        totals_by(*(table[table["site_id"].str[-1].isin(list(last))] for table in given))
        for last in ("0369", "147", "258", "x")
    ]
    whole = joined(parts)
    keys = ["by", "key", "operation", "product", "status", "unit", "sites", "zones"]
    pd.testing.assert_frame_equal(made[keys], whole[keys], check_exact=True)
    pd.testing.assert_frame_equal(made, whole, rtol=1e-12, atol=0)
    pd.testing.assert_frame_equal(whole, joined(reversed(parts)), rtol=1e-12, atol=0)


def test_what_is_priced_or_not_set_stands_apart(made):
    iron = made[(made["by"] == "all") & (made["product"] == sites_tables.IRON)]
    assert sorted(iron["status"]) == sorted([DO, DONE, PRICING, NOT_SET])


def test_words_may_be_categories_and_cells_empty(given):
    needs, hours = given
    needs = needs.assign(region=needs["region"].where(needs["region"] != "Parks", None))
    plain = totals_by(needs.assign(region=needs["region"].fillna("")), hours)
    coded = totals_by(needs.astype({"region": "category", "operation": "category"}), hours)
    pd.testing.assert_frame_equal(plain, coded, check_exact=True)


def test_only_the_levels_that_are_wanted_are_summed(given):
    assert set(totals_by(*given, levels=("all", "depot"))["by"]) == {"all", "depot"}


def test_sites_are_counted_alike_however_many_there_are(given, made, monkeypatch):
    monkeypatch.setattr("lawnmap.processing.many.totals_by.MOST_TICKS", 0)
    pd.testing.assert_frame_equal(made, totals_by(*given), check_exact=True)


def test_of_nothing_there_are_no_sums():
    none = [pd.DataFrame(columns=schema.names(each)) for each in ("site_needs", "site_hours")]
    assert totals_by(*none).empty
    assert joined([]).empty
    assert list(joined([]).columns) == schema.names("totals_by")
