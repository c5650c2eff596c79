"""Heights read into a site, from file to ground area, against the formula of the sample."""

import csv
import datetime as dt
import io
import runpy
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.found import Feature, Found, Heights
from lawnmap.jobs import features, reading
from lawnmap.jobs import heights as job
from lawnmap.jobs.measure import measure, slope_warnings, some
from lawnmap.jobs.place import place
from lawnmap.jobs.plan import plan
from lawnmap.jobs.read import empty_site, read
from lawnmap.jobs.reading import Reading
from lawnmap.processing.position.control import Control, ControlPoint
from lawnmap.store import heights as store
from lawnmap.store import specification
from lawnmap.store.folder import Folder
from lawnmap.store.site import create, load
from tests.processing.sites import FRAME, box, found
from tests.readers.mutants import outcomes

PLANS = Path(__file__).parents[2] / "sample_geo/plans"
MADE = runpy.run_path(str(PLANS / "make_heights.py"))
SPOT = Reading(kind=job.KIND)
LOCAL = Reading(kind=job.KIND, crs="local")


@pytest.fixture
def garden(tmp_path):
    """Make a site folder with the lawns of the sample."""
    folder = Folder(tmp_path / "garden")
    create(folder, empty_site())
    read(PLANS / "lawns.geojson", into=folder.path)
    return folder


def table(path, rows, head=("lon", "lat", "height")):
    stream = io.StringIO()
    csv.writer(stream).writerows([head, *rows])
    path.write_text(stream.getvalue())
    return path


def around(*rows):
    """Return rows of longitude, latitude and height from metres and heights."""
    rows = np.array(rows, dtype=float)
    return np.column_stack([FRAME.to_lonlat(rows[:, :2]), rows[:, 2]]).tolist()


SLOPE = around((0, 0, 5), (20, 0, 7), (20, 20, 7), (0, 20, 5), (10, 10, 6))


@pytest.mark.parametrize(
    ("file", "kind", "tolerance"),
    [("heights.csv", job.KIND, 0.001), ("heights.tif", None, 0.001)],
)
def test_true_ground_of_the_sample(garden, file, kind, tolerance):
    """Within 0.1 % of the integral of the formula; the map area alone is up to 1.8 % short."""
    reply = read(PLANS / file, Reading(kind=kind), into=garden.path)
    assert reply.saved
    (change,) = reply.changes
    assert (change.what, change.kind) == ("added", "height")
    measured = measure(load(garden))
    for _, zone in measured.zones.iterrows():
        shape = shapely.Polygon(MADE["ZONES"][zone["name"]])
        true = MADE["ground_area"](shape)
        assert zone["ground_area_m2"] == pytest.approx(true, rel=tolerance), zone["name"]
        assert zone["slope_source"] == "heights"
        assert zone["heights_cover_pct"] > 95
    by_name = measured.zones.set_index("name")
    # 1 in 2.55 at its steepest: atan of √(0.02² + (2 π / 16)²).
    assert by_name.loc["Back lawn", "slope_most_deg"] == pytest.approx(21.46, abs=1)
    assert by_name.loc["Front lawn", "slope_deg"] == pytest.approx(4.71, abs=0.1)  # √(.02² + .08²)
    assert measured.warnings == ()


def test_the_integral_that_is_the_truth():
    """On the plane of the front lawn it is area · √(1 + 0.02² + 0.08²)."""
    front = shapely.Polygon(MADE["ZONES"]["Front lawn"])
    assert MADE["ground_area"](front) == pytest.approx(front.area * np.sqrt(1.0068), rel=1e-6)


def test_the_sample_is_what_its_maker_makes(tmp_path):
    for function in ("spots", "grid", "lawns"):
        MADE[function].__globals__["HERE"] = tmp_path
        MADE[function]()
    for name in ("heights.csv", "lawns.geojson"):
        assert (tmp_path / name).read_bytes() == (PLANS / name).read_bytes()
    assert (tmp_path / "heights.tif").stat().st_size > 0  # its bytes are as the library packs them


def test_the_same_heights_again_change_nothing_and_others_replace_them(garden):
    read(PLANS / "heights.csv", SPOT, into=garden.path)
    again = read(PLANS / "heights.csv", SPOT, into=garden.path)
    assert not again.saved
    assert [change.what for change in again.changes] == ["unchanged"]
    other = read(PLANS / "heights.tif", into=garden.path)
    assert [change.what for change in other.changes] == ["replaced"]
    assert load(garden).heights.shape is not None
    assert "cells" in other.changes[0].name


