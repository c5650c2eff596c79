"""The job ``sun`` on a site folder: kept, found again, used by the plan, refused."""

import datetime as dt
import sys
from pathlib import Path

import numpy as np
import pytest
from shapely import box

from lawnmap.errors import ExtraNeeded, InputRefused, UsageProblem
from lawnmap.jobs.choices import choices
from lawnmap.jobs.issue import inputs_of
from lawnmap.jobs.opening import Opened, open_site
from lawnmap.jobs.outlook import Depot, outlook
from lawnmap.jobs.plan import plan
from lawnmap.jobs.sun import Asked, sun
from lawnmap.jobs.tracing.inputs import origin
from lawnmap.processing.disclose import disclose
from lawnmap.processing.editing.keyed import keyed
from lawnmap.processing.sun import zone_sun as step
from lawnmap.schema import columns
from lawnmap.store import site as site_store
from lawnmap.store import sunlight
from lawnmap.store.folder import Folder
from tests.processing.sun.garden import building, site, tree, zone

TODAY = dt.date(2026, 11, 26)
ASKED = Asked(TODAY)
CHEAP = Asked(TODAY, step_m=1.0)


def shaded():
    """Return a lawn between two tall buildings, that sees the sun about noon, and an open one."""
    return (
        zone(box(0, 0, 6, 20), "dark", moss_rating=3, thatch_rating=1),
        zone(box(40, 0, 60, 10), "open", moss_rating=3, thatch_rating=1, sun_hours_seen=5),
        building(box(-12, -30, -0.1, 50), 30),
        building(box(6.1, -30, 18, 50), 30),
        tree(70, 0, name="Oak"),
    )


@pytest.fixture
def folder(tmp_path):
    made = Folder(tmp_path / "garden")
    site_store.create(made, site(*shaded()))
    return made


def planned(folder):
    opened = open_site(folder.path)
    chosen = choices(opened, depot=None, personal=Path(folder.path) / "nobody", today=TODAY)
    return plan(opened.site, chosen, today=TODAY, sun=sunlight.kept(folder))


def test_hours_are_kept_and_found_again(folder, monkeypatch):
    first = sun(open_site(folder.path), CHEAP)
    assert not first.kept
    assert first.zones.loc["dark", "sun_hours"] < 4 < first.zones.loc["open", "sun_hours"]

    def never(*_, **__):
        raise AssertionError

    monkeypatch.setattr(step, "sky", never)
    again = sun(open_site(folder.path), CHEAP)
    assert again.kept
    assert again.sunlight == first.sunlight
    assert again.zones["sun_hours"].tolist() == first.zones["sun_hours"].tolist()
    with pytest.raises(AssertionError):  # another question is another answer
        sun(open_site(folder.path), Asked(TODAY, dt.date(2026, 6, 1), step_m=1.0))


def test_they_never_go_into_the_site_file(folder):
    before = folder.site.read_bytes()
    sun(open_site(folder.path), CHEAP)
    assert folder.site.read_bytes() == before
    assert [each.parent.name for each in folder.private.rglob("sun-*.json")] == ["cache"]


def test_the_plan_uses_them_where_nobody_saw_the_sun(folder):
    without = planned(folder)
    assert without.zones.loc["dark", "verdict"] != "not for grass"
    assert without.grids["sun"] == ()
    sun(open_site(folder.path), CHEAP)
    made = planned(folder)
    assert made.zones.loc["dark", ["verdict", "sun_source"]].tolist() == [
        "not for grass", "worked out",
    ]  # fmt: skip
    assert made.zones.loc["open", ["sun_used_h", "sun_source"]].tolist() == [5.0, "seen"]
    assert any("open (5 h seen" in each for each in made.warnings)
    (drawn,) = disclose(made, "public").plan.grids["sun"]
    assert np.isfinite(drawn.cells).sum() > 200


