"""Plan pictures become backdrops: the invented garden as scan, GeoTIFF and PDF; and refusals."""

import csv
import io
import itertools
import json
import shutil
import sys
from pathlib import Path

import numpy as np
import pyproj
import pytest
import shapely
from PIL import Image

from lawnmap.errors import CRSNeeded, InputRefused
from lawnmap.files.admit import admit
from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.uncertainty import area_sigmas
from lawnmap.jobs import pictures
from lawnmap.jobs.read import empty_site, read
from lawnmap.jobs.reading import Reading, found_in
from lawnmap.jobs.start import start
from lawnmap.store.backdrop import stored
from lawnmap.store.folder import Folder, find
from tests.readers.pictures import plan, saved

SAMPLE = Path(__file__).parents[2] / "sample_geo"
PLANS = SAMPLE / "plans"
sys.path.insert(0, str(SAMPLE))
import garden  # noqa: E402

SCAN = Reading(control=PLANS / "garden_control.csv")
PAGE = Reading(control=PLANS / "garden_page_control.csv")
ROUTES = [("garden.png", SCAN), ("garden.tif", Reading()), ("garden.pdf", PAGE)]
EARTH = Frame(*garden.ANCHOR)


def taken(name, reading=SCAN, site=None):
    found = found_in(admit(PLANS / name), reading)
    return pictures.take(site or empty_site(), found, reading)


def folder_of(tmp_path, result):
    """Return a site's folder with the files that were to change together with it."""
    for name, data in result.files.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
    return Folder(tmp_path)


@pytest.mark.parametrize(("name", "reading"), ROUTES)
def test_the_sheet_becomes_a_backdrop(tmp_path, name, reading):
    result = taken(name, reading)
    (change,) = result.changes
    assert (change.what, change.kind, change.name) == ("added", "backdrop", "garden")
    sheet = {"garden.pdf": 190 * 290 / 25}.get(name, 660 * 1040 * 0.055**2)  # [m²]
    assert change.area_m2 == pytest.approx(sheet, rel=0.002)
    (made,) = stored(folder_of(tmp_path, result)).backdrops.values()
    assert Image.open(io.BytesIO(made.data)).size == (made.facts["width"], made.facts["height"])
    assert len(made.data) < 100_000
    points = np.array(list(garden.CONTROL.values()))
    lonlat = EARTH.to_lonlat(np.array([garden.turned(*point) for point in points]))
    west, south, east, north = made.bounds
    assert (lonlat > [west, south]).all()
    assert (lonlat < [east, north]).all()


@pytest.mark.parametrize(("name", "reading"), ROUTES)
def test_the_house_is_drawn_where_it_stands(tmp_path, name, reading):
    (made,) = stored(folder_of(tmp_path, taken(name, reading))).backdrops.values()
    picture = Image.open(io.BytesIO(made.data)).convert("RGBA")
    proj = pyproj.Transformer.from_crs("OGC:CRS84", "EPSG:3857", always_xy=True)
    left, low, right, top = (
        *proj.transform(*made.bounds[:2]),
        *proj.transform(*made.bounds[2:]),
    )

    def shade(x, y):
        ((lon, lat),) = EARTH.to_lonlat(np.array([garden.turned(x, y)])).tolist()
        x, y = proj.transform(lon, lat)
        at = (x - left) / (right - left) * picture.width, (top - y) / (top - low) * picture.height
        return np.array(picture.getpixel((int(at[0]), int(at[1])))[:3], dtype=int)

    # A hand's breadth inside its walls it is grey, and outside it is not.
    for x, y in ((0.25, 0.25), (11.75, 0.25), (11.75, 8.75), (0.25, 8.75), (3, 7)):
        red, _, blue = shade(x, y)
        assert abs(red - blue) < 12
        assert red < 220
    for x, y in ((-0.25, 4), (6, -0.25), (6, 9.25)):
        assert shade(x, y).min() > 220
    red, green, blue = shade(12, 14)  # the back lawn; the GeoTIFF is in shades of grey
    assert green > max(red, blue) + 8 or (name.endswith("tif") and green < 220)


