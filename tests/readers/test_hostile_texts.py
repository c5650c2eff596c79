"""Fair files that look odd and must be read, every format by its reader.

What must be refused is in ``tests/hostile``, from the command line to the refusal.
"""

import json
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.files.admit import admit
from lawnmap.found import Found
from tests.hostile.archives import zipped
from tests.hostile.texts import GOOD_KML, SQUARE, lawn, track

SAMPLE = Path(__file__).parents[2] / "sample_geo"


def found(path, layer=None):
    """Read a file as a person's command does, the first layer of several."""
    source = admit(path)
    reader = plugins.load("readers", source.kind)
    layers = reader.look(source)
    return reader.read(source, layer=layer or (layers[0].name if layers else None))


FAIR = {
    "clockwise.geojson": lawn({"type": "Polygon", "coordinates": [SQUARE[::-1]]}),
    "bow_tie.geojson": lawn(  # judged later, by every format's same rule
        {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}
    ),
    "mark.geojson": b"\xef\xbb\xbf" + lawn(),
    "vrt_name.geojson": lawn(name="<OGRVRTDataSource><OGRVRTLayer/></OGRVRTDataSource>"),
    "template.geojson": lawn(name="{{ 7 * 7 }} ${7 * 7} <img src=x onerror=alert(1)>"),
    "heights.geojson": lawn({"type": "Polygon", "coordinates": [[[*p, 80] for p in SQUARE]]}),
    "plain.kml": GOOD_KML,
    "latin.kml": b'<?xml version="1.0" encoding="ISO-8859-1"?>' + GOOD_KML,
    "plain.kmz": zipped(**{"doc.kml": GOOD_KML, "files/photo.png": b"x"}),
    "plain.gpx": track(b'<trkpt lat="53.001" lon="-2"/>'),
    "old.gpx": track(b'<trkpt lat="53.001" lon="-2"/>').replace(b"1/1", b"1/0"),
    "points.csv": b"name,lon,lat\nTap,-2,53\n",
    "semicolons.csv": b"name;x;y\nTap;430000.5;433000\n",
}


@pytest.mark.parametrize("name", FAIR)
def test_fair_files_are_read(name, tmp_path):
    path = tmp_path / name
    path.write_bytes(FAIR[name])
    assert len(found(path).features) == 1


@pytest.mark.parametrize("name", ["plan.geojson", "plan.kml", "plan.kmz", "plan.gpx", "plan.csv"])
def test_the_sample_is_read(name):
    answer = found(SAMPLE / name)
    assert isinstance(answer, Found)
    assert answer.features


def test_names_pass_as_they_are_typed(tmp_path):
    name = json.loads(FAIR["template.geojson"])["features"][0]["properties"]["name"]
    (tmp_path / "a.geojson").write_bytes(FAIR["template.geojson"])
    assert found(tmp_path / "a.geojson").features[0].properties["name"] == name
