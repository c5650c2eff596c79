"""Headers of pictures: size, place and CRS by tags, keys, world files; and what is refused."""

import importlib.util
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageFile

from lawnmap.errors import ExtraNeeded, InputRefused, LayerNeeded
from lawnmap.files.admit import Source
from lawnmap.found import Layer
from lawnmap.geometry import grid as grids
from lawnmap.geometry.crs import known
from lawnmap.geometry.grid import Grid
from lawnmap.readers.picture import header as picture_header
from lawnmap.readers.picture import image as picture_image
from lawnmap.readers.picture import reader as picture
from lawnmap.readers.picture.tags import tags
from lawnmap.readers.picture.world import world_file
from tests.readers.pictures import SIZE, chunk, geotiff, plan, png, saved, source, tiff

WORLD = b"0.5\n0\n0\n-0.5\n430000.25\n281999.75\n"
MATRIX = (0.5, 0.1, 0, 430_000, 0.1, -0.5, 0, 282_000, 0, 0, 0, 0, 0, 0, 0, 1)
BRITISH = {1024: 1, 1025: 1, 3072: 27_700}


@pytest.mark.parametrize(
    ("kind", "mode"),
    [
        *(("png", mode) for mode in ("1", "L", "LA", "P", "RGB", "RGBA", "I;16")),
        *(("jpeg", mode) for mode in ("L", "RGB", "CMYK")),
        *(("tiff", mode) for mode in ("1", "L", "P", "RGB", "RGBA", "CMYK")),
    ],
)
def test_every_kind_of_picture_has_a_size_and_no_place(kind, mode):
    image = plan("L").convert("I;16") if mode == "I;16" else plan(mode)
    given = source(saved(image, kind), f"Plan.{kind}")
    assert picture.look(given) == [Layer("picture", 1, ("Picture",))]
    found = picture.read(given)
    made = found.picture
    assert (made.kind, made.width, made.height, made.grid) == (kind, *SIZE, None)
    assert (made.data, made.name, found.crs, found.warnings) == (given.data, "Plan", None, ())
    assert found.features == ()


def test_the_one_layer_may_be_named_and_no_other():
    given = source(saved(plan(), "png"), "a.png")
    assert picture.read(given, layer="picture").picture is not None
    with pytest.raises(InputRefused, match="no layer 'heights'") as caught:
        picture.read(given, layer="heights")
    assert not isinstance(caught.value, LayerNeeded)


@pytest.mark.parametrize(
    ("kind", "suffix"), [("png", "pgw"), ("jpeg", "jgw"), ("tiff", "tfw"), ("png", "wld")]
)
def test_a_world_file_puts_it_on_a_map(kind, suffix):
    given = source(saved(plan(), kind), f"a.{kind}", **{suffix: WORLD})
    found = picture.read(given, crs="EPSG:27700")
    assert found.picture.grid == (0.5, 0, 430_000, 0, -0.5, 282_000)
    assert found.crs == "EPSG:27700"
    assert "names no CRS; EPSG:27700 was taken" in found.warnings[0]


def test_a_prj_beside_it_says_the_crs():
    prj = known("EPSG:27700").to_wkt("WKT1_ESRI").encode()
    given = source(saved(plan(), "png"), "a.png", pgw=WORLD, prj=prj)
    assert picture.read(given).crs == "EPSG:27700"
    assert picture.read(given, crs="EPSG:27700").warnings == ()
    with pytest.raises(InputRefused, match="is in EPSG:27700, and --crs says 'EPSG:32631'"):
        picture.read(given, crs="EPSG:32631")
    broken = source(saved(plan(), "png"), "a.png", pgw=WORLD, prj=b"\xff nonsense")
    assert "not understood" in " ".join(picture.read(broken).warnings)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"0.5\n0\n0\n", "3 lines"),
        (b"0.5\n0\n0\n-0.5\n1\n2\n3\n", "7 lines"),
        (b"", "0 lines"),
        (b"0\n0\n0\n0\n430000\n282000\n", "on one line"),
        (b"1\n2\n1\n2\n430000\n282000\n", "on one line"),
        (b"0.5\n0\n0\n0\n430000\n282000\n", "on one line"),
        (b"0.5\n0\n0\n-0.5\nNaN\n282000\n", "line 5: 'NaN' is not a number"),
        (b"0.5\n0\n0\n-0.5\n430000\ninf\n", "line 6: 'inf' is not a number"),
        (b"0,5\n0\n0\n-0.5\n430000\n282000\n", "line 1: '0,5' has a decimal comma"),
        (b"0.5\n0\n0\n-0.5\n1e300\n282000\n", "line 5: 1e300 lies on no map"),
        (b"0.5\n0\n0\n-0.5\n1e999\n282000\n", "line 5: '1e999' is not a finite number"),
        ("٠.٥\n0\n0\n-0.5\n430000\n282000\n".encode(), "line 1"),
        (b"0.5\n0\n\n-0.5\n430000\n282000\n", "line 3"),
        (b"\0\0\0", "a.pgw"),
        (b"\xff\xfe0\0", "a.pgw"),
        (b"<html>", "1 lines"),
    ],
)
def test_a_world_file_that_cannot_be_is_refused_by_line(text, said):
    with pytest.raises(InputRefused) as caught:
        picture.read(source(saved(plan(), "png"), "a.png", pgw=text))
    assert said in str(caught.value)
    assert str(caught.value).startswith("a.pgw: ")


