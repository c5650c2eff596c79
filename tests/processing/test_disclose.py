"""An export cannot leak what it never gets."""

import datetime as dt
from dataclasses import replace

import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.model import Plan, Site, Specification
from lawnmap.paper import Earlier
from lawnmap.processing.disclose import disclose, kept_back

EMPTY = Site({"type": "FeatureCollection", "lawnmap": {"format": 1}, "features": []})
# What the owner pays and earns: no other eye sees it.
COST = {"part": "hire", "what": "machine", "price": 61.5, "cost": 123.0, "remark": "of the shop"}
ASKED = {"part": "hire", "what": "", "amount": 150.25, "currency": "GBP", "decimals": 2}
CHOICES = {
    "money": {"currency": "GBP", "hour_rate": 31.75},
    "quote": {"mark_up_pct": 37.25},
    "disposal": {"price_a_load": 41.5},
    "contact": "the office",
}


def plan():
    tables = {
        "costs": pd.DataFrame([COST]),
        "quote": pd.DataFrame([ASKED]),
        "of_a_plugin": pd.DataFrame([{"secret": 1}]),
    }
    totals = pd.DataFrame([{"product": "P", "cost": 34.5, "packs": "1 × 1 kg", "shelf": "cool"}])
    none = pd.DataFrame()
    return Plan(
        EMPTY, Specification(CHOICES), EMPTY.zones, none, totals, none, (), dt.date(2027, 8, 2),
        tables=tables,
    )  # fmt: skip


@pytest.mark.parametrize("audience", ["public", "client", "crew"])
def test_own_cost_reaches_the_owner_alone(audience):
    given = disclose(plan(), audience).plan
    assert "costs" not in given.tables
    assert "cost" not in given.totals.columns
    assert not set(given.specification.choices) & {"money", "quote", "disposal"}
    everything = repr(given.tables) + repr(given.totals) + repr(given.specification)
    assert not [each for each in ("61.5", "123.0", "31.75", "37.25", "41.5") if each in everything]


def test_every_column_of_the_costs_is_the_owners():
    assert {column.seen_by for column in schema.columns("costs")} == {"owner"}
    assert schema.names("costs", audience="crew") == []


def test_the_price_is_between_client_and_owner():
    for audience in ("client", "owner"):
        (row,) = disclose(plan(), audience).plan.tables["quote"].to_dict("records")
        assert row == ASKED
    for audience in ("crew", "public"):
        assert "quote" not in disclose(plan(), audience).plan.tables
    (row,) = disclose(plan(), "owner").plan.tables["costs"].to_dict("records")
    assert row["cost"] == 123.0


def test_a_table_nobody_knows_stays_at_home():
    for audience in schema.AUDIENCES:
        assert "of_a_plugin" not in disclose(plan(), audience).plan.tables


def test_the_shelf_is_for_crew_and_owner():
    seen = {who: "shelf" in disclose(plan(), who).plan.totals.columns for who in schema.AUDIENCES}
    assert seen == {"public": False, "client": False, "crew": True, "owner": True}


def noted():
    """Return a plan of one zone with a private note, a zone it was cut from and a foreign fact."""
    facts = {"feature": "zone", "zone_id": "a", "private_note": "key under the pot",
             "public_note": "by the pond", "came_from": "old", "gate_code": "4711"}  # fmt: skip
    shape = {"type": "Polygon", "coordinates": [[[0, 0], [1e-4, 0], [1e-4, 1e-4], [0, 0]]]}
    site = EMPTY.with_features([{"type": "Feature", "properties": facts, "geometry": shape}])
    none = pd.DataFrame()
    return Plan(site, Specification({}), site.zones, none, none, none, (), dt.date(2027, 8, 2))


@pytest.mark.parametrize("audience", schema.AUDIENCES)
def test_a_private_note_leaves_for_nobody_unless_it_is_named(audience):
    given = disclose(noted(), audience).plan
    assert "private_note" not in given.zones.columns
    assert "pot" not in repr(given.site.document)
    named = disclose(noted(), audience, also=("private_note",)).plan
    assert list(named.zones["private_note"]) == ["key under the pot"]
    assert "pot" in repr(named.site.document)
    assert ("old" in repr(named.site.document)) == (audience == "owner")  # only what was named
    assert "4711" not in repr(named.site.document)  # nobody knows what it is: it has no name


def test_what_is_kept_back_is_listed_by_name():
    assert kept_back("owner") == ["private_note"]
    assert {"private_note", "came_from", "cost", "beat"} <= set(kept_back("public"))
    assert "beat" not in kept_back("crew")
    assert not {"zone_id", "moss_rating"} & set(kept_back("public"))


def test_an_earlier_survey_is_cut_down_too():
    zones = noted().zones
    gone = zones.iloc[[0]].rename(index=lambda _: "gone")
    told = {"zone_id": ["a", "gone"], "recut": True, "kin": ["Old lawn", "Lawn"], "secret": "x"}
    earlier = Earlier("2027-03-02", pd.concat([zones, gone]), pd.DataFrame(told))
    for audience in schema.AUDIENCES:
        seen = disclose(noted(), audience, earlier=earlier).earlier
        assert "private_note" not in seen.zones.columns
        owner = audience == "owner"
        assert (list(seen.changes["kin"]) == ["Old lawn", "Lawn"]) == owner
        assert ("gone" in seen.zones.index) == ("gone" in set(seen.changes["zone_id"])) == owner
        assert "secret" not in seen.changes.columns


@pytest.mark.parametrize(
    ("audience", "told"), [("public", 1), ("client", 1), ("crew", 2), ("owner", 2)]
)
def test_how_the_work_is_organised_is_for_crew_and_owner(audience, told):
    talk = "People take turns at it."
    given = replace(plan(), cautions=("Ask about cables.", talk), organising=(talk,))
    assert len(disclose(given, audience).plan.cautions) == told
