"""Layers chosen by name, by name and kind, or all; what was found keeps what the file said."""

from dataclasses import replace

import pytest

from lawnmap.errors import InputRefused, LayerNeeded, UsageProblem
from lawnmap.files.admit import Source
from lawnmap.found import Found, Heights, Picture
from lawnmap.jobs.reading import Reading, found_in

KML = """<kml xmlns="http://www.opengis.net/kml/2.2"><Document>
<Folder><name>grass</name>{0}</Folder><Folder><name>stems=old</name>{0}</Folder>
</Document></kml>"""
RING = "1,53 1.001,53 1.001,53.001 1,53"
PLACEMARK = (
    "<Placemark><name>it</name><Polygon><outerBoundaryIs><LinearRing>"
    f"<coordinates>{RING}</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
)
PLAN = Source("plan.kml", KML.format(PLACEMARK).encode(), "kml")


def kinds(*layers):
    found = found_in(PLAN, Reading(layers=layers))
    return [each.properties.get("feature") for each in found.features]


def test_several_layers_and_none_chosen():
    with pytest.raises(LayerNeeded, match="2 layers") as caught:
        found_in(PLAN, Reading())
    assert caught.value.file == "plan.kml"


def test_a_layer_by_name_keeps_what_the_file_says():
    assert kinds("grass") == [None]


def test_layers_by_name_and_kind():
    assert kinds("grass=zone", "stems=old=bed") == ["zone", "bed"]


def test_a_name_with_an_equals_sign_is_a_name_first():
    assert kinds("stems=old") == [None]


def test_all_layers():
    assert kinds("*") == [None, None]


@pytest.mark.parametrize(
    ("layer", "told"), [("grass=carpet", "says 'carpet' of 'grass'"), ("moss", "no layer 'moss'")]
)
def test_what_is_not_there_or_not_a_kind_is_refused(layer, told):
    with pytest.raises((InputRefused, UsageProblem), match=told) as caught:
        kinds(layer)
    assert caught.value.file == "plan.kml"
    assert caught.value.remedy


@pytest.mark.parametrize(
    "more",
    [
        {"picture": Picture(b"", "png", 1, 1)},
        {"heights": Heights(None)},
        {"crs": "EPSG:27700"},
        {"unit_m": 0.001},
    ],
)
def test_layers_that_do_not_go_together(more, monkeypatch):
    parts = iter([Found((), None), replace(Found((), None), **more)])

    class Reader:
        @staticmethod
        def look(source):
            return []

        @staticmethod
        def read(source, **options):
            return next(parts)

    monkeypatch.setattr("lawnmap.jobs.reading.reader_for", lambda source: Reader)
    with pytest.raises(InputRefused, match=r"one at a time|different coordinate|differ"):
        found_in(PLAN, Reading(layers=("a", "b")))