def test_a_grid_is_cut_to_the_zones_and_two_cells(garden):
    read(PLANS / "heights.tif", into=garden.path)
    kept = load(garden).heights
    west, south, east, north = load(garden).zones.total_bounds
    lonlat = kept.points[np.isfinite(kept.points[:, 2]), :2]
    beyond = FRAME._replace(longitude=west, latitude=south).to_metres(lonlat[:, :2])
    span = FRAME._replace(longitude=west, latitude=south).to_metres(np.array([[east, north]]))[0]
    assert (
        beyond.min(axis=0) > -2.6
    ).all()  # two cells and a part, and the grid is not quite north
    assert (beyond.max(axis=0) < span + 2.6).all()
    assert (beyond.min(axis=0) < -0.5).all()


def test_nothing_is_saved_on_a_dry_run(garden):
    reply = read(PLANS / "heights.csv", SPOT, into=garden.path, dry_run=True)
    assert not reply.saved
    assert reply.site.heights is not None
    assert load(garden).heights is None


def test_a_grid_before_any_zone_is_refused(tmp_path):
    folder = Folder(tmp_path / "garden")
    create(folder, empty_site())
    with pytest.raises(InputRefused, match="Read the outlines first"):
        read(PLANS / "heights.tif", into=folder.path)
    read(PLANS / "heights.csv", SPOT, into=folder.path)  # spot heights may come first
    read(PLANS / "lawns.geojson", into=folder.path)
    assert set(measure(load(folder)).zones["slope_source"]) == {"heights"}


def test_a_grid_off_the_site_is_refused(tmp_path):
    folder = Folder(tmp_path / "garden")
    create(folder, empty_site())
    there = Found((Feature(box(0, 0, 9, 9), {"feature": "zone"}, "feature 1"),), "OGC:CRS84")
    site = features.take(empty_site(), there, Reading()).site
    grid = Heights(np.array([[1.0 + c, 2.0 - r, 5] for r in range(4) for c in range(4)]), (4, 4))
    with pytest.raises(InputRefused, match=r"heights lie round 2\.5000, 0\.5000 and the zones"):
        job.take(site, Found((), "OGC:CRS84", heights=grid), Reading())


def grid_round(rise, cell=0.5, side=50, empty=None):
    row, column = np.indices((side, side))
    metres = np.column_stack([column.ravel() * cell - 2, (side - row.ravel()) * cell - 2])
    z = 10 + rise * metres[:, 0]
    if empty is not None:
        z[empty] = np.nan
    return Heights(np.column_stack([FRAME.to_lonlat(metres), z]), (side, side))


def one_zone():
    return features.take(empty_site(), found((box(0, 0, 20, 20), {"zone_id": "a"})), Reading()).site


def test_a_grid_that_is_all_empty_over_the_zones_is_refused():
    heights = grid_round(0.1, side=60, empty=slice(60, None))  # all but the northmost row
    with pytest.raises(InputRefused, match="every cell there is empty"):
        job.take(one_zone(), Found((), "OGC:CRS84", heights=heights), Reading())


def test_a_large_grid_is_made_coarser_and_said(monkeypatch):
    monkeypatch.setattr(store, "MOST", 700)
    taken = job.take(one_zone(), Found((), "OGC:CRS84", heights=grid_round(0.2)), Reading())
    kept = taken.site.heights
    assert kept.shape[0] * kept.shape[1] <= 700
    assert "blocks of 2 by 2 were averaged" in " ".join(taken.warnings)
    zone = measure(taken.site).zones.loc["a"]
    assert zone["slope_deg"] == pytest.approx(11.3099, abs=1e-3)
    assert zone["heights_cover_pct"] == pytest.approx(100)


def test_a_grid_in_feet():
    feet = grid_round(0.2 / 0.3048)
    taken = job.take(one_zone(), Found((), "OGC:CRS84", heights=feet), Reading(units="ft"))
    assert measure(taken.site).zones.loc["a", "slope_deg"] == pytest.approx(11.3099, abs=1e-3)


