"""``lawnmap sampling`` as a person types it."""

import json
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.cli.runner import run

SAMPLE = Path(__file__).parents[2] / "sample_geo" / "site"
POINTS = "{http://www.topografix.com/GPX/1/1}wpt"


def test_what_is_known_and_how_many_more():
    outcome = run("sampling", SAMPLE, "--zone", "main", "--zone", "orchard")
    assert outcome.code == 0, outcome.err
    assert outcome.out.splitlines() == [
        "main: mean 17 mm, could be 13 to 21 (3 cores); take 2 more.",
        "orchard: no core yet; take 5.",
        "Where: -o cores.gpx writes the places for a phone; the map shows them too.",
    ]


def test_a_margin_asks_for_places_of_chance():
    outcome = run("sampling", SAMPLE, "--zone", "main", "--within", "1", "--json")
    result = json.loads(outcome.out)["result"]
    (zone,) = result["zones"]
    assert (zone["taken"], zone["rule"]) == (3, "cores_for_margin")
    assert len(result["places"]) == zone["more"] > 2
    other = run("sampling", SAMPLE, "--zone", "main", "--within", "1", "--seed", "2", "--json")
    assert json.loads(other.out)["result"]["places"] != result["places"]


def test_places_for_a_phone_and_no_file_is_written_over(tmp_path):
    path = tmp_path / "cores.gpx"
    outcome = run("sampling", SAMPLE, "-o", path)
    assert outcome.code == 0, outcome.err
    count = len(ET.parse(path).getroot().findall(POINTS))
    assert f"{count} places for a phone" in outcome.out
    before = path.read_bytes()
    again = run("sampling", SAMPLE, "--seed", "9", "-o", path)
    assert (again.code, path.read_bytes()) == (2, before)
    piped = run("sampling", SAMPLE, "-o", "-")
    assert piped.out.encode() == before


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (("--within", "0"), "--within"),
        (("--level", "100"), "--level"),
        (("--zone", "x"), "no zone x"),
    ],
)
def test_wrong_words(wrong, said):
    outcome = run("sampling", SAMPLE, *wrong)
    assert outcome.code in (2, 3)
    assert said in outcome.err
    assert "Traceback" not in outcome.err
