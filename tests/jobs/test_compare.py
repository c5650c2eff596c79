"""A re-survey after a season: close, work, count again, compare."""

import datetime as dt

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.assess import assess
from lawnmap.jobs.compare import compare
from lawnmap.jobs.survey import again, closed, listed, survey
from lawnmap.store import site as site_store
from tests.processing.surveying.test_compare import core, frames, thatch, zone
from tests.store.sites import made

SPRING, AUTUMN = dt.date(2027, 3, 1), dt.date(2027, 10, 1)


@pytest.fixture
def garden(tmp_path):
    path = tmp_path / "garden"
    _, site = made(path, zone("a"), zone("b", 30, moss_rating=4), *frames(60), *thatch(18, 22))
    return path, site


def resurveyed(garden, *cores):
    path, _ = garden
    folder = site_store.find(path)
    site = site_store.load(folder)
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
    first, second = found.zones
    assert first.said[0].startswith("moss cover: it worked. Before 60 %")
    assert len(first.said) == 2
    assert (second.zone_id, second.name) == ("b", "")
    assert second.said[0].startswith("moss cover: cannot be told, rated by eye both times.")


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


def test_the_site_knows_the_day_it_was_surveyed(garden):
    path, site = garden
    assert site.surveyed is None
    survey(path, day=SPRING)
    assert site_store.load(path).surveyed == SPRING
    assert again(path, day=AUTUMN)[0].surveyed == AUTUMN


def test_nothing_to_compare_with(garden):
    path, _ = garden
    with pytest.raises(InputRefused, match="Close a survey before the work"):
        compare(path)
    with pytest.raises(InputRefused, match="no closed survey '2020-01-01'"):
        compare(path, earlier="2020-01-01")


def test_nothing_that_could_be_judged_is_said(garden):
    path, _ = garden
    survey(path, day=SPRING)
    with pytest.raises(InputRefused, match="nothing was looked at since the survey of 2027-03-01"):
        compare(path)
    assess(path, {"b": {"moss_rating": 1}})
    found = compare(path)
    assert found.warnings[0].startswith("Nothing could be judged.")
    assert found.zones[1].said == (
        "moss cover: cannot be told, rated by eye both times. Before 50 to 75 %, after 0 to 5 %.",
    )


def test_the_site_as_it_was_closed_is_held_against_the_survey_before(garden):
    path, _ = garden
    survey(path, day=SPRING)
    resurveyed(garden, *frames(30, x=8))
    survey(path, day=AUTUMN)
    found = compare(path)
    assert (found.earlier, found.later) == ("2027-03-01", "now")


def test_photos_of_before_and_after(garden):
    path, site = garden
    old, new, gone = (f"photos/{letter * 64}.webp" for letter in "abc")
    (path / "photos").mkdir()
    for each in (old, new):
        (path / each).write_bytes(b"picture")

    def with_photos(*names):
        there = site_store.load(site_store.find(path))
        zone_a, *rest = there.document["features"]
        facts = {**zone_a["properties"], "photos": list(names)}
        site_store.save(
            site_store.find(path), there.with_features([{**zone_a, "properties": facts}, *rest])
        )

    with_photos(old, gone, "../../secret", 7)
    survey(path, day=SPRING)
    bare, _ = again(path, day=AUTUMN)
    with pytest.raises(InputRefused, match="nothing was looked at"):
        compare(path)
    resurveyed((path, bare), *frames(30))
    with_photos(old, new)
    zone_a = compare(path).zones[0]
    assert zone_a.photos_before == (old, f"{gone} (the file is gone)")
    assert zone_a.photos_after == (new,)
    assert site.revision == 1


def test_chance_is_said_where_there_are_many(tmp_path):
    path = tmp_path / "park"
    zones = [zone(f"z{n}", 30 * n) for n in range(20)]
    counted = [each for n in range(20) for each in frames(50, x=30 * n + 5)]
    _, site = made(path, *zones, *counted)
    survey(path, day=SPRING)
    resurveyed((path, site), *(each for n in range(20) for each in frames(50, x=30 * n + 8)))
    found = compare(path)
    assert (found.table["verdict"] == "within the noise").sum() == 20
    assert "Of 20 comparisons about 1" in found.warnings[-1]


def test_what_cannot_be_closed(garden, tmp_path):
    path, _ = garden
    with pytest.raises(InputRefused, match="still to come"):
        survey(path, day=AUTUMN, today=SPRING)
    made(tmp_path / "bare", core())
    with pytest.raises(InputRefused, match="no zones"):
        survey(tmp_path / "bare", day=SPRING)
    made(tmp_path / "unseen", zone(soil_ph=6))
    with pytest.raises(InputRefused, match="nothing was looked at"):
        survey(tmp_path / "unseen", day=SPRING)


def test_a_survey_begun_again_has_the_new_cores_only(garden):
    path, site = garden
    survey(path, day=SPRING)
    bare, _ = again(path, day=AUTUMN)
    assert bare.revision == site.revision + 2
    assert [each["properties"] for each in bare.document["features"]] == [
        {"feature": "zone", "zone_id": "a"}, {"feature": "zone", "zone_id": "b"},
    ]  # fmt: skip
    assert bare.zones.geometry.equals(site.zones.geometry)
    resurveyed((path, bare), *frames(30))
    found = compare(path)
    assert found.table["verdict"].iloc[0] == "better"
    assert found.table["after"].iloc[0] == 30


def test_whether_it_is_closed(garden):
    path, _ = garden
    assert not closed(path)
    survey(path, day=SPRING)
    assert closed(path)
    again(path, day=AUTUMN)
    assert not closed(path)
    with pytest.raises(InputRefused, match="nothing was looked at"):  # no empty survey is closed
        survey(path, day=AUTUMN)
    assert [each.name for each in listed(path)] == ["2027-03-01"]


def test_nothing_seen_is_lost_by_beginning_again(garden):
    path, site = garden
    with pytest.raises(InputRefused, match="not closed"):
        again(path, day=AUTUMN)
    survey(path, day=SPRING)
    resurveyed(garden, *frames(30, x=8))
    with pytest.raises(InputRefused, match="not closed"):
        again(path, day=AUTUMN)
    assert site_store.load(path).revision == site.revision + 2


def test_surveys_of_unlike_seasons_are_told(garden):
    path, _ = garden
    survey(path, day=SPRING)
    resurveyed(garden, *frames(30, x=8))
    survey(path, day=AUTUMN)
    told = compare(path, later="2027-10-01").warnings
    assert "2027-03-01 and 2027-10-01 are unlike times of the year" in told[0]


def test_surveys_a_year_apart_are_alike(garden):
    path, _ = garden
    survey(path, day=SPRING)
    resurveyed(garden, *frames(30, x=8))
    survey(path, day=dt.date(2028, 3, 20))
    assert not any("unlike" in each for each in compare(path, later="2028-03-20").warnings)