def test_units_of_heights(tmp_path):
    rows = [(lon, lat, height / 0.3048) for lon, lat, height in SLOPE]
    reply = read(table(tmp_path / "h.csv", rows), Reading(kind=job.KIND, units="ft"))
    assert reply.site.heights.points[:, 2] == pytest.approx([5, 7, 7, 5, 6])
    named = table(tmp_path / "named.csv", SLOPE, ("lon", "lat", "height_m"))
    with pytest.raises(InputRefused, match="'height_m' names its own unit"):
        read(named, Reading(kind=job.KIND, units="ft"))


def test_heights_in_metres_of_the_plan(tmp_path):
    folder = Folder(tmp_path / "garden")
    create(folder, empty_site())
    rows = [("a", 100, 200), ("a", 120, 200), ("a", 120, 220), ("a", 100, 220)]
    outline = table(tmp_path / "plan.csv", rows, ("name", "x", "y"))
    spot = [(100, 200, 5), (120, 200, 9), (120, 220, 9), (100, 220, 5), (110, 210, 7)]
    read(outline, Reading(crs="local", kind="zone"), into=folder.path)
    reply = read(table(tmp_path / "h.csv", spot, ("x", "y", "z")), LOCAL, into=folder.path)
    assert any("20.0 by 20.0 m" in text for text in reply.warnings)
    zone = measure(load(folder)).zones.iloc[0]
    assert zone["slope_deg"] == pytest.approx(11.3099, abs=1e-3)
    assert zone["heights_cover_pct"] == pytest.approx(100, abs=0.01)
    with pytest.raises(InputRefused, match="plan has a place on the earth"):
        read(table(tmp_path / "earth.csv", SLOPE), SPOT, into=folder.path)


def test_heights_are_placed_with_their_site(tmp_path):
    folder = Folder(tmp_path / "garden")
    create(folder, empty_site())
    rows = [("a", 100, 200), ("a", 120, 200), ("a", 120, 220), ("a", 100, 220)]
    outline = table(tmp_path / "plan.csv", rows, ("name", "x", "y"))
    spot = [(100, 200, 5), (120, 200, 9), (120, 220, 9), (100, 220, 5), (110, 210, 7)]
    read(outline, Reading(crs="local", kind="zone"), into=folder.path)
    read(table(tmp_path / "h.csv", spot, ("x", "y", "z")), LOCAL, into=folder.path)
    marks = [(0.0, 0.0), (300.0, 0.0), (0.0, 300.0)]
    earth = FRAME.to_lonlat(np.array(marks)).tolist()
    pairs = zip(marks, earth, strict=True)
    points = tuple(ControlPoint(str(mark), *mark, *lonlat) for mark, lonlat in pairs)
    place(folder.path, Control(points))
    zone = measure(load(folder)).zones.iloc[0]
    assert load(folder).heights.points[0, 1] > 53
    assert zone["slope_deg"] == pytest.approx(11.3099, abs=1e-3)
    assert zone["slope_source"] == "heights"


def test_heights_without_a_crs_are_asked_for(tmp_path):
    path = table(tmp_path / "h.csv", [(1, 2, 3), (3, 2, 3), (1, 4, 3)], ("x", "y", "z"))
    with pytest.raises(CRSNeeded):
        read(path, SPOT)
    placed = [(430000, 430000, 3), (430020, 430000, 5), (430000, 430020, 3)]
    reply = read(
        table(tmp_path / "g.csv", placed, ("x", "y", "z")),
        Reading(kind=job.KIND, crs="EPSG:27700"),
    )
    assert reply.site.heights.points[0] == pytest.approx([-1.5468, 53.7660, 3], abs=1e-2)