def test_a_world_file_may_have_spaces_a_mark_and_windows_line_ends():
    text = "\ufeff 0.5 \r\n0\r\n0\r\n-0.5\r\n430000.25\r\n281999.75\r\n\r\n"
    assert world_file(text.encode(), "a.pgw").c == 430_000


def test_a_picture_face_down_is_told():
    mirrored = b"0.5\n0\n0\n0.5\n430000\n281000\n"
    found = picture.read(source(saved(plan(), "png"), "a.png", pgw=mirrored))
    assert "face down" in found.warnings[0]


def test_a_turned_geotiff_keeps_its_turn():
    found = picture.read(source(geotiff({34264: MATRIX}, BRITISH), "a.tif"))
    assert found.picture.grid == (0.5, 0.1, 430_000, 0.1, -0.5, 282_000)
    assert (found.crs, found.warnings) == ("EPSG:27700", ())


def test_pixel_is_point_is_half_a_pixel_off():
    # OGC 19-008r4, 7.1: with PixelIsPoint a raster's whole numbers are the middle of a pixel.
    scale, tie = (0.5, 0.5, 0), (0, 0, 0, 430_000, 282_000, 0)
    for keys, corner in (
        (BRITISH, (430_000, 282_000)),
        (BRITISH | {1025: 2}, (429_999.75, 282_000.25)),
    ):
        found = picture.read(source(geotiff({33550: scale, 33922: tie}, keys), "a.tif"))
        assert (found.picture.grid.c, found.picture.grid.f) == corner
    moved = tuple(np.array(MATRIX))
    found = picture.read(source(geotiff({34264: moved}, BRITISH | {1025: 2}), "a.tif"))
    middle = found.picture.grid.apply(np.array([[0.5, 0.5]]))
    assert middle == pytest.approx(np.array([[430_000, 282_000]]))


def test_own_tags_come_before_a_world_file_and_that_is_said():
    given = source(geotiff({34264: MATRIX}, BRITISH), "a.tif", tfw=WORLD)
    found = picture.read(given)
    assert found.picture.grid.b == 0.1
    assert found.warnings == (
        "The picture's own tags say where it lies; the .tfw beside it was not used.",
    )


@pytest.mark.parametrize(
    ("keys", "crs", "said"),
    [
        ({1024: 2, 2048: 4326}, "OGC:CRS84", ""),
        ({1024: 2, 2048: 4258}, "EPSG:4258", ""),
        ({1024: 1, 3072: 2277, 3076: 9003}, "EPSG:2277", ""),
        ({1024: 1, 3072: 27_700, 3076: 9002}, "EPSG:27700", "speak of feet"),
        ({1024: 1, 3072: 32_767}, None, "give --crs"),
        ({1024: 1, 3072: 32_767, 3076: 9003}, None, "in US survey feet"),
        ({1024: 1, 3072: 29_999}, None, "give --crs"),
        ({}, None, ""),
    ],
)
def test_the_crs_by_keys(keys, crs, said):
    found = picture.read(source(geotiff({34264: MATRIX}, keys), "a.tif"))
    assert found.crs == crs
    assert said in " ".join(found.warnings)
    assert bool(said) == bool(found.warnings)


