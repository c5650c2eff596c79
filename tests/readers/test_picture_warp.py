"""The warp: marks land where they belong, nothing else goes along, and it stays small."""

import base64
import io
import itertools
import os

import numpy as np
import pyproj
import pytest
from PIL import Image

from lawnmap.errors import InputRefused
from lawnmap.geometry import grid as grids
from lawnmap.geometry.grid import Grid
from lawnmap.readers.picture import header as picture_header
from lawnmap.readers.picture import redrawn as picture_redrawn
from lawnmap.readers.picture import warp as picture_warp
from lawnmap.readers.picture.redrawn import redrawn
from tests.readers.mutants import outcomes
from tests.readers.pictures import SIZE, chunk, geotiff, plan, saved

KILOMETRE = (2000, 1500)  # pixels of half a metre
SECRET = b"SECRET-7F3A"


def british(grid):
    proj = pyproj.Transformer.from_crs("EPSG:27700", "OGC:CRS84", always_xy=True)
    return lambda column_row: np.column_stack(proj.transform(*grid.apply(column_row).T))


def turned(degrees, pixel_m):
    turn = np.radians(degrees)
    along, up = float(np.cos(turn) * pixel_m), float(np.sin(turn) * pixel_m)
    return Grid(along, up, 430_000.0, up, -along, 281_000.0)


def marked(marks, size):
    """Return a white sheet with a soft dark dot about each place, centred to a small part of it."""
    sheet = np.full(size[::-1], 255.0)
    for column, row in marks:
        left, top = int(column) - 8, int(row) - 8
        x = np.arange(left, left + 17) + 0.5 - column
        y = np.arange(top, top + 17) + 0.5 - row
        dot = np.exp(-(y[:, None] ** 2 + x[None, :] ** 2) / (2 * 2.0**2))
        sheet[top : top + 17, left : left + 17] -= 250 * dot
    return Image.fromarray(sheet.round().astype(np.uint8))


def found_near(image, at):
    """Return where the dark dot near a place really is."""
    left, top = int(at[0]) - 10, int(at[1]) - 10
    red, _, _, clear = (np.asarray(band, dtype=float) for band in image.split())
    dark = np.where(clear > 250, 255 - red, 0)[top : top + 21, left : left + 21]
    dark = np.where(dark > 40, dark, 0)
    x, y = np.arange(left, left + 21) + 0.5, np.arange(top, top + 21) + 0.5
    return np.array([(dark.sum(axis=0) @ x), (dark.sum(axis=1) @ y)]) / dark.sum()


def opened(data):
    return Image.open(io.BytesIO(data)).convert("RGBA")


@pytest.mark.parametrize("degrees", [0.0, 33.0, 135.0])
def test_marks_of_a_turned_sheet_of_a_kilometre_land_within_half_a_pixel(degrees):
    marks = list(itertools.product((12.25, 700.5, 1400.75, 1987.0), (13.0, 512.5, 1000.0, 1486.25)))
    to_lonlat = british(turned(degrees, 0.5))
    image = picture_redrawn.Image(saved(marked(marks, KILOMETRE), "png"), "png", *KILOMETRE)
    new = redrawn(image, to_lonlat, to_lonlat(grids.edge(*KILOMETRE)))
    shown = opened(new.data)
    wide, high = new.facts["width"], new.facts["height"]
    assert shown.size == (wide, high)
    bounds = np.array(new.facts["bounds"]).reshape(2, 2)
    (west, south), (east, north) = grids.to_mercator(bounds)
    proj = pyproj.Transformer.from_crs("EPSG:27700", "EPSG:3857", always_xy=True)
    expected = np.column_stack(proj.transform(*turned(degrees, 0.5).apply(np.array(marks)).T))
    off = []
    for x, y in expected:
        at = np.array([(x - west) / (east - west) * wide, (north - y) / (north - south) * high])
        off.append(np.hypot(*(found_near(shown, at) - at)))
    assert max(off) < 0.5
    if degrees:
        assert shown.getpixel((0, 0))[3] == 0  # clear outside the paper


