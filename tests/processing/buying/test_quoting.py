"""What the client is asked, and what the client is not told."""

import datetime as dt
from decimal import Decimal

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap import schema
from lawnmap.processing.buying.quoting import quoting

TODAY = dt.date(2027, 8, 2)
PRICES = [
    ("labour", "scarifying", 300.0, 450.0),
    ("labour", "clearing", 120.0, 750.0),
    ("materials", "Moss iron", 34.5, 34.5),
    ("hire", "petrol scarifier", 145.0, 205.0),
    ("travel", "visits", 18.0, 54.0),
    ("disposal", "arisings: tip", 80.0, 160.0),
]
NOT_AMOUNTS = {"unpriced", "not_in", "excluded", "assumed", "valid_until"}


def priced(*rows):
    names = schema.names("costs")
    table = pd.DataFrame(
        [dict(zip(("part", "what", "cost_low", "cost"), row, strict=True)) for row in rows]
    ).reindex(columns=names)
    return table.assign(remark=np.where(table["cost"].isna(), "no price given", ""))


def asked(lawn, *rows, steps=None, features=None, zones=None, **choices):
    none = pd.DataFrame(columns=schema.names("steps"))
    table = quoting(
        priced(*rows), none if steps is None else steps,
        lawn.zones({}).assign(verdict_rule="renovate") if zones is None else zones,
        lawn.features() if features is None else features, lawn.choices(**choices), today=TODAY,
    )  # fmt: skip
    assert list(table.columns) == schema.names("quote")
    return table


def amounts(table):
    return {row["part"]: row["amount"] for row in table.to_dict("records")}


def said(table, part):
    return table.loc[table["part"] == part, "what"].tolist()


def test_lines_by_hand(lawn):
    table = asked(
        lawn, *PRICES, money={"currency": "GBP"},
        quote={"mark_up_pct": 10.0, "tax_pct": 20.0, "tax_name": "VAT", "valid_days": 30},
    )  # fmt: skip
    found = amounts(table)
    # 450 × 1.1; 34.50 × 1.1 = 37.95; 205 × 1.1; (750 + 160) × 1.1; 54 × 1.1.
    assert [found[each] for each in ("labour", "materials", "hire", "clearing", "travel")] == [
        495.0, 37.95, 225.5, 1001.0, 59.4,
    ]  # fmt: skip
    # 495 + 37.95 + 225.50 + 1,001 + 59.40 = 1,818.85; 20 % are 363.77; together 2,182.62.
    assert (found["before_tax"], found["tax"], found["total"]) == (1818.85, 363.77, 2182.62)
    assert said(table, "tax") == ["VAT 20 %"]
    assert said(table, "valid_until") == ["2027-09-01"]  # 2 August and 30 days
    assert set(table["currency"]) == {"GBP"}


@pytest.mark.parametrize(("at", "labour"), [("fewest", 300), ("middle", 375), ("most", 450)])
def test_the_price_is_set_where_the_owner_says(lawn, at, labour):
    assert amounts(asked(lawn, *PRICES, quote={"priced_at": at}))["labour"] == labour


def test_the_least_charge(lawn):
    table = asked(lawn, ("labour", "mowing", 20.0, 30.0), quote={"least_charge": 90.0})
    # 30 are charged and 90 asked at least: 60 are added. Nobody has said a word on tax.
    assert amounts(table)["least_charge"] == 60
    assert amounts(table)["total"] == 90
    assert "tax" not in amounts(table)
    assert "tax_open" in set(table["part"])
    assert "no_tax" in set(asked(lawn, *PRICES, quote={"tax_pct": 0.0})["part"])


