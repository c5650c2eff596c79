"""The kind of a file by its content; the suffix may only agree."""

import io
import time
import zipfile

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.kind import kind_of


def zipped(*entries):
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w") as archive:
        for entry in entries:
            archive.writestr(entry, "x")
    return memory.getvalue()


@pytest.mark.parametrize(
    ("data", "name", "kind"),
    [
        (b'{"type": 1}', "plan.geojson", "geojson"),
        (b"\xef\xbb\xbf \n[1]", "plan.json", "geojson"),
        (b"<kml/>", "plan.kml", "kml"),
        (b"<kml/>", "PLAN.KML", "kml"),
        (b'<?xml version="1.0"?>\n<!-- a > b --><?x y?><k:kml xmlns:k="u">', "plan.kml", "kml"),
        (b"<!DOCTYPE kml [<!ENTITY a '>'>]><kml/>", "plan.kml", "kml"),  # refused when read
        (b"<gpx>", "walk.gpx", "gpx"),
        (b"lon,lat\n", "plan.csv", "csv"),
        (b"lon\tlat\n", "plan.tsv", "csv"),
        (b"lon,lat\n", "", "csv"),
        (b"{}", "", "geojson"),
        (b"SQLite format 3\0", "plan.gpkg", "gpkg"),
        (b"\x00\x00\x27\x0a", "plan.shp", "shp"),
        (b"PAR1", "plan.parquet", "parquet"),
        (zipped("plan/doc.kml"), "plan.kmz", "kmz"),
        (zipped("plan/a.shp", "plan/a.dbf"), "plan.zip", "shp"),
        (b"999\r\nmade by hand\r\n  0\r\nSECTION\r\n", "plan.dxf", "dxf"),
        (b"AutoCAD Binary DXF\r\n\x1a\0", "plan.dxf", "dxf"),
        (b"\x89PNG\r\n", "plan.png", "png"),
        (b"\xff\xd8\xff", "plan.JPG", "jpeg"),
        (b"MM\0*", "plan.tif", "tiff"),
        (b"%PDF-1.7", "plan.pdf", "pdf"),
        (b"fgb\x03fgb\0", "plan.fgb", "fgb"),
        (b"<?xml version='1.0'?><osm version='0.6'/>", "plan.osm", "osm"),
        (b'\xef\xbb\xbfMeasure;From;To;"Length";note\r\n', "sheet.csv", "tape"),
        (b"measure,from,to,note\n", "sheet.csv", "csv"),
        (b"lon,lat\n", "plan.txt", "csv"),
        (b'{"lawnmap_reply": 1}', "", "reply"),
        (b'\xef\xbb\xbf{ "lawnmap_reply": 1}', "reply.json", "reply"),
        (b'{"lawnmap_reply": 1}', "reply.geojson", "reply"),
        (b"Dear neighbour,\n> BEGIN LAWNMAP REPLY\n", "", "reply"),
        (b"Dear neighbour,\n> END > LAWNMAP\n| REPLY\n", "mail.eml", "reply"),
        (b"... eyJsYXdubWFwX3JlcGx5 ...", "mail.txt", "reply"),
        (b"begin lawnmap reply", "mail.txt", "csv"),
        (b"0\nSECTION", "plan.dxf", "dxf"),
        (b"0\r\nSECTION", "", "dxf"),
        (b"999\na\n999\nb\n0\nSECTION", "plan.dxf", "dxf"),
        (b"II*\0", "PLAN.TIFF", "tiff"),
        (b'from,"to", LENGTH ,measure', "", "tape"),
        (b"from\tto\tlength\tmeasure\tnote", "a.tsv", "tape"),
        ("from,to,length,measure,größe".encode(), "a.csv", "tape"),
        (b"fromX,to,length,measure", "a.csv", "csv"),
        (b"a,b\nx,from,to,length,measure,y", "a.csv", "csv"),
        (b"a\nfrom,to,length,measure", "a.csv", "csv"),  # the first line is the header
        (b"PAR1", "plan.GeoParquet", "parquet"),
        (b"{}", "plan", "geojson"),
        (b"<a:osm xmlns:a='b'>", "", "osm"),
        (b"\xff\xd8\xff", "", "jpeg"),
        (zipped("a.KML"), "", "kmz"),
        (zipped("a.SHP"), "", "shp"),
        (zipped("a.kml", "a.shp"), "", "kmz"),
        (b"tape 12.5", "plan.tape", "tape"),  # left to whoever offers a reader for it
    ],
)
def test_kinds(data, name, kind):
    assert kind_of(data, name) == kind