def test_geojson_points_work_likewise(tmp_path):
    points = ",".join(
        f'{{"type":"Feature","properties":{{"Elevation":{height}}},'
        f'"geometry":{{"type":"Point","coordinates":[{lon},{lat}]}}}}'
        for lon, lat, height in SLOPE
    )
    path = tmp_path / "h.geojson"
    path.write_text(f'{{"type":"FeatureCollection","features":[{points}]}}')
    assert read(path, SPOT).site.heights.points == pytest.approx(np.array(SLOPE), abs=1e-9)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (SLOPE[:1], "heights at 1 places"),
        (SLOPE[:2], "heights at 2 places"),
        ([SLOPE[0]] * 9, "heights at 1 places"),
        ([SLOPE[0], SLOPE[4], SLOPE[2]], "on one line"),
        ([*SLOPE, (-1.55, 53.8001, "nan")], "line 7: height: 'nan' is not a number"),
        ([*SLOPE, (-1.55, 53.8001, "inf")], "line 7: height: 'inf' is not a number"),
        ([*SLOPE, (-1.55, 53.8001, "")], "line 7: has no height"),
        ([*SLOPE, (-1.55, 53.8001, "1e308")], "line 7: height is 1e+308 m"),
        ([*SLOPE, (-1.55, 53.8001, "7,5")], "line 7: the column 'height' has decimal commas"),
        ([*SLOPE, (-1.55, 53.8001, 600)], "595 m apart"),
        ([*SLOPE, (-1.55, "1e308", 6)], "h.csv: line 7"),
        ([(lon, lat, 40 * height) for lon, lat, height in SLOPE], "steep over all"),
    ],
)
def test_hostile_tables_are_told_in_words(tmp_path, rows, told):
    with pytest.raises(InputRefused) as caught:
        read(table(tmp_path / "h.csv", rows), SPOT)
    assert told in str(caught.value)
    assert str(caught.value).startswith("h.csv: ")


def test_corners_of_outlines_are_no_spot_heights(tmp_path):
    rows = [("a", *row) for row in SLOPE]
    path = table(tmp_path / "h.csv", rows, ("name", "lon", "lat", "z"))
    with pytest.raises(InputRefused, match=r"has no column of heights|is no point"):
        read(path, SPOT)


def test_two_heights_at_one_place_are_told(tmp_path):
    rows = [*SLOPE, (*SLOPE[0][:2], 5.5)]
    reply = read(table(tmp_path / "h.csv", rows), SPOT)
    assert any("more than one height" in text for text in reply.warnings)


def test_seen_and_found_slopes_that_differ_are_told(tmp_path):
    zones = [
        (box(0, 0, 9, 20), {"zone_id": "a", "slope_seen_deg": 20}),
        (box(10, 0, 20, 20), {"zone_id": "b", "slope_seen_deg": 8}),
        (box(40, 0, 50, 20), {"zone_id": "c"}),
    ]
    site = features.take(empty_site(), found(*zones), Reading()).site
    path = table(tmp_path / "h.csv", SLOPE)
    taken = job.take(site, found_in(path), SPOT)
    told = measure(taken.site).warnings
    assert (
        "Zone a: the slope is 20° as seen and 6° by heights. The heights are used; look again."
        in told
    )
    assert not any("Zone b" in text for text in told)
    assert any("Heights cover too little of c (0 %)" in text for text in told)
    assert slope_warnings(measure(site).zones) == []


def found_in(path):
    return reading.found_in(reading.source_of(path), SPOT)


def test_a_wall_among_the_heights_is_told():
    rows = [(x, y, 5 + 12.0 * (x > 10)) for x in range(0, 21, 2) for y in range(0, 21, 2)]
    site = replace(one_zone(), heights=Heights(np.array(around(*rows))))
    assert any("up to 81° steep" in text for text in measure(site).warnings)


def test_the_plan_uses_the_slope_by_heights():
    site = replace(one_zone(), heights=Heights(np.array(SLOPE)))
    choices = specification.parse(b"operations = []", products={}, machines={})
    planned = plan(site, choices, today=dt.date(2027, 3, 1))
    assert planned.zones.loc["a", "slope_deg"] == pytest.approx(5.7106, abs=1e-3)
    assert planned.zones.loc["a", "ground_area_m2"] == pytest.approx(400 * 1.004988, rel=1e-4)


def test_long_lists_are_cut():
    assert some(["a"]) == "a"
    assert some(list("abcdefg")) == "a, b, c, d, e and 2 more"


def test_mutants_of_the_sample_are_read_or_refused(tmp_path, garden):
    site = load(garden)
    path = tmp_path / "mutant.csv"
    head = (PLANS / "heights.csv").read_bytes().splitlines(keepends=True)[:40]

    def whole(data):
        path.write_bytes(data)
        return job.take(site, found_in(path), SPOT)

    counts = outcomes(whole, b"".join(head))
    assert counts["read"] > 0
    assert counts["refused"] > 0


def test_heights_go_along_when_the_folder_is_copied(tmp_path, garden):
    read(PLANS / "heights.csv", SPOT, into=garden.path)
    shutil.copytree(garden.path, tmp_path / "copy")
    one, other = load(garden).heights, load(tmp_path / "copy").heights
    assert np.array_equal(one.points, other.points)
