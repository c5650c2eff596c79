"""What the guarded child runs, called here: what seldom comes to pass, and what it says then.

That the child itself does the same the tests of each reader show, with whole files.
"""

import json

import numpy as np
import pytest

from lawnmap.errors import ExtraNeeded, InputRefused, LawnmapError

pa = pytest.importorskip("pyarrow")
pytest.importorskip("PIL")
from PIL import Image  # noqa: E402 - after the skips
from pyarrow import parquet  # noqa: E402
from shapely import box  # noqa: E402

from lawnmap.readers import geo_metadata, handover, ogr, parquet_table, shapefile  # noqa: E402
from lawnmap.readers.picture import image as picture_image  # noqa: E402
from lawnmap.readers.picture import photo, warp  # noqa: E402
from lawnmap.readers.picture import reader as picture  # noqa: E402
from tests.readers.pictures import geotiff, plan, saved, source  # noqa: E402

GEO = {
    "version": "1.1.0",
    "primary_column": "geometry",
    "columns": {"geometry": {"encoding": "WKB", "geometry_types": ["Polygon"]}},
}


# GDAL --------------------------------------------------------------------------------------------


def test_a_gdal_with_other_drivers_opens_nothing():
    with pytest.raises(LawnmapError, match=r"drivers could not be switched off: .*GeoJSON"):
        ogr.make_sure("plan.shp", "ESRI Shapefile")


def test_a_crs_that_gdal_cannot_spell_out_is_refused():
    def fails():
        raise UnboundLocalError("crs")  # as pyogrio 0.13 does

    with pytest.raises(InputRefused, match="names a CRS that cannot be read"):
        ogr.told(fails)


def test_two_columns_of_one_name_in_a_layer_are_refused():
    kinds = {"ogr_types": ["OFTString"] * 2, "ogr_subtypes": ["OFSTNone"] * 2}
    with pytest.raises(InputRefused, match="two columns are called 'moss'"):
        ogr._rows({"fields": ["moss", "moss"], **kinds}, [["3"], ["4"]], 1)


def test_a_shape_that_is_none_is_refused_by_its_place():
    with pytest.raises(InputRefused, match="has a geometry that cannot be read") as caught:
        handover.pack([box(0, 0, 1, 1).wkb, b"\x01junk"], [{}, {}], crs=None, warnings=[])
    assert caught.value.place == "feature 2"


def test_a_table_too_short_for_its_own_header_has_no_rows():
    (told,) = shapefile._of_table(b"\x03", 2)
    assert told.startswith("The .dbf beside it has whole rows for 0 of 2 shapes")


# GeoParquet --------------------------------------------------------------------------------------


def features(tmp_path, table):
    file = tmp_path / "plan.parquet"
    metadata = {**(table.schema.metadata or {}), b"geo": json.dumps(GEO).encode()}
    parquet.write_table(table.replace_schema_metadata(metadata), file)
    return parquet_table.features(file=str(file), name="plan", layer=None)


def test_a_geometry_column_of_a_type_of_its_own_is_read_by_what_it_is_made_of(tmp_path):
    kind = pa.opaque(pa.binary(), "wkb", "somebody")
    column = pa.ExtensionArray.from_storage(kind, pa.array([box(0, 0, 9, 4).wkb]))
    told = features(tmp_path, pa.table({"geometry": column, "name": ["Back"]}))
    ((geometry,), properties) = told["features"][0]
    assert (geometry["type"], properties) == ("Polygon", {"name": "Back"})


def test_two_columns_of_one_name_are_refused(tmp_path):
    arrays = [pa.array([box(0, 0, 9, 4).wkb]), pa.array([1]), pa.array([2])]
    table = pa.Table.from_arrays(arrays, names=["geometry", "moss", "moss"])
    with pytest.raises(InputRefused, match="two columns are called 'moss'"):
        features(tmp_path, table)


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (pa.ArrowInvalid("page 3 is cut short"), r"could not be read \(page 3 is cut short\)"),
        (OSError("no such page"), r"could not be read \(no such page\)"),
        (OverflowError("date value out of range"), "holds a date that no calendar has"),
        (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "x"), "holds text that is not in UTF-8"),
    ],
)
def test_whatever_pyarrow_raises_is_said_in_words(error, words):
    def fails():
        raise error

    with pytest.raises(InputRefused, match=words) as caught:
        geo_metadata.told(fails)
    assert caught.value.__cause__ is error


