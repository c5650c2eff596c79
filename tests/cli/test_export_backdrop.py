"""``lawnmap export --backdrop``: a plan picture is handed over by request only."""

import base64

import pytest

from lawnmap.files.admit import admit
from lawnmap.jobs import pictures
from lawnmap.jobs.read import empty_site
from lawnmap.jobs.reading import Reading, found_in
from lawnmap.jobs.start import start
from tests.cli.runner import SAMPLE, run


@pytest.fixture(scope="module")
def garden(tmp_path_factory):
    """Return a site with zones and a plan picture."""
    home = tmp_path_factory.mktemp("site") / "garden"
    start(home, sample=True)
    found = found_in(admit(SAMPLE / "plans" / "garden.tif"), Reading())
    (home / "backdrop").mkdir()
    for name, data in pictures.take(empty_site(), found, Reading()).files.items():
        (home / name).write_bytes(data)
    return home


def address(home):
    return base64.b64encode((home / "backdrop" / "garden.webp").read_bytes())


@pytest.mark.parametrize("audience", ["owner", "crew", "client", "public"])
def test_no_audience_gets_it_unasked(garden, tmp_path, audience):
    made = tmp_path / "map.html"
    assert run("export", garden, "--to", "map", "--audience", audience, "-o", made).code == 0
    assert address(garden) not in made.read_bytes()
    assert b"image/webp" not in made.read_bytes()


def test_asked_for_it_is_in_the_map_and_nowhere_else(garden):
    outcome = run("export", garden, "--to", "map", "--to", "sheet", "--backdrop")
    assert outcome.code == 0, outcome.err
    assert address(garden) in (garden / "exports" / "map.html").read_bytes()
    assert address(garden) not in (garden / "exports" / "sheet.html").read_bytes()


def test_an_issued_map_has_none(garden):
    assert run("issue", garden, "--to", "owner", "The owner").code == 0
    (issued,) = garden.glob("issued/*/map.html")
    assert b"image/webp" not in issued.read_bytes()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--to", "sheet"), "--backdrop is for the map"),
        (("--to", "map", "--schematic"), "may tell the place that --schematic leaves out"),
    ],
)
def test_what_goes_against_it_is_refused(garden, more, said):
    outcome = run("export", garden, *more, "--backdrop")
    assert outcome.code == 3
    assert said in outcome.err


def test_a_site_without_one_is_told(tmp_path):
    start(tmp_path / "bare", sample=True)
    outcome = run("export", tmp_path / "bare", "--to", "map", "--backdrop")
    assert outcome.code == 3
    assert "has no plan picture" in outcome.err
    outcome = run("export", SAMPLE / "plan.geojson", "--to", "map", "--backdrop", "-o", "-")
    assert "a plan picture is kept in a site folder" in outcome.err


def test_the_help_says_why():
    said = " ".join(run("export", "--help").out.split())
    assert "a plan may have a name and an address written on it" in said