def shrunk(image, by, size=None):
    """Return a picture through the child's own function, evenly made smaller."""
    width, height = size or (image.width // by, image.height // by)
    columns, rows = grids.meetings(width), grids.meetings(height)
    mesh = np.stack(np.meshgrid(np.array(columns) * by, np.array(rows) * by), axis=-1)
    return columns, rows, mesh.tolist()


def through(data, kind, tmp_path, image, by=1):
    (tmp_path / "plan.bin").write_bytes(data)
    columns, rows, mesh = shrunk(image, by)
    told = picture_warp.warped(
        str(tmp_path / "plan.bin"), kind, columns=columns, rows=rows, mesh=mesh
    )
    return base64.b64decode(told["webp"])


@pytest.mark.parametrize(
    ("kind", "mode"),
    [
        *(("png", mode) for mode in ("1", "L", "LA", "P", "RGB", "RGBA", "I;16")),
        *(("jpeg", mode) for mode in ("L", "RGB", "CMYK")),
        *(("tiff", mode) for mode in ("1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "YCbCr")),
    ],
)
def test_every_kind_of_colour_is_shown_as_it_is(kind, mode, tmp_path):
    if mode == "I;16":
        grey = np.asarray(plan("L")).astype(np.uint16) * 257
        image = Image.fromarray(grey)
    else:
        image = plan(mode)
    shown = opened(through(saved(image, kind), kind, tmp_path, plan()))
    assert shown.getpixel((50, 30)) == pytest.approx((255, 255, 255, 255), abs=12)
    red = shown.getpixel((12, 8))
    if mode in {"1", "L", "LA", "I;16"}:
        assert red[0] == pytest.approx(red[1], abs=4)
        assert red[0] < 100 or mode == "1"
    else:
        assert red == pytest.approx((255, 0, 0, 255), abs=40)


def test_clear_places_stay_clear_and_give_no_dark_rim(tmp_path):
    image = plan("RGBA")
    image.paste((0, 0, 0, 0), (0, 0, 30, 20))
    shown = opened(through(saved(image, "png"), "png", tmp_path, image))
    assert shown.getpixel((10, 10))[3] == 0
    assert min(shown.getpixel((32, 10))[:3]) > 235


def test_a_picture_held_sideways_is_shown_upright(tmp_path):
    exif = plan().getexif()
    exif[274] = 6
    data = saved(plan(), "jpeg", exif=exif.tobytes(), quality=95)
    shown = opened(through(data, "jpeg", tmp_path, plan(size=SIZE[::-1])))
    assert shown.size == SIZE[::-1]
    assert shown.getpixel((34, 5)) == pytest.approx((254, 0, 0, 255), abs=40)  # now upper right
    assert min(shown.getpixel((5, 5))[:3]) > 220


def with_secrets(kind):
    """Return a picture that says who, where and what in every place that its format has."""
    exif = plan().getexif()
    exif[271] = exif[305] = SECRET.decode()
    exif.get_ifd(0x8825)[1] = SECRET.decode()
    if kind == "png":
        data = saved(plan(), kind, exif=exif.tobytes(), icc_profile=SECRET * 9)
        text = chunk(b"tEXt", b"Author\0" + SECRET) + chunk(
            b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + SECRET
        )
        return data[:33] + text + data[33:]
    if kind == "jpeg":
        options = {"exif": exif.tobytes(), "icc_profile": SECRET * 9, "comment": SECRET}
        return saved(plan(), kind, **options, xmp=SECRET)
    return geotiff({}, {1024: 1}, more={270: SECRET.decode(), 315: SECRET.decode(), 700: SECRET})


@pytest.mark.parametrize("kind", ["png", "jpeg", "tiff"])
def test_nothing_but_pixels_goes_along(kind, tmp_path):
    data = with_secrets(kind)
    assert SECRET in data
    made = through(data, kind, tmp_path, plan())
    assert SECRET not in made
    for name in (b"EXIF", b"XMP ", b"ICCP", b"GPS", b"Exif", b"http"):
        assert name not in made
    info = Image.open(io.BytesIO(made)).info
    assert not {"exif", "xmp", "icc_profile"} & set(info)


def test_a_thin_line_is_still_there_when_made_six_times_smaller(tmp_path):
    image = Image.new("L", (600, 600), 255)
    image.paste(0, (301, 0, 304, 600))
    shown = opened(through(saved(image, "png"), "png", tmp_path, image, by=6))
    assert shown.size == (100, 100)
    # Half of pixel 50 was black: a picture that skips pixels has nothing or all of it.
    assert shown.getpixel((50, 50))[0] == pytest.approx(128, abs=30)


def test_what_is_hard_to_make_small_loses_quality_then_size():
    noise = np.random.default_rng(1).integers(0, 256, (1400, 1400, 3), dtype=np.uint8)
    told = picture_warp.small(Image.fromarray(noise).convert("RGBA"))
    assert len(base64.b64decode(told["webp"])) <= picture_warp.LARGEST
    assert told["width"] == told["height"]
    plain = picture_warp.small(plan("RGBA"))
    assert (plain["width"], plain["height"]) == SIZE


def test_a_cut_short_picture_is_refused(tmp_path):
    data = saved(marked([(100.0, 100.0)], (300, 200)), "png")
    with pytest.raises(InputRefused, match="cannot be read as PNG"):
        through(data[: len(data) // 2], "png", tmp_path, plan())


def test_it_is_the_same_twice(tmp_path):
    data = saved(plan(), "png")
    assert through(data, "png", tmp_path, plan()) == through(data, "png", tmp_path, plan())


MATRIX = (0.5, 0.1, 0, 430_000, 0.1, -0.5, 0, 282_000, 0, 0, 0, 0, 0, 0, 0, 1)
GOOD = {
    "png": saved(plan("P"), "png"),
    "jpeg": saved(plan(), "jpeg", exif=b"Exif\0\0II*\0\x08\0\0\0\0\0"),
    "tiff": geotiff({34264: MATRIX}, {1024: 1, 3072: 27_700}, compression="tiff_lzw"),
    "tiff raw": geotiff({34264: MATRIX}, {1024: 1, 3072: 27_700}, plan("L")),
}
LONG = os.environ.get("LAWNMAP_LONG") == "1"


@pytest.mark.parametrize("name", GOOD)
def test_damaged_pictures_are_read_or_refused(name, tmp_path):
    kind = name.split()[0]
    path = tmp_path / "plan.bin"
    columns, rows, mesh = shrunk(plan(), 1)

    def read(data):
        path.write_bytes(data)
        header = picture_header.header(str(path), kind)
        if not header["heights"]:
            picture_warp.warped(str(path), kind, columns=columns, rows=rows, mesh=mesh)

    counts = outcomes(read, GOOD[name])
    assert counts["refused"] > sum(counts.values()) / 10
    assert counts["read"] > 0 or kind == "png"  # a PNG checks every chunk by its sum