def test_ties_without_a_scale_are_told_and_left_alone():
    ties = (0, 0, 0, 1, 2, 0, 60, 0, 0, 31, 2, 0, 0, 40, 0, 1, -18, 0)
    found = picture.read(source(geotiff({33922: ties}, BRITISH), "a.tif"))
    assert found.picture.grid is None
    assert "ties 3 places" in found.warnings[0]


@pytest.mark.parametrize(
    "found",
    [
        {34264: MATRIX[:12]},
        {34264: (0.0,) * 16},
        {34264: (float("nan"), *MATRIX[1:])},
        {33550: (0.0, 0.0, 0.0), 33922: (0, 0, 0, 1, 2, 0)},
        {33550: (1.0,), 33922: (0, 0, 0, 1, 2, 0)},
        {33550: (1.0, 1.0, 0.0), 33922: (0, 0, 0)},
        {33550: 1.0, 33922: (0, 0, 0, 1, 2, 0)},
    ],
)
def test_tags_that_cannot_be_are_refused(found):
    with pytest.raises(InputRefused, match="says where it lies, and that cannot be"):
        tags(found)


@pytest.mark.parametrize("kind", ["jpeg", "tiff"])
def test_a_picture_held_sideways_is_turned_with_its_place(kind):
    suffix = {"jpeg": "jgw", "tiff": "tfw"}[kind]
    if kind == "jpeg":
        exif = plan().getexif()
        exif[274] = 6
        data = saved(plan(), kind, exif=exif.tobytes())
    else:
        data = saved(plan(), kind, tiffinfo={274: 6})
    made = picture.read(source(data, f"a.{kind}", **{suffix: WORLD})).picture
    assert (made.width, made.height) == SIZE[::-1]
    # Shown with its first stored column on top, right to left: upper right is the stored corner.
    corner = made.grid.apply(np.array([[float(made.width), 0.0]]))
    assert corner.tolist() == [[430_000, 282_000]]


def test_of_several_pages_the_first_is_taken_and_that_is_said():
    data = saved(plan(), "tiff", save_all=True, append_images=[plan(), plan()])
    assert picture.read(source(data, "a.tif")).warnings == (
        "The file holds 3 pictures: the first was taken.",
    )
    moving = saved(plan("P"), "png", save_all=True, append_images=[plan("L").convert("P")])
    assert "2 pictures" in picture.read(source(moving, "a.png")).warnings[0]


@pytest.mark.parametrize(
    ("data", "name", "said"),
    [
        (png(30_000, 30_000), "a.png", "pixels"),
        (png(13_000, 13_000), "a.png", "is 13,000 by 13,000 pixels"),
        (tiff(200_000, 200_000), "a.tif", "pixels"),
        (b"\x89PNG", "a.png", "cannot be read as PNG"),
        (b"\xff\xd8\xff" + b"\0" * 50, "a.jpg", "cannot be read as JPEG"),
        (b"II*\0\xff\xff\xff\xff", "a.tif", "cannot be read as TIFF"),
        (b"II*\0\x08\0\0\0\xff\xff" + b"\0" * 30, "a.tif", "cannot be read as TIFF"),
        (saved(plan(), "png").replace(b"IHDR", b"XHDR"), "a.png", "cannot be read as PNG"),
    ],
)
def test_hostile_pictures_are_refused_by_their_header(data, name, said):
    with pytest.raises(InputRefused) as caught:
        picture.read(source(data, name))
    assert said in str(caught.value)
    assert str(caught.value).startswith(name)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["jpeg", "tiff", "png"])
def test_it_is_decoded_as_its_header_said(kind, orientation, tmp_path):
    exif = plan().getexif()
    exif[274] = orientation
    options = {"tiffinfo": {274: orientation}} if kind == "tiff" else {"exif": exif.tobytes()}
    data = saved(plan(), kind, **options)
    (tmp_path / "plan").write_bytes(data)
    with picture_image.opened(str(tmp_path / "plan"), kind) as image:
        shown = picture_image.decoded(image)
    made = picture.read(source(data, f"a.{kind}", wld=WORLD)).picture
    assert shown.size == (made.width, made.height)
    # The red quarter was stored at the upper left, where the world file begins.
    grid = Grid(*made.grid)
    red = grids.sought(grid.apply, np.array([[430_000 + 7.5, 282_000 - 5]]), *shown.size)[0]
    assert shown.getpixel(tuple(int(each) for each in red))[1] < 60
    others = np.array([[430_000 + 22.5, 282_000 - 5], [430_000 + 7.5, 282_000 - 15]])
    for at in grids.sought(grid.apply, others, *shown.size):
        assert shown.getpixel(tuple(int(each) for each in at))[1] > 200


