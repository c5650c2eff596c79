"""Zones cut along the line where shade begins."""

import datetime as dt

import numpy as np
import pytest
import shapely
from shapely import box

from lawnmap.errors import InputRefused
from lawnmap.geometry.ellipsoid import areas
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.shade import cut, shade
from lawnmap.jobs.sun import Asked, sun
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder
from tests.processing.sun.garden import EQUINOX, LEEDS, building, feature, site, zone

TODAY = dt.date(2026, 11, 26)
# An L: a wing east along a tall house to its south, and a wing north that is open but for the foot.
LAWN = shapely.Polygon([(0, 0), (40, 0), (40, 10), (12, 10), (12, 40), (0, 40)])
HOUSE = box(-60, -10, 100, -0.05)
HEIGHT = 10.0
DAY = Asked(TODAY, EQUINOX)


@pytest.fixture
def folder(tmp_path):
    made = Folder(tmp_path / "garden")
    lawn = zone(LAWN, "l-lawn", moss_rating=4, sun_hours_seen=5, private_note="Old.", name="L lawn")
    bed = feature(box(2, 2, 4, 4), feature="bed")
    other = zone(box(60, 60, 70, 70), "open", moss_rating=1)
    site_store.create(made, site(lawn, bed, other, building(HOUSE, HEIGHT)))
    return made


def proposed(folder, under=6.0):
    opened = open_site(folder.path)
    return shade(opened.site, sun(opened, DAY), under)


def test_the_line_is_where_the_shadow_of_the_house_ends(folder):
    """At the equinox that is a line H·tan(latitude) north of the house: geo.md 5.5."""
    (proposal,) = proposed(folder).proposals
    flat = shapely.transform(proposal.ground, LEEDS.to_metres) & LAWN
    reach = HEIGHT * np.tan(np.radians(53.8))  # 13.66 m: past the wing, into the foot
    expected = (LAWN & box(-1, -1, 50, reach)).area
    assert flat.area == pytest.approx(expected, rel=0.05)
    assert flat.bounds[3] == pytest.approx(reach, abs=1.0)
    assert proposal.shade.mean_h < 6 < proposal.rest.mean_h
    both = proposal.shade.area_m2 + proposal.rest.area_m2
    assert both == pytest.approx(LAWN.area - 4, rel=1e-4)  # the bed is no lawn


def test_a_cut_makes_two_zones_of_one_in_one_revision(folder):
    before = site_store.load(folder)
    saved = cut(folder.path, proposed(folder), TODAY)
    assert saved.site.revision == before.revision + 1
    assert saved.made == {"l-lawn": ("l-lawn-shade", "l-lawn-sun")}
    after = site_store.load(folder)
    assert list(after.zones.index) == ["l-lawn-shade", "l-lawn-sun", "open"]
    parts = after.zones.loc[["l-lawn-shade", "l-lawn-sun"]]
    assert parts["came_from"].tolist() == ["l-lawn", "l-lawn"]
    assert parts["moss_rating"].tolist() == [4, 4]
    whole = areas(np.array([before.zones.geometry["l-lawn"]], dtype=object))[0]
    assert areas(np.array(parts.geometry.array, dtype=object)).sum() == pytest.approx(whole)
    assert after.features["feature"].tolist() == ["bed", "building"]


def test_the_parts_say_that_they_want_looking_at(folder):
    cut(folder.path, proposed(folder), TODAY)
    for _, part in site_store.load(folder).zones.drop(index="open").iterrows():
        assert part["private_note"].startswith("Old. Cut along the line of 6 h")
        assert "Sun as seen on the whole: 5 h." in part["private_note"]
        assert np.isnan(part["sun_hours_seen"])


def test_the_hours_are_those_before_the_cut_and_choices_are_named(folder):
    folder.specification.write_text("[zones.l-lawn]\niron = 'not on this site'\n")
    saved = cut(folder.path, proposed(folder), TODAY)
    assert any("run lawnmap sun again" in each for each in saved.warnings)
    assert any("specification.toml" in each and "l-lawn-shade" in each for each in saved.warnings)
    assert not sun(open_site(folder.path), DAY).kept


def test_nothing_to_cut_saves_nothing(folder):
    before = folder.site.read_bytes()
    none = proposed(folder, under=0.05)
    assert none.proposals == ()
    assert cut(folder.path, none, TODAY).made == {}
    assert folder.site.read_bytes() == before


def test_the_usual_limit_is_the_published_one(folder):
    opened = open_site(folder.path)
    assert shade(opened.site, sun(opened, DAY)).under_h == 4


def test_a_zone_in_the_dark_is_named_and_not_cut(tmp_path):
    made = Folder(tmp_path / "garden")
    site_store.create(made, site(zone(box(0, 0, 30, 6), "yard"), building(HOUSE, 20)))
    found = proposed(made)
    assert found.proposals == ()
    assert found.all_shade == ("yard",)


def test_only_a_folder_can_be_cut(tmp_path, folder):
    plain = tmp_path / "plan.geojson"
    plain.write_bytes(folder.site.read_bytes())
    with pytest.raises(InputRefused):
        cut(plain, proposed(folder), TODAY)
