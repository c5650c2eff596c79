import json

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.store import document
from tests.store.sites import site, zone


def test_the_text_ends_with_a_newline_and_reads_as_json():
    written = document.encode(site(zone("a1")).document, name="site.geojson")
    assert written.data.endswith(b"\n]\n}\n")
    assert json.loads(written.data) == written.document


def test_members_we_do_not_know_stand_between_header_and_features():
    value = {"bbox": [0, 0, 1, 1], **site().document, "by": "somebody"}
    data = document.encode(value, name="site.geojson").data
    assert list(json.loads(data)) == ["type", "lawnmap", "bbox", "by", "features"]


def test_a_document_that_is_no_good_site_is_not_encoded():
    bad = zone("a1")
    bad["geometry"]["coordinates"][0][-1] = [0.5, 52.5]
    with pytest.raises(InputRefused, match="not closed") as caught:
        document.encode(site(bad).document, name="site.geojson")
    assert caught.value.file == "site.geojson"
    with pytest.raises(InputRefused, match="another program"):
        document.encode({"type": "FeatureCollection", "features": []}, name="site.geojson")


def test_a_site_that_could_not_be_loaded_again_is_not_encoded(monkeypatch):
    monkeypatch.setattr(document, "SITE", SITE._replace(file_bytes=100))
    with pytest.raises(InputRefused, match="larger than"):
        document.encode(site(zone("a1")).document, name="site.geojson")


def test_text_that_reads_back_otherwise_is_not_written(monkeypatch):
    monkeypatch.setattr(document, "decode", lambda data, name: site(zone("b2")).document)
    with pytest.raises(InputRefused, match="does not read back"):
        document.encode(site(zone("a1")).document, name="site.geojson")


@pytest.mark.parametrize(
    ("value", "revision"),
    [
        ({"lawnmap": {"format": 1, "revision": 3}}, 3),
        ({"lawnmap": {"format": 2, "revision": 3}}, 3),
        ({"lawnmap": {"revision": 3}}, None),
        ({"lawnmap": {"format": 1, "revision": True}}, None),
        ({"lawnmap": {"format": 1, "revision": "3"}}, None),
        ({"lawnmap": []}, None),
        ({}, None),
        ({"lawnmap": {"format": 1, "revision": 3}, "crs": None}, None),
    ],
)
def test_a_revision_counts_only_from_lawnmap(value, revision):
    assert document.revision_of(value) == revision