def test_what_has_no_price_is_named_and_never_nought(lawn):
    table = asked(
        lawn, ("labour", "mowing", np.nan, np.nan), ("labour", "raking", np.nan, np.nan),
        ("materials", "Moss iron", 34.5, 34.5), ("materials", "Dune seed", np.nan, np.nan),
        ("hire", "petrol scarifier", np.nan, np.nan),
    )  # fmt: skip
    found = amounts(table)
    assert np.isnan(found["labour"])
    assert found["materials"] == 34.5
    assert "hire" not in found  # a machine without a price is taken to be one's own
    assert ("total" in found, found["total_so_far"]) == (False, 34.5)
    assert said(table, "unpriced") == ["Labour", "Dune seed"]
    bare = amounts(asked(lawn, ("labour", "mowing", np.nan, np.nan), quote={"least_charge": 90.0}))
    assert np.isnan(bare["total_so_far"])
    assert "least_charge" not in bare


def test_terms_and_what_is_not_known(lawn):
    steps = pd.DataFrame(
        [
            {"zone_id": "a", "operation": "iron_soluble", "status": "not set: do not apply"},
            {"zone_id": "a", "operation": "clearing", "status": "do"},
        ]
    ).reindex(columns=schema.names("steps"))
    zones = lawn.zones({"name": "Back"}, {"name": "Side"}).assign(
        verdict_rule=["renovate", "not_rated"]
    )
    table = asked(
        lawn, *PRICES, steps=steps.assign(day=""), zones=zones,
        quote={"exclusions": ["Watering"], "assumes": ["Water on site"]},
    )  # fmt: skip
    assert said(table, "excluded") == ["Watering"]
    assert said(table, "assumed") == ["Water on site"]
    assert said(table, "not_in") == ["Iron, dissolved: Back"]
    assert said(table, "unknown_zone") == ["Side"]
    assert {"unknown_hidden", "unknown_route", "unknown_days"} <= set(table["part"])
    wire = lawn.features({"feature": "hidden", "hidden_kind": "boundary wire"})
    settled = asked(
        lawn, *PRICES, steps=steps.assign(day="2027-09-06"), features=wire,
        disposal={"route": "tip"},
    )  # fmt: skip
    assert not {"unknown_hidden", "unknown_route", "unknown_days"} & set(settled["part"])


def test_nothing_to_do_is_no_quote(lawn):
    assert asked(lawn).empty


def test_whole_coins_of_a_currency_without_small_ones(lawn):
    table = asked(lawn, *PRICES, money={"currency": "JPY", "decimals": 0}, quote={"tax_pct": 10.0})
    shown = table["amount"].dropna()
    assert (shown == shown.round()).all()
    assert set(table["decimals"]) == {0}


costs = st.lists(
    st.tuples(st.sampled_from([row[:2] for row in PRICES]), st.floats(0, 5000), st.floats(0, 5000)),
    min_size=1,
    max_size=8,
)


@settings(max_examples=60)
@given(costs, st.floats(0, 80), st.floats(0, 30), st.floats(0, 500))
def test_the_lines_shown_add_up_to_the_total_shown(lawn, rows, mark_up, tax, least):
    """In decimal figures as they are printed, not in what a computer makes of them."""
    made = [(*name, min(one, other), max(one, other)) for name, one, other in rows]
    own = {"mark_up_pct": mark_up, "tax_pct": tax, "least_charge": least}
    table = asked(lawn, *made, quote=own)
    shown = {
        row["part"]: Decimal(f"{row['amount']:.2f}")
        for row in table.dropna(subset=["amount"]).to_dict("records")
    }
    for name, amount in amounts(table).items():
        if name in shown:
            assert float(shown[name]) == amount, "no digit is hidden by the printing"
    total, taxed = shown.pop("total"), shown.pop("tax", Decimal(0))
    net = shown.pop("before_tax", total)
    assert sum(shown.values()) == net
    assert net + taxed == total


def test_the_client_sees_no_rate_no_mark_up_and_no_supplier(lawn):
    secret = {"mark_up_pct": 37.25, "tax_pct": 20.0}
    table = asked(lawn, *PRICES, money={"hour_rate": 31.75, "travel_a_visit": 18.5}, quote=secret)
    text = table.to_csv()
    assert not [each for each in ("37.25", "31.75", "18.5", "34.5", "450") if each in text]
