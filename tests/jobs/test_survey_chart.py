"""The chart is drawn of the closed surveys, and of the site where it says something else."""

import datetime as dt
from xml.etree import ElementTree as ET

import pytest

from lawnmap.errors import InputRefused, UsageProblem, WriteFailed
from lawnmap.jobs.survey import again, survey
from lawnmap.jobs.survey_chart import admit, draw
from lawnmap.store import site as site_store
from tests.processing.surveying.test_compare import frames, zone
from tests.store.sites import made

SPRING, AUTUMN = dt.date(2027, 3, 1), dt.date(2027, 10, 1)


@pytest.fixture
def garden(tmp_path):
    path = tmp_path / "garden"
    made(path, zone("a"), *frames(60))
    survey(path, day=SPRING)
    again(path, day=AUTUMN)
    return path


def told(garden, target, *, later="now", force=False):
    draw(garden, target, later=later, today=AUTUMN, force=force)
    return ET.parse(target).getroot().find("{http://www.w3.org/2000/svg}desc").text


def counted(garden):
    site = site_store.load(site_store.find(garden))
    features = [*site.document["features"], *frames(30, x=8)]
    site_store.save(site_store.find(garden), site.with_features(features))


def test_closed_surveys_and_the_site_as_it_is(garden, tmp_path):
    target = tmp_path / "chart.svg"
    assert told(garden, target) == "a, moss cover: 2027-03-01 60 % (50 to 69)."
    counted(garden)
    both = "a, moss cover: 2027-03-01 60 % (50 to 69); 2027-10-01 30 % (22 to 40)."
    assert told(garden, target, force=True) == both
    survey(garden, day=AUTUMN)
    assert told(garden, target, force=True) == both  # once, now that it is closed
    assert "2027-10-01" not in told(garden, target, later="2027-03-01", force=True)


def test_what_is_not_written(garden, tmp_path):
    target = tmp_path / "chart.svg"
    told(garden, target)
    before = target.read_bytes()
    with pytest.raises(UsageProblem, match="is there already"):
        told(garden, target)
    assert target.read_bytes() == before
    with pytest.raises(WriteFailed, match="folder does not exist"):
        told(garden, tmp_path / "gone" / "chart.svg")
    with pytest.raises(UsageProblem, match="an SVG file"):
        admit(tmp_path / "chart.png")


def test_nothing_to_draw(tmp_path):
    made(tmp_path / "bare", zone("a"))
    with pytest.raises(InputRefused, match="no survey has looked"):
        draw(tmp_path / "bare", tmp_path / "c.svg", later="now", today=AUTUMN, force=False)