def corners(to_pixel=None):
    """Return the zones' corners in pixels, by name, as they were picked."""
    if to_pixel is None:
        with (PLANS / "corners.csv").open(encoding="utf-8") as stream:
            rows = list(csv.DictReader(stream))
        groups = itertools.groupby(rows, key=lambda row: row["name"])
        return {
            name: np.array([[float(row["x"]), float(row["y"])] for row in group])
            for name, group in groups
        }
    return {
        name: np.array([to_pixel(*point) for point in ring]).round()
        for name, ring in garden.ZONES.items()
    }


@pytest.mark.parametrize(("name", "reading"), ROUTES)
def test_areas_picked_in_pixels_are_within_what_is_claimed(tmp_path, name, reading):
    sys.path.insert(0, str(PLANS))
    from make_picture import page_pixel

    pixels = pictures.pixel_maps(folder_of(tmp_path, taken(name, reading)))["garden"]
    picked = corners(page_pixel if name.endswith("pdf") else None)
    assert list(picked) == list(garden.ZONES)
    for zone, column_row in picked.items():
        outline = np.array([shapely.Polygon(pixels.to_lonlat(column_row))], dtype=object)
        (area,), (sigma,) = areas(outline), area_sigmas(outline, np.array([pixels.sigma_m]))
        assert abs(abs(area) - garden.area(garden.ZONES[zone])) < 1.96 * sigma
        assert sigma < 0.02 * area + 1  # and what is claimed is worth something


def test_control_points_are_kept_with_how_well_they_agree(tmp_path):
    result = taken("garden.png")
    facts = json.loads(result.files["backdrop/garden.json"])
    assert [each["name"] for each in facts["control"]] == list(garden.CONTROL)
    residuals = np.array([each["residual_m"] for each in facts["control"]])
    # Picked in whole pixels of 5.5 cm: no mark is off by more than a pixel's diagonal.
    assert 0 < np.hypot(*residuals.T).max() < 0.055 * np.sqrt(2)
    assert facts["rmse_m"] == pytest.approx(np.sqrt((residuals**2).sum() / 4), abs=1e-3)
    assert result.agreement is not None
    assert result.agreement.fit.rmse == pytest.approx(facts["rmse_m"], abs=1e-3)
    assert facts["crs"] is None
    geotiff = json.loads(taken("garden.tif", Reading()).files["backdrop/garden.json"])
    assert (geotiff["crs"], geotiff["control"], geotiff["rmse_m"]) == ("EPSG:32631", [], None)


def test_the_pixels_of_scan_and_geotiff_agree(tmp_path):
    maps = []
    for place, (name, reading) in enumerate(ROUTES[:2]):
        home = tmp_path / str(place)
        home.mkdir()
        maps.append(pictures.pixel_maps(folder_of(home, taken(name, reading)))["garden"])
    at = np.array([[0.0, 0], [660, 0], [660, 1040], [330, 520]])
    scan, exact = (EARTH.to_metres(each.to_lonlat(at)) for each in maps)
    assert np.hypot(*(scan - exact).T).max() < 0.1
    assert maps[1].sigma_m == pytest.approx(0.0275, rel=1e-3)
    assert maps[0].sigma_m > maps[1].sigma_m


@pytest.fixture
def scan(tmp_path):
    """Return a plain picture with a world file in British grid; more is put beside it by tests."""
    (tmp_path / "Mrs Smith, Elm Row.png").write_bytes(saved(plan(), "png"))
    return tmp_path / "Mrs Smith, Elm Row.png"


def tried(path, world, reading):
    path.with_suffix(".pgw").write_text(world)
    return pictures.take(empty_site(), found_in(admit(path), reading), reading)


