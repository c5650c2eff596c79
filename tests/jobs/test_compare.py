"""A re-survey after a season: close, work, count again, compare."""

import datetime as dt

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.compare import compare
from lawnmap.jobs.survey import again, listed, survey
from lawnmap.store import site as site_store
from tests.processing.test_compare import core, frames, thatch, zone
from tests.store.sites import made

SPRING, AUTUMN = dt.date(2027, 3, 1), dt.date(2027, 10, 1)


@pytest.fixture
def garden(tmp_path):
    path = tmp_path / "garden"
    _, site = made(path, zone("a"), zone("b", 30, moss_rating=4), *frames(60), *thatch(18, 22))
    return path, site


def resurveyed(garden, *cores):
    path, site = garden
    folder = site_store.find(path)
    return site_store.save(folder, site.with_features([*site.document["features"], *cores])).site


def test_a_season(garden):
    path, _ = garden
    closed = survey(path, day=SPRING)
    assert (closed.survey.name, closed.zones, closed.counted, closed.cored) == (
        "2027-03-01", 2, 1, 1,
    )  # fmt: skip
    assert "1 of 2 zones" in closed.warnings[0]
    resurveyed(garden, *frames(30, x=8), core(9, thatch_mm=9), core(11, thatch_mm=11))
    found = compare(path)
    assert (found.earlier, found.later) == ("2027-03-01", "now")
    verdicts = {(r["zone_id"], r["measure"]): r["verdict"] for _, r in found.table.iterrows()}
    assert verdicts["a", "moss cover"] == "better"
    assert verdicts["a", "thatch"] == "within the noise"  # two cores each time tell little
    assert verdicts["b", "moss cover"] == "not measured alike"
    assert found.sentences[0].startswith("a, moss cover: better.")
    assert len(found.sentences) == 4


def test_two_closed_surveys(garden):
    path, _ = garden
    survey(path, day=SPRING)
    resurveyed(garden, *frames(30, x=8))
    survey(path, day=AUTUMN)
    found = compare(path, later="2027-10-01")
    assert found.earlier == "2027-03-01"
    assert found.table["verdict"].iloc[0] == "better"
    again = compare(path, earlier="2027-03-01", later="2027-10-01")
    assert again.table.equals(found.table)
    assert [each.name for each in listed(path)] == ["2027-10-01", "2027-03-01"]
    with pytest.raises(InputRefused, match="not earlier"):
        compare(path, earlier="2027-10-01", later="2027-03-01")
    with pytest.raises(InputRefused, match="no earlier survey"):
        compare(path, later="2027-03-01")


def test_nothing_to_compare_with(garden):
    path, _ = garden
    with pytest.raises(InputRefused, match="Close a survey before the work"):
        compare(path)
    with pytest.raises(InputRefused, match="no closed survey '2020-01-01'"):
        compare(path, earlier="2020-01-01")


def test_nothing_that_could_be_judged_is_said(garden):
    path, _ = garden
    survey(path, day=SPRING)
    assert "Nothing could be judged" in compare(path).warnings[0]


def test_chance_is_said_where_there_are_many(tmp_path):
    path = tmp_path / "park"
    zones = [zone(f"z{n}", 30 * n) for n in range(20)]
    counted = [each for n in range(20) for each in frames(50, x=30 * n + 5)]
    _, site = made(path, *zones, *counted)
    survey(path, day=SPRING)
    resurveyed((path, site), *(each for n in range(20) for each in frames(50, x=30 * n + 8)))
    found = compare(path)
    assert (found.table["verdict"] == "within the noise").sum() == 20
    assert "Of 20 comparisons about 1" in found.warnings[0]


def test_what_cannot_be_closed(garden, tmp_path):
    path, _ = garden
    with pytest.raises(InputRefused, match="still to come"):
        survey(path, day=AUTUMN, today=SPRING)
    made(tmp_path / "bare", core())
    with pytest.raises(InputRefused, match="no zones"):
        survey(tmp_path / "bare", day=SPRING)


def test_a_survey_begun_again_has_the_new_cores_only(garden):
    path, site = garden
    survey(path, day=SPRING)
    bare, _ = again(path)
    assert bare.revision == site.revision + 1
    assert [each["properties"] for each in bare.document["features"]] == [
        {"feature": "zone", "zone_id": "a"}, {"feature": "zone", "zone_id": "b"},
    ]  # fmt: skip
    assert bare.zones.geometry.equals(site.zones.geometry)
    resurveyed((path, bare), *frames(30))
    found = compare(path)
    assert found.table["verdict"].iloc[0] == "better"
    assert found.table["after"].iloc[0] == 30


def test_nothing_seen_is_lost_by_beginning_again(garden):
    path, site = garden
    with pytest.raises(InputRefused, match="not closed"):
        again(path)
    survey(path, day=SPRING)
    resurveyed(garden, *frames(30, x=8))
    with pytest.raises(InputRefused, match="not closed"):
        again(path)
    assert site_store.load(path).revision == site.revision + 1
