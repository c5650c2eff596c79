"""What is looked at again is taken off; everything else stays."""

from lawnmap import schema
from lawnmap.processing.surveying.afresh import LOOKED_AT, afresh, looked_at
from tests.processing.surveying.test_compare import EMPTY, frames, zone


def test_only_what_is_looked_at_again_goes():
    facts = {"moss_rating": 3, "thatch_mm": 12, "bare_pct": 5, "soil_ph": 6, "own": "kept"}
    tree = {"type": "Feature", "properties": {"feature": "tree"}, "geometry": None}
    site = EMPTY.with_features([zone(**facts), *frames(60), tree])
    found = afresh(site).document["features"]
    assert [each["properties"] for each in found] == [
        {"feature": "zone", "zone_id": "a", "soil_ph": 6, "own": "kept"}, {"feature": "tree"},
    ]  # fmt: skip
    assert found[0]["geometry"] == site.document["features"][0]["geometry"]
    assert site.document["features"][0]["properties"]["moss_rating"] == 3
    assert afresh(afresh(site)) == afresh(site)


def test_whether_anything_was_looked_at():
    assert not looked_at(EMPTY.with_features([zone(soil_ph=6)]))
    assert looked_at(EMPTY.with_features([zone(moss_rating=0)]))
    assert looked_at(EMPTY.with_features([zone(), *frames(60)]))


def test_they_are_facts_about_zones():
    assert set(LOOKED_AT) <= {column.name for column in schema.facts("zones")}
