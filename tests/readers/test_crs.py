"""Which CRS a file is in: names as the OGC spells them, checked by PROJ."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.readers.crs import LONLAT, agreed, is_geographic, named, same


@pytest.mark.parametrize(
    ("text", "crs"),
    [
        # OGC 09-048r5 (URN and address forms); RFC 7946, section 4, for the first.
        ("urn:ogc:def:crs:OGC::CRS84", LONLAT),
        ("urn:ogc:def:crs:OGC:1.3:CRS84", LONLAT),
        ("http://www.opengis.net/def/crs/OGC/1.3/CRS84", LONLAT),
        ("OGC:CRS84h", LONLAT),
        ("EPSG:4326", LONLAT),
        ("urn:ogc:def:crs:EPSG::4979", LONLAT),
        ("EPSG:27700", "EPSG:27700"),
        (" epsg:27700 ", "EPSG:27700"),
        ("urn:ogc:def:crs:EPSG::27700", "EPSG:27700"),
        ("urn:ogc:def:crs:EPSG:9.8:27700", "EPSG:27700"),
        ("urn:x-ogc:def:crs:EPSG::27700", "EPSG:27700"),
        ("https://www.opengis.net/def/crs/EPSG/0/27700", "EPSG:27700"),
        ("EPSG:4258", "EPSG:4258"),
    ],
)
def test_names(text, crs):
    assert named(text) == crs


NOT_KNOWN = ["", "27700", "EPSG:999999", "NOBODY:1", "WGS 84", "EPSG:27700\0", "EPSG:２７７００"]
NOT_CODES = ["+proj=longlat", "+init=/etc/passwd:1", "@/etc/passwd", 'GEOGCS["x"]', "{}"]
ADDRESSES = ["http://192.0.2.1/crs", "file:///etc/passwd", "http://www.opengis.net/def/crs/../x"]
HEIGHTS_ONLY = ["EPSG:5701"]


@pytest.mark.parametrize("text", NOT_KNOWN + NOT_CODES + ADDRESSES + HEIGHTS_ONLY)
def test_names_that_are_not_known(text):
    with pytest.raises(InputRefused):
        named(text)


def test_degrees():
    assert is_geographic(LONLAT)
    assert is_geographic("EPSG:4258")
    assert not is_geographic("EPSG:27700")


def test_one_crs_by_two_names():
    assert same(LONLAT, "EPSG:4326")
    assert same("EPSG:27700", "urn:ogc:def:crs:EPSG::27700")
    assert not same("EPSG:27700", "EPSG:3857")
    assert not same("EPSG:27700", "local")


def test_the_file_holds_against_a_person():
    assert agreed("EPSG:27700", None) == "EPSG:27700"
    assert agreed(LONLAT, "EPSG:4326") == LONLAT
    with pytest.raises(InputRefused, match="is in OGC:CRS84, and --crs says 'EPSG:27700'"):
        agreed(LONLAT, "EPSG:27700")
