"""Waypoints: valid GPX 1.1, in place, and no word of anybody's that is markup."""

from xml.etree import ElementTree as ET

import pytest

from lawnmap.exports.gis.gpx import SPACE, Place, gpx
from lawnmap.files.admit import Source
from lawnmap.pages.escape import clean
from lawnmap.readers import gpx as reader

NAMES = ["Lawn & <b>bed</b>", "]]>", "a\x00b\x0bc", "\ud800", "\u202eevil", "Ünï ✓", "\ufffe"]


def points(data):
    root = ET.fromstring(data)
    assert (root.tag, root.get("version"), root.get("creator")) == (
        f"{{{SPACE}}}gpx",
        "1.1",
        "lawnmap",
    )
    assert root[0].tag == f"{{{SPACE}}}metadata"  # the schema wants it first
    return root.findall(f"{{{SPACE}}}wpt")


@pytest.mark.parametrize("name", NAMES)
def test_any_name_gives_a_document_that_reads_back(name):
    (point,) = points(gpx([Place(-1.55, 53.8, name, name)], name))
    assert [each.text or "" for each in point] == [clean(name)] * 2


def test_places_in_full():
    (point,) = points(gpx([Place(-1.550000016, 53.8, "a")], "t"))
    assert (point.get("lon"), point.get("lat")) == ("-1.55000002", "53.80000000")
    assert len(point) == 1  # an empty description is none


def test_our_own_reader_takes_it():
    data = gpx([Place(-1.55, 53.8, "Core main, place 1")], "Invented site")
    source = Source(name="cores.gpx", data=data, kind="gpx")
    assert [(each.name, each.count) for each in reader.look(source)] == [("waypoints", 1)]
