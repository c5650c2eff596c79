"""A plan is drawn before it is read, and nothing but an earlier preview is ever drawn over."""

import io
from pathlib import Path

import pytest
from PIL import Image

from lawnmap.errors import ExtraNeeded, UsageProblem, WriteFailed
from lawnmap.jobs import preview as previews
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start

PLANS = Path(__file__).parents[2] / "sample_geo" / "plans"
SCAN = Reading(control=PLANS / "garden_control.csv")
LAWN = (0xB3, 0xCB, 0x86)


def drawn(path):
    with Image.open(io.BytesIO(path.read_bytes())) as image:
        assert image.format == "PNG"
        return image.convert("RGB")


def share(image, colour):
    """Return how much of the picture has about this colour."""
    near = [
        all(abs(one - other) < 8 for one, other in zip(pixel, colour, strict=True))
        for pixel in image.get_flattened_data()
    ]
    return sum(near) / len(near)


@pytest.mark.parametrize(
    ("plan", "reading"),
    [
        ("garden.dxf", Reading(layers=("LAWN=zone", "TREE=tree"))),
        ("garden.osm", Reading(layers=("*",))),
        ("garden.fgb", Reading()),
        ("tape.csv", Reading()),
        ("walk.gpx", Reading(layers=("*",), kind="zone")),
        ("outlines.csv", Reading(crs="local")),
    ],
)
def test_the_lawn_has_its_share_of_the_drawing(plan, reading, tmp_path):
    path = tmp_path / "p.png"
    reply = read(PLANS / plan, reading, dry_run=True, preview=path)
    image = drawn(path)
    assert image.width == 800
    # By the box of the plan, which fills the height of the drawing less its margins.
    wide, high = reply.overview.size_m
    pixel_m = max(high / (900 - 56), wide / (800 - 56))
    lawn_m2 = sum(each.area_m2 for each in reply.changes if each.kind == "zone")
    expected = lawn_m2 / pixel_m**2 / (image.width * image.height)
    assert share(image, LAWN) == pytest.approx(
        expected, rel=0.12
    )  # less names, edges, what is on it
    assert path.stat().st_size < 60_000


def test_the_same_plan_is_the_same_bytes_and_takes_the_place_of_the_earlier_one(tmp_path):
    path = tmp_path / "p.png"
    read(PLANS / "lawns.geojson", preview=path)
    first = path.read_bytes()
    read(PLANS / "lawns.geojson", preview=path)
    assert path.read_bytes() == first
    read(PLANS / "garden.fgb", preview=path)
    assert path.read_bytes() != first


def test_a_picture_is_shown_as_it_will_lie(tmp_path):
    path = tmp_path / "p.png"
    read(PLANS / "garden.png", SCAN, dry_run=True, preview=path)
    image = drawn(path)
    assert share(image, (255, 255, 255)) > 0.3  # round the turned sheet
    assert share(image, (205, 222, 189)) > 0.05  # the lawns, as the sample scan has them


def test_heights_are_drawn_over_the_zones(tmp_path):
    start(tmp_path / "site", title="x")
    read(PLANS / "lawns.geojson", into=tmp_path / "site")
    path = tmp_path / "p.png"
    read(PLANS / "heights.csv", Reading(kind="height"), into=tmp_path / "site", preview=path)
    image = drawn(path)
    assert share(image, (92, 56, 22)) > 0.0005
    assert share(image, LAWN) == 0


@pytest.mark.parametrize("name", ["Ünder den Öäken", "草坪", "\u202ereversed", "x" * 200, ""])
def test_any_name_is_drawn_or_left_out(name, tmp_path):
    plan = tmp_path / "plan.csv"
    plan.write_text(f'name,wkt\n{name},"POLYGON((0 0,40 0,40 25,0 25,0 0))"\n', encoding="utf-8")
    path = tmp_path / "p.png"
    read(plan, Reading(crs="local"), preview=path)
    assert share(drawn(path), LAWN) > 0.4


def test_a_single_point_has_some_ground_round_it(tmp_path):
    plan = tmp_path / "plan.csv"
    plan.write_text("feature,lon,lat\ntree,1.9,53.4\n", encoding="utf-8")
    path = tmp_path / "p.png"
    read(plan, Reading(crs="OGC:CRS84"), preview=path)
    image = drawn(path)
    middle = image.crop((390, 390, 410, 410))
    assert share(middle, (255, 255, 255)) < 0.95  # the mark
    assert share(image, (255, 255, 255)) > 0.95


@pytest.mark.parametrize("name", ["p.jpg", "p", "p.png.txt"])
def test_only_a_png_is_written(name, tmp_path):
    with pytest.raises(UsageProblem, match=r"does not end in \.png"):
        read(PLANS / "lawns.geojson", preview=tmp_path / name)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("content", [b"", b"my notes", (PLANS / "garden.png").read_bytes()])
def test_nothing_else_is_drawn_over_and_the_site_is_not_touched(content, tmp_path):
    site, path = tmp_path / "site", tmp_path / "p.png"
    start(site, title="x")
    before = (site / "site.geojson").read_bytes()
    path.write_bytes(content)
    with pytest.raises(UsageProblem, match="no preview that lawnmap drew"):
        read(PLANS / "lawns.geojson", into=site, preview=path)
    assert path.read_bytes() == content
    assert (site / "site.geojson").read_bytes() == before


def test_a_preview_that_cannot_be_written_leaves_the_site_as_it_was(tmp_path):
    site = tmp_path / "site"
    start(site, title="x")
    before = (site / "site.geojson").read_bytes()
    for place in (tmp_path / "nowhere" / "p.png", tmp_path / "folder.png"):
        (tmp_path / "folder.png").mkdir(exist_ok=True)
        with pytest.raises(WriteFailed):
            read(PLANS / "lawns.geojson", into=site, preview=place)
    assert (site / "site.geojson").read_bytes() == before


def test_without_pillow_the_extra_is_named(monkeypatch, tmp_path):
    monkeypatch.setattr(previews, "find_spec", lambda _: None)
    with pytest.raises(ExtraNeeded, match=r"lawnmap\[pictures\]"):
        read(PLANS / "lawns.geojson", preview=tmp_path / "p.png")
