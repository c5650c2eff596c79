"""``lawnmap survey`` as a person types it."""

import pytest

from lawnmap.store import site as site_store
from tests.cli.runner import run
from tests.processing.surveying.test_compare import core, frames, thatch, zone
from tests.store.sites import made


@pytest.fixture
def garden(tmp_path):
    path = tmp_path / "garden"
    made(path, zone("a"), zone("b", 30, moss_rating=3), *frames(60), *thatch(18, 22))
    return path


def test_a_survey_is_closed_and_begun_again(garden):
    assert run("survey", garden, "--list").out == "No survey has been closed yet.\n"
    outcome = run("survey", garden, "--day", "2026-03-01")
    assert outcome.code == 0, outcome.err
    assert outcome.out == (
        "Closed the survey 2026-03-01. Of 2 zones: moss counted on points in 1, cores in 1.\n"
    )
    assert "1 of 2 zones have neither counted points nor cores (b)" in outcome.err
    assert (garden / "surveys" / "2026-03-01.geojson").is_file()
    begun = run("survey", garden, "--again")  # it is closed already: only taken off
    assert begun.code == 0, begun.err
    assert begun.out.startswith("Cores and what was seen of moss, thatch and sward are off")
    assert run("survey", garden, "--list").out == "2026-03-01\n"
    assert list(site_store.load(site_store.find(garden)).features["feature"]) == []


def test_as_json(garden):
    outcome = run("survey", garden, "--again", "--today", "2026-03-01", "--json", "-q")
    assert outcome.code == 0
    assert outcome.json["result"] == {
        "survey": "2026-03-01", "zones": 2, "counted": 1, "cored": 1, "begun_again": True,
        "revision": 3,
    }  # fmt: skip
    assert run("survey", garden, "--list", "--json").json["result"] == {"surveys": ["2026-03-01"]}


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (("--day", "1/3/2026"), 2, "'1/3/2026' is not a date: write YYYY-MM-DD"),
        (("--day", "2026-02-30"), 2, "is not a date"),
        (("--day", "2026-03-02", "--today", "2026-03-01"), 3, "2026-03-02 is still to come"),
        (("--list", "--again"), 2, "--list only lists"),
        (("--list", "--day", "2026-03-01"), 2, "--list only lists"),
        (("--to", "now"), 2, "No such option"),
    ],
)
def test_what_is_wrong_is_told(garden, options, code, words):
    before = (garden / "site.geojson").read_bytes()
    outcome = run("survey", garden, *options)
    assert outcome.code == code
    assert words in outcome.err
    assert outcome.out == ""
    assert (garden / "site.geojson").read_bytes() == before
    assert not (garden / "surveys").exists()


def test_where_nothing_can_be_closed(garden, tmp_path):
    nowhere = run("survey", tmp_path / "nowhere")
    assert (nowhere.code, "holds no site.geojson" in nowhere.err) == (3, True)
    made(tmp_path / "bare", core())
    assert "has no zones to survey" in run("survey", tmp_path / "bare").err
    made(tmp_path / "unseen", zone("a"))
    assert "nothing was looked at" in run("survey", tmp_path / "unseen").err
    assert run("survey", garden).code == 0
    twice = run("survey", garden)
    assert twice.code == 3
    assert "nothing was surveyed since" in twice.err
    (tmp_path / "bare" / "surveys").write_text("no folder", encoding="utf-8")
    assert "cannot be listed" in run("survey", tmp_path / "bare", "--list").err