@pytest.mark.parametrize(
    ("data", "name", "told"),
    [
        (b'{"lawnmap_reply": 1}', "plan.kml", r"is named \.kml but holds reply"),
        (b"words", "plan.dxf", r"is named \.dxf but its content is not that"),
        (b"9990\nSECTION", "plan.dxf", "its content is not that"),
        (b"PK\x05\x06 and no more", "plan.kmz", "damaged zip"),
        (b"\xff\xfe<", "plan.kml", "is text in UTF-16"),
        (b"\xfe\xff\0<", "", "is text in UTF-16"),
        (b"<gpx/>", "plan.kml", r"is named \.kml but holds gpx"),
        (b"<kml/>", "plan.csv", r"is named \.csv but holds kml"),
        (b"{}", "plan.kml", r"is named \.kml but holds geojson"),
        (b"lon,lat", "plan.geojson", r"is named \.geojson but its content is not that"),
        (b"SQLite format 3\0", "plan.geojson", r"but holds gpkg"),
        (b"\x89PNG\r\n", "plan.geojson", "but holds png"),
        (b"%PDF-1.7", "plan.dxf", "but holds pdf"),
        (b"<svg xmlns='u'/>", "plan.png", "is an SVG picture"),
        (b"<html>", "plan.png", "is a web page"),
        (b"II*\0", "plan.png", "but holds tiff"),
        (b"what,from,to", "plan.dxf", "its content is not that"),
        (b"AC1032", "plan.dwg", "is a DWG drawing"),
        (b"<!DOCTYPE html>\n<html>", "plan.kml", "is a web page"),
        (b"<svg xmlns='u'/>", "plan.svg", "is an SVG picture"),
        (b"<OGRVRTDataSource/>", "plan.kml", "root element <ogrvrtdatasource>"),
        (b"<?xml?>", "plan.kml", "is XML with the root element <?"),
        ("<kml/>".encode("utf-16"), "plan.kml", "UTF-16"),
        ("<kml/>".encode("utf-16-le"), "plan.kml", "UTF-16"),
        ("{}".encode("utf-16-be"), "plan.geojson", "UTF-16"),
        (zipped(), "plan.kmz", "without a shapefile or a KML file"),
        (zipped("a.txt"), "plan.zip", "without a shapefile or a KML file"),
        (zipped("xl/workbook.xml"), "sheet.xlsx", "is an Excel workbook"),
        (zipped("a.kml"), "plan.zip.gpkg", "but holds kmz"),
        (b"PK\x03\x04 and no more", "plan.kmz", "damaged zip"),
        (zipped("../a.kml"), "plan.kmz", "leads out of the archive"),
    ],
)
def test_refusals(data, name, told):
    with pytest.raises(InputRefused, match=told) as caught:
        kind_of(data, name)
    assert caught.value.file == name
    assert caught.value.remedy


def test_comments_without_a_root_do_not_take_for_ever():
    """Tried in every way of grouping them, these would take 2 to the 8,000 steps."""
    start = time.process_time()
    with pytest.raises(InputRefused, match="root element"):
        kind_of(b"<!---->" * 8_000 + b"<", "plan.kml")
    assert time.process_time() - start < 2


@pytest.mark.parametrize("data", [b"x", b"{}", b"<gml/>", b"PK\x03\x04", b"\xff\xfex", b"%PDF-1.7"])
def test_a_suffix_of_an_outside_reader_is_its_own_whatever_the_content(data):
    assert kind_of(data, "PLAN.Odd", ["odd"]) == "odd"


def test_a_suffix_of_ours_is_never_somebody_elses():
    assert kind_of(b"<kml/>", "plan.kml", ["kml", "json"]) == "kml"
    assert kind_of(b"{}", "plan.json", ["kml", "json"]) == "geojson"
    assert kind_of(b"<kml/>", "", ["odd"]) == "kml"