def test_when_a_tree_is_felled_the_plan_says_so_and_uses_them_no_more(folder):
    sun(open_site(folder.path), CHEAP)
    there = site_store.load(folder)
    kept = [each for each in there.document["features"] if each["properties"].get("name") != "Oak"]
    site_store.save(folder, there.with_features(kept))
    made = planned(folder)
    assert np.isnan(made.zones.loc["dark", "sun_hours"])
    assert made.zones.loc["dark", "verdict"] != "not for grass"
    assert any("trees, hedges, fences or buildings" in each for each in made.warnings)
    assert not sun(open_site(folder.path), CHEAP).kept
    assert planned(folder).zones.loc["dark", "verdict"] == "not for grass"


def test_the_marking_page_foretells_by_the_same_hours(folder):
    opened = open_site(folder.path)
    features = keyed(opened.site.document["features"])
    depot = Depot(None, Path(folder.path) / "nobody", TODAY)
    before = outlook(folder, opened.site, features, "dark", depot)
    assert before.steps
    sun(opened, CHEAP)
    (named,) = set(outlook(folder, opened.site, features, "dark", depot).why)
    assert "of direct sun a day is under 4 h" in named
    assert named not in before.why


def test_an_issued_plan_names_the_hours_it_rests_on(folder):
    assert "sun" not in inputs_of(planned(folder), folder, audience="client", units="metric")
    found = sun(open_site(folder.path), CHEAP)
    inputs = inputs_of(planned(folder), folder, audience="client", units="metric")
    assert inputs["sun"] == {"dark": found.sunlight.zones["dark"].mean_h}


def test_a_trace_says_whose_hours_they_are():
    column = next(each for each in columns("zones") if each.name == "sun_used_h")
    said = [
        origin("sun_used_h", None, {"sun_source": whose}, column)
        for whose in ("seen", "worked out")
    ]
    assert said == ["seen; in the site file", "worked out by lawnmap sun"]


def test_a_winters_day_does_not_make_a_lawn_dark(folder):
    sun(open_site(folder.path), Asked(TODAY, dt.date(2026, 12, 21), step_m=1.0))
    assert np.isnan(planned(folder).zones["sun_hours"]).all()


def test_the_season_is_that_of_the_hemisphere_and_the_year():
    opened = Opened(site(*shaded()), None)
    found = sun(opened, CHEAP).sunlight
    assert (found.first, found.last, found.season) == (
        dt.date(2026, 4, 1), dt.date(2026, 9, 30), True,
    )  # fmt: skip


def test_a_site_without_a_place_is_refused():
    with pytest.raises(InputRefused) as caught:
        sun(Opened(site(*shaded(), placed=False, anchor=[0, 0]), None), ASKED)
    assert "lawnmap place" in str(caught.value)
    with pytest.raises(InputRefused, match="no zone on this site"):
        sun(Opened(site(tree(0, 0)), None), ASKED)
    covered = site(zone(box(0, 0, 5, 5)), building(box(-9, -9, 9, 9), 3))
    with pytest.raises(InputRefused, match="no lawn"):
        sun(Opened(covered, None), ASKED)


@pytest.mark.parametrize(
    ("first", "last"),
    [(None, "2026-05-01"), ("2026-05-02", "2026-05-01"), ("2026-01-01", "2027-06-01")],
)
def test_days_that_make_no_range_are_refused(first, last):
    days = [dt.date.fromisoformat(each) if each else None for each in (first, last)]
    with pytest.raises(UsageProblem):
        sun(Opened(site(*shaded()), None), Asked(TODAY, *days))


def test_without_pvlib_what_was_kept_is_still_found(folder, monkeypatch):
    sun(open_site(folder.path), CHEAP)
    monkeypatch.setitem(sys.modules, "pvlib", None)
    assert sun(open_site(folder.path), CHEAP).kept
    with pytest.raises(ExtraNeeded):
        sun(open_site(folder.path), ASKED)
