"""``lawnmap compare`` as a person types it."""

from xml.etree import ElementTree as ET

import pytest

from lawnmap.jobs.survey import again, survey
from lawnmap.store import site as site_store
from tests.cli.runner import run
from tests.jobs.test_compare import AUTUMN, SPRING
from tests.processing.surveying.test_compare import frames, thatch, zone
from tests.store.sites import made


def add(path, *cores):
    folder = site_store.find(path)
    site = site_store.load(folder)
    site_store.save(folder, site.with_features([*site.document["features"], *cores]))


@pytest.fixture
def garden(tmp_path):
    path = tmp_path / "garden"
    made(path, zone("a", name="Front"), zone("b", 30, moss_rating=4), zone("c", 60),
         *frames(60), *thatch(18, 20, 22), *frames(40, x=65))  # fmt: skip
    survey(path, day=SPRING)
    again(path, day=AUTUMN)
    add(path, *frames(30), *thatch(19, 20, 21, x=9), *frames(30, x=66))
    return path


def test_did_it_work(garden):
    outcome = run("compare", garden)
    assert outcome.code == 0, outcome.err
    # Wilson intervals of 60 and 30 of 100: 50.2 to 69.1 and 21.9 to 39.6 (Newcombe 1998, by hand).
    assert (
        outcome.out
        == """\
From the survey of 2027-03-01 to the site as it is now:

a: Front
  moss cover: it worked. Before 60 % (50 to 69 %, 100 points), after 30 % (22 to 40 %, 100
    points): 30 % of the ground less (16 to 42 % less).
  thatch: cannot be told from these cores: just the same both times. Before 20 mm (15 to 25 mm,
    3 cores), after 20 mm (17.5 to 22.5 mm, 3 cores): no change (from 5.6 mm less to 5.6 mm
    more).

c
  moss cover: cannot be told from these counts: count 400 more points (4 frames). Before 40 %
    (31 to 50 %, 100 points), after 30 % (22 to 40 %, 100 points): 10 % of the ground less (from
    23 % less to 3 % more).

Not looked at both times: b.
"""
    )
    assert outcome.err.startswith("Note: 2027-03-01 and 2027-10-01 are unlike times of the year")
    assert "A rating, a figure or a single core has no known noise" in outcome.err


def test_as_json(garden):
    result = run("compare", garden, "--json", "-q").json["result"]
    assert (result["earlier"], result["later"], result["chart"]) == ("2027-03-01", "now", None)
    first = result["rows"][0]
    assert (first["zone_id"], first["measure"], first["verdict"]) == ("a", "moss cover", "better")
    assert first["change_high"] < 0
    assert result["rows"][4]["more"] == 400
    assert result["zones"][0]["said"][0].startswith("moss cover: it worked.")


def test_a_chart_is_drawn(garden, tmp_path):
    target = tmp_path / "chart.svg"
    outcome = run("compare", garden, "--chart", target, "--today", "2027-10-01")
    assert outcome.code == 0, outcome.err
    assert outcome.out.endswith(f"\nChart: {target}\n")
    told = ET.parse(target).getroot().find("{http://www.w3.org/2000/svg}desc").text
    assert "a, moss cover: 2027-03-01 60 % (50 to 69); 2027-10-01 30 % (22 to 40)." in told
    before = target.read_bytes()
    twice = run("compare", garden, "--chart", target, "--today", "2027-10-01")
    assert twice.code == 2
    assert "Give --force to replace it" in twice.err
    assert target.read_bytes() == before
    assert run("compare", garden, "--chart", target, "--force").code == 0


def test_a_damaged_survey_is_named_and_left_out_of_the_chart(garden, tmp_path):
    survey(garden, day=AUTUMN)
    (garden / "surveys" / "2027-10-01.geojson").write_text("{", encoding="utf-8")
    outcome = run("compare", garden)
    assert outcome.code == 4
    assert "surveys/2027-10-01.geojson: line 1" in outcome.err
    drawn = run("compare", garden, "--from", "2027-03-01", "--chart", tmp_path / "c.svg")
    assert drawn.code == 0
    assert "The survey 2027-10-01 is left out of the chart" in drawn.err


def test_planned_against_applied(tmp_path):
    garden = tmp_path / "garden"
    assert run("start", garden, "--sample").code == 0
    assert run("issue", garden, "--to", "crew", "Crew", "--today", "2026-09-14", "-q").code == 0
    done = ("record", garden, "terrace", "iron_soluble", "amount=1 kg", "date=2026-09-16")
    assert run(*done, "--today", "2026-09-20", "-q").code == 0
    outcome = run("compare", garden, "--applied")
    assert outcome.code == 0, outcome.err
    assert outcome.out.startswith("The plan issued on 2026-09-14 (")
    terrace = outcome.out[outcome.out.index("terrace: ") : outcome.out.index("main: ")]
    assert "  scarifying: planned, not recorded." in terrace
    assert "recorded on 2026-09-16 with 1,000 g" in " ".join(terrace.split())
    assert "more than planned" in " ".join(terrace.split())
    assert "leave it alone" not in outcome.out
    rows = run("compare", garden, "--applied", "--json").json["result"]["rows"]
    (row,) = [each for each in rows if each["applied_times"]]
    assert (row["zone_id"], row["operation"], row["applied"]) == ("terrace", "iron_soluble", 1000)


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (("--from", "1999-01-01"), 3, "no closed survey '1999-01-01'"),
        (("--from", "../../elsewhere"), 3, "no closed survey '../../elsewhere'"),
        (("--from", "now"), 3, "no closed survey 'now'"),
        (("--to", "2027-03-0"), 3, "The surveys are: 2027-03-01."),
        (("--to", "2027-03-01"), 3, "there is no earlier survey"),
        (("--from", "2027-03-01", "--to", "2027-03-01"), 3, "is not earlier than"),
        (("--chart", "chart.png"), 2, "End its name in .svg"),
        (("--chart", "nowhere/chart.svg"), 5, "its folder does not exist"),
        (("--today", "soon"), 2, "'soon' is not a date"),
        (("--applied",), 3, "no plan has been issued"),
        (("--applied", "--chart", "c.svg"), 2, "--applied compares no surveys"),
        (("--applied", "--from", "2027-03-01"), 2, "--applied compares no surveys"),
    ],
)
def test_what_is_wrong_is_told(garden, options, code, words):
    outcome = run("compare", garden, *options)
    assert outcome.code == code
    assert words in outcome.err
    assert outcome.out == ""


def test_nothing_to_compare(garden, tmp_path):
    assert "holds no site.geojson" in run("compare", tmp_path / "nowhere").err
    made(tmp_path / "new", zone("a", moss_rating=3))
    outcome = run("compare", tmp_path / "new")
    assert outcome.code == 3
    assert "Close a survey before the work: lawnmap survey." in outcome.err
    survey(garden, day=AUTUMN)
    again(garden, day=AUTUMN)
    assert "nothing was looked at since the survey of 2027-10-01" in run("compare", garden).err
