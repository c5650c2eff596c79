"""Strips along water and along drains are told apart, as the plan set them."""

import re
from dataclasses import replace

import geopandas as gpd
import pytest
import shapely

from lawnmap.exports.parts.glance import glance
from lawnmap.exports.wording.legal_strips import legal_strips, not_set
from lawnmap.schema import NOT_SET
from tests.exports.papers import paper

PLAIN = paper()  # with a water called Pond and a drain called Yard gully
NAMES = ["kind", "strip", "because", "width_m", "set_by", "instead"]


def kept(*rows, units="metric"):
    """Return the paper with rows of kind, because, width_m, set_by of what is kept clear."""
    table = [
        (kind, strip, because, width, by, NOT_SET if width is None else "left")
        for kind, strip, because, width, by in rows
    ]
    cells = dict(zip(NAMES, map(list, zip(*table, strict=True)), strict=True))
    layer = gpd.GeoDataFrame(cells, geometry=[shapely.Point(3, 55)] * len(rows), crs="EPSG:4326")
    return PLAIN.of(plan=replace(PLAIN.plan, layers={"kept_clear": layer}), units=units)


def lines(given):
    return {line.label: line.text.replace("\xa0", " ") for line in legal_strips(given)}


WATER = ("granules", "untreated", "Pond", 5.0, "site rule")
DRAIN = ("granules", "untreated", "Yard gully", 1.0, "label")


def test_each_has_its_own_width_and_who_set_it():
    paved = ("granules", "hand", "Terrace (paving)", 9.0, "site rule")
    given = kept(WATER, WATER, DRAIN, paved, ("feed", "untreated", "Pond", 5.0, "site rule"))
    told = {
        "Strip along water": "Iron spread dry and Feed 5 m, set by a rule of the site",
        "Strip along drains":
            "Iron spread dry 1 m, set by the label; Feed: no lawn lies in a strip of its own",
    }  # fmt: skip
    assert lines(given) == told
    shown = re.sub(r"<[^>]+>", "", glance(given)).replace("\xa0", " ")
    for label, text in told.items():
        assert f"{label}: {text}" in shown
    assert "water and drains:" not in shown


def test_without_a_width_it_is_not_set():
    given = kept(("spray", "untreated", "Pit, Yard gully", None, "not set"), WATER)
    assert not_set(given)
    assert lines(given)["Strip along drains"].startswith("Sprayed iron not set: do not apply")
    assert "not set" not in lines(given)["Strip along water"]
    assert "strip not set: do not apply" in glance(given)


@pytest.mark.parametrize("because", ["Pond", "Elsewhere"])
def test_a_width_is_never_lost(because):
    """What nobody can match has a line of its own; two of one name keep the wider."""
    found = lines(kept(DRAIN, ("granules", "untreated", because, 7.0, "law"), WATER))
    label = "Strip along water" if because == "Pond" else "Strip along Elsewhere"
    assert found[label] == "Iron spread dry 7 m, set by law"
    assert len(found) == (2 if because == "Pond" else 3)


def test_none_takes_lawn():
    assert legal_strips(PLAIN) == []
    assert not not_set(PLAIN)


def test_feet_are_never_a_hair_less():
    """A metre is 3.2808 ft (NIST SP 811)."""
    assert "1 m (3.29 ft)" in lines(kept(DRAIN, units="imperial"))["Strip along drains"]
