"""A GeoTIFF of surface heights read into a site, and the hours of sun that come of it."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image, TiffImagePlugin
from shapely import box

from lawnmap.cli.main import main
from lawnmap.errors import InputRefused
from lawnmap.jobs import surface as job
from lawnmap.jobs.check import check
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.sun import Asked, sun
from lawnmap.store import site as site_store
from lawnmap.store import sunlight
from lawnmap.store import surface as store
from lawnmap.store.folder import Folder
from tests.processing.sun.garden import LEEDS, building, site, zone

DAY = dt.date(2026, 11, 26)
CHEAP = Asked(DAY, step_m=1.0)
AS = Reading(kind=job.KIND)
LAWN = zone(box(-10, -8, 10, 12), moss_rating=1, thatch_rating=1)
WALL = (-14, -12, 14, -10)
DEGREE = LEEDS.to_lonlat(np.array([[1.0, 1.0]]))[0] - [LEEDS.longitude, LEEDS.latitude]


def tiff(path, *, half=40.0, cell=0.5, top=3.0, middle=(0.0, 0.0)):
    """Write level ground with a wall, its cells even in longitude and latitude (EPSG:4326)."""
    places = np.arange(-half, half + 0.001, cell)
    x, y = np.meshgrid(places + middle[0], -places + middle[1])
    west, south, east, north = WALL
    inside = (x >= west) & (x <= east) & (y >= south) & (y <= north)
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[33550] = (cell * DEGREE[0], cell * DEGREE[1], 0.0)
    at = LEEDS.to_lonlat(np.array([[x[0, 0], y[0, 0]]]))[0] + cell / 2 * DEGREE * [-1, 1]
    tags[33922] = (0.0, 0.0, 0.0, *at.tolist(), 0.0)
    tags.tagtype[33550] = tags.tagtype[33922] = 12
    tags[34735] = (1, 1, 0, 3, 1024, 0, 1, 2, 1025, 0, 1, 1, 2048, 0, 1, 4326)
    cells = np.where(inside, 50 + top, 50.0).astype(np.float32)
    Image.fromarray(cells).save(path, tiffinfo=tags)
    return path


@pytest.fixture
def folder(tmp_path):
    made = Folder(tmp_path / "garden")
    site_store.create(made, site(LAWN))
    return made


def mean(folder):
    reply = sun(open_site(folder.path), CHEAP)
    return reply.zones.loc["a", "sun_hours"], reply


def test_a_wall_nobody_mapped_shades_as_if_it_were(folder, tmp_path):
    bare, before = mean(folder)
    reply = read(tiff(tmp_path / "surface.tif"), AS, into=folder.path, today=DAY)
    assert reply.saved
    (change,) = reply.changes
    assert (change.what, change.kind) == ("added", "surface")
    assert "161 by 161 cells" in change.name
    kept = site_store.load(folder).surface
    assert (kept.source, kept.read_on) == ("surface.tif", DAY)
    found, after = mean(folder)
    mapped = sun(
        replace(open_site(folder.path), site=site(LAWN, building(box(*WALL), 3)), folder=None),
        CHEAP,
    )
    one, other = (each.sunlight.maps[0].cells for each in (after, mapped))
    assert np.sqrt(np.nanmean((one - other) ** 2)) < 0.15
    assert found < bare - 0.1
    assert (before.by_surface, after.by_surface, after.kept) == (False, True, False)
    assert mean(folder)[1].kept


def test_another_surface_makes_the_old_hours_stale(folder, tmp_path):
    def planned():
        opened = open_site(folder.path)
        chosen = choices(opened, depot=None, personal=tmp_path / "nobody", today=DAY)
        kept = sunlight.kept(folder)
        return plan(opened.site, chosen, today=DAY, sun=kept, setting_out=False)

    mean(folder)
    assert planned().zones.loc["a", "sun_source"] == "worked out"
    read(tiff(tmp_path / "surface.tif", half=20), AS, into=folder.path)
    assert any("other surface heights since" in each for each in planned().warnings)
    mean(folder)
    assert planned().zones.loc["a", "sun_source"] == "worked out"
    (folder.path / store.NAME).unlink()
    made = planned()
    assert np.isnan(made.zones.loc["a", "sun_hours"])
    assert any("other surface heights since" in each for each in made.warnings)


def test_the_same_again_changes_nothing_and_another_replaces_it(folder, tmp_path):
    path = tiff(tmp_path / "surface.tif", half=20)
    read(path, AS, into=folder.path, today=DAY)
    again = read(path, AS, into=folder.path, today=DAY + dt.timedelta(1))
    assert ([each.what for each in again.changes], again.saved) == (["unchanged"], False)
    other = read(tiff(path, half=20, top=4), AS, into=folder.path)
    assert [each.what for each in other.changes] == ["replaced"]
    assert np.nanmax(site_store.load(folder).surface.heights) == 54


def test_it_stays_when_the_site_is_saved_and_is_no_heights_of_the_ground(folder, tmp_path):
    read(tiff(tmp_path / "surface.tif", half=20), AS, into=folder.path)
    there = site_store.load(folder)
    assert there.heights is None
    saved = site_store.save(folder, there.with_header(title="Other"))
    assert saved.site.surface is there.surface
    assert site_store.load(folder).surface == there.surface


def test_only_what_lies_near_is_kept(folder, tmp_path):
    wide = read(tiff(tmp_path / "wide.tif", half=160, cell=1.0), AS, into=folder.path)
    assert wide.site.surface.heights.shape in {(221, 221), (220, 220), (221, 220), (220, 221)}


def test_small_cells_are_averaged(folder, tmp_path, monkeypatch):
    monkeypatch.setattr(store, "MOST_CELLS", 3_000)
    fine = read(tiff(tmp_path / "fine.tif", half=20), AS, into=folder.path)
    assert fine.site.surface.heights.shape == (41, 41)
    assert any("blocks of 2 by 2 were averaged to cells of 1.00 m" in e for e in fine.warnings)
    top = np.argwhere(fine.site.surface.heights > 51.4)
    kept = fine.site.surface
    xy = LEEDS.to_metres(np.array([kept.first]))[0] + top[:, ::-1] @ np.array(
        [kept.column, kept.row]
    )
    assert xy.mean(axis=0) == pytest.approx([0, -11], abs=0.6)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"cell": 3.0}, "has cells of 3 m, and at most 2 m tell a tree"),
        ({"middle": (500.0, 0.0), "half": 20.0}, "has no height on the lawn"),
        ({"middle": (60.0, 0.0), "half": 20.0}, "has no height on the lawn"),
    ],
)
def test_what_is_no_use_is_refused_in_a_sentence(folder, tmp_path, given, told):
    with pytest.raises(InputRefused) as caught:
        read(tiff(tmp_path / "surface.tif", **given), AS, into=folder.path)
    assert f"surface.tif: {told}" in str(caught.value)
    assert not (folder.path / store.NAME).exists()


def test_zones_too_far_apart_are_refused(folder, tmp_path, monkeypatch):
    monkeypatch.setattr(store, "MOST_CELLS", 200)
    with pytest.raises(InputRefused, match="zones lie so far apart that only cells of"):
        read(tiff(tmp_path / "surface.tif", half=20), AS, into=folder.path)


@pytest.mark.parametrize(
    ("features", "header", "told"),
    [([], {}, "has none yet"), ([LAWN], {"placed": False, "anchor": [0, 0]}, "no place on earth")],
)
def test_a_site_without_zones_or_a_place_takes_none(tmp_path, features, header, told):
    made = Folder(tmp_path / "other")
    site_store.create(made, site(*features, **header))
    with pytest.raises(InputRefused, match=told):
        read(tiff(tmp_path / "surface.tif", half=20), AS, into=made.path)


def test_points_are_no_surface(folder, tmp_path):
    (tmp_path / "spots.csv").write_text("lon,lat,height_m\n-1.55,53.8,1\n-1.551,53.8,2\n")
    with pytest.raises(InputRefused, match="is no grid of heights"):
        read(tmp_path / "spots.csv", AS, into=folder.path)


def test_the_commands_say_that_it_is_there(folder, tmp_path, capsys):
    path = tiff(tmp_path / "surface.tif", half=20)
    tried = read(path, AS, into=folder.path, dry_run=True, preview=tmp_path / "seen.png")
    assert tried.overview.heights.low_m == 50
    assert tried.overview.size_m == pytest.approx((40, 40), abs=0.1)
    assert (tmp_path / "seen.png").stat().st_size > 1_000
    read(path, AS, into=folder.path, today=DAY)
    opened = open_site(folder.path)
    chosen = choices(opened, depot=None, personal=tmp_path / "nobody", today=DAY)
    said = [each.what for each in check(opened.site, chosen)]
    assert any("surface heights (surface.tif, read on 2026-11-26)" in each for each in said)
    main(["sun", str(folder.path), "--from", "2026-03-20", "--step", "2"], standalone_mode=False)
    assert "and what the surface heights have in the way" in " ".join(
        capsys.readouterr().out.split()
    )