BRITISH = "0.5\n0\n0\n-0.5\n430000\n282000\n"


def test_a_picture_with_a_world_file_needs_its_crs(scan):
    result = tried(scan, BRITISH, Reading(crs="EPSG:27700"))
    assert result.changes[0].name == "mrs-smith-elm-row"
    assert result.changes[0].area_m2 == pytest.approx(30 * 20, rel=1e-3)
    assert result.site.placed
    with pytest.raises(CRSNeeded, match="not in which CRS"):
        tried(scan, BRITISH, Reading())
    with pytest.raises(CRSNeeded, match="not in which CRS"):
        tried(scan, BRITISH, Reading(crs="local"))
    with pytest.raises(InputRefused, match="EPSG:999999"):
        tried(scan, BRITISH, Reading(crs="EPSG:999999"))


def test_a_picture_that_does_not_say_where_it_lies_needs_control_points(scan):
    with pytest.raises(InputRefused, match=r"does not say where it lies.*Give --control"):
        pictures.take(empty_site(), found_in(admit(scan), Reading()), Reading())


@pytest.mark.parametrize(
    ("world", "crs", "said"),
    [
        ("500\n0\n0\n-500\n430000\n282000\n", "EPSG:27700", "30.19 km across"),
        ("0.005\n0\n0\n-0.005\n430000\n282000\n", "EPSG:27700", "0.3 m across"),
        ("1\n0\n0\n-1\n0\n0\n", "OGC:CRS84", "km across"),
        ("0.0001\n0\n0\n-0.0001\n1.9\n89.5\n", "OGC:CRS84", "at a pole"),
        ("0.0001\n0\n0\n-0.0001\n179.999\n53.4\n", "OGC:CRS84", "date line"),
    ],
)
def test_a_place_that_cannot_be_is_refused(scan, world, crs, said):
    with pytest.raises(InputRefused) as caught:
        tried(scan, world, Reading(crs=crs))
    assert said in str(caught.value)


def test_a_picture_far_from_where_its_crs_is_meant_for_is_told(scan):
    result = tried(scan, "0.5\n0\n0\n-0.5\n430000\n-2820000\n", Reading(crs="EPSG:27700"))
    assert any("United Kingdom" in each for each in result.warnings)
    result = tried(scan, BRITISH, Reading(crs="EPSG:27700"))
    assert not any("United Kingdom" in each for each in result.warnings)
    # British National Grid needs a grid file for its datum, which pip does not bring.
    assert any("without its grid file" in each for each in result.warnings)


def test_a_crs_whose_area_reaches_across_the_date_line_is_not_told(scan):
    auckland = "0.5\n0\n0\n-0.5\n1757000\n5920000\n"  # New Zealand Transverse Mercator
    warnings = tried(scan, auckland, Reading(crs="EPSG:2193")).warnings
    assert not any("check the CRS" in each for each in warnings)


def unplaced(*features):
    made = empty_site().with_header(placed=False, anchor=[0.0, 0.0], origin=[0.0, 0.0])
    return made.with_features(list(features))


def test_a_placed_picture_does_not_go_on_an_unplaced_site(scan):
    scan.with_suffix(".pgw").write_text(BRITISH)
    reading = Reading(crs="EPSG:27700")
    found = found_in(admit(scan), reading)
    zone = {"type": "Feature", "properties": {"feature": "zone"}, "geometry": None}
    with pytest.raises(InputRefused, match="Place the site first"):
        pictures.take(unplaced(zone), found, reading)
    assert pictures.take(unplaced(), found, reading).site.placed


def test_a_name_without_plain_letters_is_called_plan(scan):
    other = scan.rename(scan.with_name("庭園.png"))
    assert tried(other, BRITISH, Reading(crs="EPSG:27700")).changes[0].name == "plan"