def test_want_of_memory_is_handed_on():
    def fails():
        raise MemoryError

    with pytest.raises(MemoryError):
        geo_metadata.told(fails)


# Pictures ----------------------------------------------------------------------------------------


def test_a_picture_without_a_pixel_is_refused():
    with pytest.raises(InputRefused, match="holds no pixels"):
        picture_image.check_size(0, 5)


def test_colours_that_no_screen_has_are_refused_when_they_are_to_be_shown(tmp_path):
    file = tmp_path / "plan.tif"
    file.write_bytes(saved(plan("LAB"), "tiff"))
    with (
        pytest.raises(InputRefused, match="has colours of the kind LAB"),
        picture_image.opened(str(file), "tiff") as image,
    ):
        picture_image.decoded(image)


def test_a_picture_that_cannot_be_made_small_enough_is_refused(monkeypatch):
    monkeypatch.setattr(warp, "LARGEST", 1_000)
    noise = np.random.default_rng(1).integers(0, 256, (240, 240, 4), dtype=np.uint8)
    with pytest.raises(InputRefused, match="cannot be made small enough for a map page"):
        warp.small(Image.fromarray(noise))


NO_CODE = (
    'LOCAL_CS["Garden",UNIT["metre",1]]',
    'PROJCS["Own",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],'
    'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],'
    'PARAMETER["latitude_of_origin",1],PARAMETER["central_meridian",2],PARAMETER["scale_factor",1],'
    'PARAMETER["false_easting",3],PARAMETER["false_northing",4],UNIT["metre",1]]',
)


def test_a_crs_of_no_register_is_taken_as_it_is_spelt():
    world = b"0.5\n0\n0\n-0.5\n430000\n282000\n"
    found = picture.read(source(saved(plan(), "png"), "a.png", pgw=world, prj=NO_CODE[1].encode()))
    assert found.crs.startswith('PROJCRS["Own"')
    assert picture.read(source(saved(plan(), "png"), "a.png", prj=NO_CODE[0].encode())).crs is None


def test_heights_that_do_not_say_where_they_lie_are_refused():
    cells = Image.fromarray(np.full((4, 4), 80, dtype=np.float32))
    with pytest.raises(InputRefused, match="a grid of heights that does not say where it lies"):
        picture.read(source(geotiff({}, {}, cells), "a.tif"))


# Photos ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["png", "jpeg", "tiff", "webp"])
def test_a_photo_is_drawn_again_upright_and_small(kind, tmp_path):
    exif = Image.Exif()
    exif[274] = 6  # held on its side
    data = saved(plan(size=(60, 40)), kind, exif=exif)
    assert photo._kind(data) == kind
    (tmp_path / f"photo.{kind}").write_bytes(data)
    told = photo.drawn_again(str(tmp_path / f"photo.{kind}"), kind, 30)
    assert (told["width"], told["height"]) == (20, 30)


def test_a_photo_through_the_child():
    small = photo.small(saved(plan(size=(60, 40)), "png"), 30)
    assert small.size == (30, 20)
    assert photo.photo(saved(plan(size=(60, 40)), "png")).startswith(b"RIFF")


def test_what_is_no_photo_is_refused_and_pillow_asked_for(monkeypatch):
    with pytest.raises(InputRefused, match="is not a photo that can be read"):
        photo.small(b"%PDF-1.4", 30)
    monkeypatch.setattr("lawnmap.readers.picture.photo.find_spec", lambda _: None)
    with pytest.raises(ExtraNeeded, match="a photo needs Pillow"):
        photo.small(saved(plan(), "png"), 30)


# Pages of a PDF ----------------------------------------------------------------------------------


def test_a_document_without_pages_or_with_one_that_is_not_there_is_refused(tmp_path):
    pytest.importorskip("pypdfium2")
    from lawnmap.readers.picture import page
    from tests.readers.good_files import pdf

    (data,) = pdf().values()
    file = tmp_path / "plan.pdf"
    file.write_bytes(data)
    assert page.sizes(str(file)) == [[250, 250]]
    assert page.drawn(str(file), 1).size == (250, 250)
    with pytest.raises(InputRefused, match="holds a page that cannot be read"):
        page.drawn(str(file), 2)
    file.write_bytes(data.replace(b"/Kids [3 0 R] /Count 1", b"/Kids []      /Count 0"))
    with pytest.raises(InputRefused, match="cannot be read as PDF"):
        page.sizes(str(file))