def test_a_header_is_read_without_the_pixels(tmp_path, monkeypatch):
    (tmp_path / "plan").write_bytes(png(12_000, 12_000))  # 144 million that are not there
    monkeypatch.setattr(Image.Image, "load", None)
    monkeypatch.setattr(ImageFile.ImageFile, "load", None)
    told = picture_header.header(str(tmp_path / "plan"), "png")
    assert (told["width"], told["height"], told["orientation"]) == (12_000, 12_000, 1)


@pytest.mark.parametrize("name", [b"zTXt", b"iCCP"])
def test_what_unpacks_to_a_hundred_megabytes_is_refused(name):
    bomb = chunk(name, b"a\0\0" + zlib.compress(b"0" * 100_000_000))
    with pytest.raises(InputRefused, match="cannot be read as PNG"):
        picture.read(source(png(60, 40, bomb), "a.png"))


@pytest.mark.parametrize("data", [b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"<html></html>"])
def test_what_only_calls_itself_a_picture_is_refused(data):
    with pytest.raises(InputRefused):
        source(data, "a.png")


def test_only_the_format_that_the_content_tells_is_tried():
    given = Source("a.png", saved(plan(), "gif"), "png")
    with pytest.raises(InputRefused, match="cannot be read as PNG"):
        picture.read(given)


@pytest.mark.parametrize("mode", ["F", "I", "I;16"])
def test_a_tiff_of_many_bits_is_heights(mode):
    data = geotiff({34264: MATRIX}, BRITISH, plan("L").convert(mode))
    assert picture.look(source(data, "a.tif")) == [Layer("heights", 2400, ("Grid",))]
    if importlib.util.find_spec(picture.HEIGHTS) is None:
        with pytest.raises(InputRefused, match="grid of heights"):
            picture.read(source(data, "a.tif"))
    else:
        found = picture.read(source(data, "a.tif"))
        assert found.picture is None
        assert found.heights.shape == (40, 60)
        assert found.heights.points[0] == pytest.approx([430_000.3, 281_999.8, 76])


def test_without_pillow_it_says_what_to_install(monkeypatch):
    monkeypatch.setattr(picture, "find_spec", lambda name: None)
    with pytest.raises(ExtraNeeded, match=r"pip install 'lawnmap\[pictures\]'"):
        picture.read(source(saved(plan(), "png"), "a.png"))


numbers = st.floats(-1e7, 1e7, allow_nan=False, allow_infinity=False)


@given(st.tuples(*[numbers] * 6))
def test_a_world_file_is_read_to_the_last_digit_or_refused(six):
    a, d, b, e, c, f = six
    text = "\n".join(map(repr, six)).encode()
    sound = Grid(a, b, c, d, e, f).sound
    if not sound:
        with pytest.raises(InputRefused, match="on one line"):
            world_file(text, "a.pgw")
        return
    middle = world_file(text, "a.pgw").apply(np.array([[0.5, 0.5]]))
    assert middle == pytest.approx(np.array([[c, f]]), rel=1e-12, abs=1e-8)
    next_but_one = world_file(text, "a.pgw").apply(np.array([[1.5, 2.5]]))
    expected = np.array([[a + 2 * b + c, d + 2 * e + f]])
    assert next_but_one == pytest.approx(expected, rel=1e-9, abs=1e-6)


def outcome(data):
    """Return the grid of a world file, or the file that its refusal names."""
    try:
        return world_file(data, "a.pgw")
    except InputRefused as error:
        return error.file


@given(st.lists(st.text(max_size=45), max_size=8))
def test_any_lines_are_read_or_refused(lines):
    found = outcome("\n".join(lines).encode())
    assert found == "a.pgw" or found.sound
