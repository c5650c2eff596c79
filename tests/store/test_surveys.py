"""Closed surveys are whole, are found by their day, and never change."""

import datetime as dt
import json

import pytest

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.store.surveys import listed, named
from tests.store.sites import closed, made, zone

DAY = dt.date(2027, 3, 1)


@pytest.fixture
def garden(tmp_path):
    return made(tmp_path / "garden", zone("a1", moss_cover_pct=60))


def test_what_was_closed_reads_back(garden):
    folder, site = garden
    survey = closed(folder, site, day=DAY)
    assert survey.name == "2027-03-01"
    assert survey.read().document["features"] == site.document["features"]
    assert survey.read().header["surveyed"] == "2027-03-01"
    # RFC 7946, read by the standard library
    text = (folder.path / "surveys" / "2027-03-01.geojson").read_text(encoding="utf-8")
    assert json.loads(text)["type"] == "FeatureCollection"


def test_a_closed_survey_is_never_changed(garden):
    folder, site = garden
    closed(folder, site, day=DAY)
    path = folder.surveys / "2027-03-01.geojson"
    before = path.read_bytes()
    changed = site.with_features([zone("a1", moss_cover_pct=10)])
    second = closed(folder, changed, day=DAY)
    third = closed(folder, site, day=DAY)
    assert path.read_bytes() == before
    assert [second.name, third.name] == ["2027-03-01-2", "2027-03-01-3"]
    assert named(folder, "2027-03-01").number == 1


def test_the_last_comes_first(garden):
    folder, site = garden
    assert listed(folder) == []
    for number, day in enumerate((DAY, dt.date(2027, 10, 1), dt.date(2026, 10, 1))):
        closed(folder, site.with_features([zone("a1", bare_pct=number)]), day=day)
    (folder.surveys / "2027-02-30.geojson").write_text("{}", encoding="utf-8")
    (folder.surveys / "notes.txt").write_text("", encoding="utf-8")
    assert [each.name for each in listed(folder)] == ["2027-10-01", "2027-03-01", "2026-10-01"]


def test_the_same_is_not_closed_twice(garden):
    folder, site = garden
    closed(folder, site, day=DAY)
    with pytest.raises(InputRefused, match="nothing was surveyed since"):
        closed(folder, site, day=dt.date(2027, 10, 1))
    assert len(listed(folder)) == 1


def test_a_damaged_survey_is_named_and_in_nobodys_way(garden):
    folder, site = garden
    survey = closed(folder, site, day=DAY)
    (folder.surveys / "2027-03-01.geojson").write_text('{"type": "Feat', encoding="utf-8")
    with pytest.raises(SiteDamaged) as caught:
        survey.read()
    assert caught.value.file == "surveys/2027-03-01.geojson"
    assert "use another survey" in caught.value.remedy
    assert closed(folder, site, day=dt.date(2027, 10, 1)).name == "2027-10-01"


def test_a_link_out_of_the_folder_is_not_followed(garden, tmp_path):
    folder, site = garden
    (tmp_path / "other.geojson").write_bytes(folder.site.read_bytes())
    folder.surveys.mkdir()
    (folder.surveys / "2027-03-01.geojson").symlink_to(tmp_path / "other.geojson")
    with pytest.raises(InputRefused):
        listed(folder)[0].read()
    assert site.revision == 1


def test_which_there_are_is_said(garden):
    folder, site = garden
    with pytest.raises(InputRefused, match="Close one"):
        named(folder, "2027-03-01")
    closed(folder, site, day=DAY)
    with pytest.raises(InputRefused, match=r"surveys are: 2027-03-01\."):
        named(folder, "2027-03-02")


def test_a_survey_that_went_away_is_not_called_damaged(garden):
    folder, site = garden
    survey = closed(folder, site, day=DAY)
    (folder.surveys / "2027-03-01.geojson").unlink()
    with pytest.raises(InputRefused, match="cannot be opened"):
        survey.read()