def test_when_the_site_is_placed_its_backdrops_move_along(tmp_path):
    folder = folder_of(tmp_path, taken("garden.png"))
    before = pictures.pixel_maps(folder)["garden"]
    old, new = Frame(*garden.ANCHOR), Frame(-1.55, 53.8)

    def apply(lonlat):
        east, north = old.to_metres(lonlat).T
        return new.to_lonlat(1.02 * np.column_stack([-north, east]) + [40, 60])

    files = pictures.moved(folder, apply)
    (tmp_path / "moved").mkdir()
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    (made,) = stored(folder).backdrops.values()
    after = pictures.pixel_maps(folder)["garden"]
    at = np.array([[0.0, 0], [660, 0], [660, 1040], [100, 900]])
    expected = new.to_metres(apply(before.to_lonlat(at)))
    assert new.to_metres(after.to_lonlat(at)) == pytest.approx(expected, abs=1e-4)
    assert after.sigma_m == pytest.approx(1.02 * before.sigma_m, rel=1e-3)
    # The picture too: the middle of the house, and a place beside it.
    picture = Image.open(io.BytesIO(made.data)).convert("RGBA")
    west, south, east, north = made.bounds
    for (x, y), house in (((3, 7), True), ((-0.4, 4), False)):
        ((lon, lat),) = apply(EARTH.to_lonlat(np.array([garden.turned(x, y)]))).tolist()
        column, row = (lon - west) / (east - west), (north - lat) / (north - south)
        red, _, blue = picture.getpixel((int(column * picture.width), int(row * picture.height)))[
            :3
        ]
        assert (red < 220 and abs(red - blue) < 12) == house
    assert made.facts["rmse_m"] == pytest.approx(0.0206 * 1.02, abs=0.002)


def test_only_a_site_with_a_picture_shows_one(tmp_path):
    with pytest.raises(InputRefused, match="has no plan picture"):
        pictures.shown(Folder(tmp_path))
    folder = folder_of(tmp_path, taken("garden.png"))
    (tmp_path / "backdrop" / "other.json").write_text("{")
    (shown,), warnings = pictures.shown(folder)
    assert shown == ((tmp_path / "backdrop/garden.webp").read_bytes(), shown[1])
    assert "backdrop/other.json" in warnings[0]
    (tmp_path / "backdrop" / "garden.webp").write_bytes(b"no")
    with pytest.raises(InputRefused, match=r"not a plain WebP.*other\.json"):
        pictures.shown(folder)


def test_read_into_a_site_it_is_saved_with_the_site(tmp_path):
    home = tmp_path / "site"
    start(home)
    reply = read(PLANS / "garden.tif", into=home)
    assert reply.saved
    assert sorted(each.name for each in (home / "backdrop").iterdir()) == [
        "garden.json",
        "garden.webp",
    ]
    assert list(pictures.pixel_maps(find(home))) == ["garden"]
    found = found_in(admit(PLANS / "garden.tif"), Reading())
    again = pictures.take(reply.site, found, Reading(), find(home))
    assert again.changes[0].what == "replaced"
    assert not [text for text in again.warnings if "takes the place" in text]
    scan = pictures.take(reply.site, found_in(admit(PLANS / "garden.png"), SCAN), SCAN, find(home))
    assert "takes the place of the picture garden (tiff, 660 by 1,040)" in scan.warnings[-1]
    shutil.rmtree(home / "backdrop")
    assert pictures.pixel_maps(find(home)) == {}


def test_the_committed_plans_are_what_their_maker_writes(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(PLANS)
    import make_picture

    monkeypatch.setattr(make_picture, "HERE", tmp_path)
    make_picture.main()
    for made in sorted(tmp_path.iterdir()):
        kept = (PLANS / made.name).read_bytes()
        if made.suffix in {".png", ".tif"}:  # their packing is the library's affair
            one, other = (Image.open(each).convert("RGB") for each in (made, PLANS / made.name))
            assert one.tobytes() == other.tobytes()
        else:
            assert made.read_bytes() == kept
        assert len(kept) < 30_000
