"""What goes on a paper by request only, and what is refused."""

import datetime as dt
from dataclasses import replace

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.asked import Asked, fields, shown_by
from lawnmap.jobs.basemap import basemap
from lawnmap.jobs.opening import Opened
from lawnmap.model import Plan, Site, Specification
from lawnmap.store.specification import parse
from tests.exports.papers import paper

OWN = b"""[basemap]
url = "https://tiles.example.org/{z}/{x}/{y}.png"
attribution = "Map: invented"
max_zoom = 18
"""


@pytest.fixture(scope="module")
def plan():
    return paper(features=False).plan


def own(text):
    return parse(text, products={}, machines={}).choices


def test_a_service_of_the_table_is_told_with_its_host_and_terms(plan):
    tiles, told = basemap(plan, "switzerland", schematic=False)
    assert tiles.attribution == "Map: © swisstopo"
    assert "asks wmts.geo.admin.ch for tiles: it sees where they look" in told
    assert "from memory" in told


def test_ones_own_service_is_taken_from_the_specification(plan):
    used = replace(plan, specification=Specification(own(OWN)))
    tiles, told = basemap(used, "own", schematic=False)
    assert (tiles.url, tiles.attribution, tiles.max_zoom) == (
        "https://tiles.example.org/{z}/{x}/{y}.png", "Map: invented", 18,
    )  # fmt: skip
    assert "tiles.example.org" in told
    with pytest.raises(InputRefused, match="no basemap of your own"):
        basemap(plan, "own", schematic=False)


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        (b"https://tiles", b"http://tiles", "basemap.url"),
        (b"example.org/", b"example.org:80/", "basemap.url"),
        (b"{x}/", b"", "basemap.url"),
        (b"Map: invented", b" ", "basemap.attribution"),
    ],
)
def test_an_address_of_ones_own_that_no_page_may_name_is_refused(old, new, place):
    with pytest.raises(InputRefused) as refused:
        own(OWN.replace(old, new))
    assert refused.value.place == place


def test_no_map_lies_behind_a_site_that_has_no_place_or_must_not_tell_it(plan):
    with pytest.raises(InputRefused, match="--schematic leaves out"):
        basemap(plan, "switzerland", schematic=True)
    unplaced = replace(plan, site=plan.site.with_header(placed=False))
    with pytest.raises(InputRefused, match="no place on the earth"):
        basemap(unplaced, "switzerland", schematic=False)
    with pytest.raises(InputRefused, match="no basemap 'atlantis'") as refused:
        basemap(plan, "atlantis", schematic=False)
    assert "switzerland" in refused.value.remedy


def site_alone():
    site = Site({"type": "FeatureCollection", "lawnmap": {"format": 1}, "features": []})
    return Opened(site, None), Plan(
        site, Specification({}), site.zones, None, None, None, (), dt.date(2027, 3, 1)
    )


@pytest.mark.parametrize(
    ("asked", "names", "said"),
    [
        (Asked(photos=True), ("sheet",), "--photos is for the map"),
        (Asked(basemap="usa"), ("sheet",), "--basemap is for the map"),
        (Asked(backdrop=True), ("sheet",), "--backdrop is for the map"),
        (Asked(before="2027-03-01"), ("sheet",), "--before is for the map"),
        (Asked(photos=True), ("map",), "this is none"),
        (Asked(backdrop=True), ("map",), "this is none"),
        (Asked(before="2027-03-01"), ("map",), "this is none"),
    ],
)
def test_what_cannot_be_shown_is_refused(asked, names, said):
    opened, plan = site_alone()
    with pytest.raises(InputRefused, match=said):
        fields(asked, opened, plan, names, schematic=False)


def test_nothing_asked_for_is_nothing_told():
    opened, plan = site_alone()
    assert fields(Asked(), opened, plan, ("map",), schematic=True) == ({}, [])


def test_what_was_asked_for_goes_to_the_map_alone():
    found = {"photos": ("one",), "basemap": "tiles", "earlier": "then", "language": "en"}
    assert shown_by("map", found) == found
    assert shown_by("visit", found) == {"language": "en"}
