"""Shapefiles written by GDAL, and one put together from the ESRI description of July 1998."""

import io
import struct
import tempfile
import warnings
import zipfile

import geopandas as gpd
import pyogrio
import pyproj
import pytest
import shapely

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files.admit import Source, admit
from lawnmap.found import Found, Layer
from lawnmap.readers import shapefile

# Outer rings of a shapefile run clockwise (ESRI, page 8), so these come back as they are.
LAWN = shapely.Polygon(
    [(0.1 + 0.2, 0), (1 / 3, 20.123456789012345), (30.7, 1e-9)],
    [[(5, 1), (6, 1), (5, 2)]],
)
BED = shapely.Polygon([(50, 0), (50, 9), (59, 0)])


@pytest.fixture(autouse=True)
def temporary(tmp_path, monkeypatch):
    """Watch the folder for temporary files for leftovers."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    yield
    assert list(folder.iterdir()) == []


@pytest.fixture
def plan(tmp_path):
    """Write a loose shapefile in a folder of its own."""
    return written(tmp_path / "loose" / "plan.shp", [LAWN, BED], name=["Back lawn", "Süd"])


def written(path, geometry, crs=27700, encoding=None, **columns):
    path.parent.mkdir(exist_ok=True)
    frame = gpd.GeoDataFrame(columns, geometry=geometry, crs=crs)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pyogrio.write_dataframe(frame, path, encoding=encoding)
    return path


def zipped(entries, name="plan.zip"):
    """Return a source from files by their names in the archive."""
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, data in entries.items():
            archive.writestr(entry, data)
    return Source(name, memory.getvalue(), "shp")


def parts_of(path, prefix):
    return {prefix + each.suffix: each.read_bytes() for each in path.parent.glob(path.stem + ".*")}


def shapes_of(found):
    return [shapely.geometry.shape(each.geometry) for each in found.features]


# What is read ------------------------------------------------------------------------------------


def test_coordinates_and_attributes_come_back_exactly(plan):
    before = {each.name: each.read_bytes() for each in plan.parent.iterdir()}
    found = shapefile.read(admit(plan))
    assert [each.equals_exact(LAWN, tolerance=0) for each in shapes_of(found)] == [True, False]
    assert shapes_of(found)[1].equals_exact(BED, tolerance=0)
    assert [each.properties for each in found.features] == [
        {"name": "Back lawn"},
        {"name": "Süd"},
    ]
    assert [each.place for each in found.features] == ['feature 1 "Back lawn"', 'feature 2 "Süd"']
    assert found.crs == "EPSG:27700"
    assert found.warnings == ()
    assert {each.name: each.read_bytes() for each in plan.parent.iterdir()} == before


def test_a_loose_shapefile_is_one_layer(plan):
    assert shapefile.look(admit(plan)) == [Layer("plan", 2, ("Polygon",))]
    with pytest.raises(InputRefused, match="holds no layer 'beds'"):
        shapefile.read(admit(plan), layer="beds")


def test_a_folder_within_an_archive_is_found(plan):
    entries = parts_of(plan, "Site plan/drawn/plan")
    entries |= {"__MACOSX/Site plan/drawn/._plan.shp": b"\0", "Site plan/read me.txt": b"words"}
    found = shapefile.read(zipped(entries))
    assert shapes_of(found)[0].equals_exact(LAWN, tolerance=0)
    assert shapefile.look(zipped(entries)) == [Layer("Site plan/drawn/plan", 2, ("Polygon",))]


def test_two_shapefiles_in_an_archive_are_layers(plan, tmp_path):
    trees = written(tmp_path / "other" / "trees.shp", [shapely.Point(3, 4)], crs=25832)
    source = zipped(parts_of(plan, "a/plan") | parts_of(trees, "a/trees"))
    assert shapefile.look(source) == [
        Layer("a/plan", 2, ("Polygon",)),
        Layer("a/trees", 1, ("Point",)),
    ]
    with pytest.raises(LayerNeeded, match=r'"a/plan" \(2\), "a/trees" \(1\)'):
        shapefile.read(source)
    found = shapefile.read(source, layer="a/trees")
    assert found.features[0].geometry == {"type": "Point", "coordinates": [3.0, 4.0]}
    assert found.crs == "EPSG:25832"


def test_the_case_of_names_does_not_matter(plan):
    upper = {name.upper(): data for name, data in parts_of(plan, "plan").items()}
    upper["plan.dbf"] = upper.pop("PLAN.DBF")
    found = shapefile.read(zipped(upper))
    assert [each.properties["name"] for each in found.features] == ["Back lawn", "Süd"]


def test_a_file_made_from_the_description_alone_is_read():
    """ESRI Shapefile Technical Description, pages 3 to 8 and 24; dBASE III table without rows."""
    ring = [(0.0, 0.0), (0.0, 8.5), (12.25, 8.5), (12.25, 0.0), (0.0, 0.0)]
    body = struct.pack("<i4d3i", 5, 0, 0, 12.25, 8.5, 1, 5, 0)
    body += b"".join(struct.pack("<2d", *xy) for xy in ring)
    record = struct.pack(">2i", 1, len(body) // 2) + body

    def header(size):
        bounds = struct.pack("<2i8d", 1000, 5, 0, 0, 12.25, 8.5, 0, 0, 0, 0)
        return struct.pack(">7i", 9994, 0, 0, 0, 0, 0, size // 2) + bounds

    index = struct.pack(">2i", 50, len(body) // 2)
    parts = {".shx": header(108) + index}
    source = Source("plan.shp", header(100 + len(record)) + record, "shp", parts)
    found = shapefile.read(source)
    assert found.features[0].geometry["coordinates"] == [[list(xy) for xy in ring]]
    assert found.features[0].properties == {}
    assert found.crs is None
    assert found.warnings == ("There is no .dbf beside it, so the outlines have no attributes.",)


# Missing and odd parts ---------------------------------------------------------------------------


def without(source, *suffixes):
    parts = {name: data for name, data in source.parts.items() if name not in suffixes}
    return Source(source.name, source.data, source.kind, parts)


def test_without_an_index_it_is_refused_in_words(plan):
    for call in (shapefile.look, shapefile.read):
        with pytest.raises(InputRefused, match=r"plan.shp: plan: there is no .shx") as caught:
            call(without(admit(plan), ".shx"))
        assert "the same folder" in caught.value.remedy


def test_without_a_table_it_is_read_and_said(plan):
    found = shapefile.read(without(admit(plan), ".dbf"))
    assert [each.properties for each in found.features] == [{}, {}]
    assert "no .dbf" in found.warnings[0]


def test_without_a_projection_the_crs_is_not_guessed(plan):
    bare = without(admit(plan), ".prj")
    assert shapefile.read(bare).crs is None
    found = shapefile.read(bare, crs="EPSG:27700")
    assert found.crs == "EPSG:27700"
    assert found.warnings == ("The file names no CRS; EPSG:27700 was taken, as --crs says.",)


def with_projection(plan, text):
    source = admit(plan)
    return Source(source.name, source.data, "shp", {**source.parts, ".prj": text.encode()})


def test_a_projection_of_no_register_is_kept_as_it_is(plan):
    own = "+proj=tmerc +lat_0=52.1 +lon_0=-1.5 +k=1 +x_0=5000 +y_0=5000 +ellps=GRS80"
    found = shapefile.read(with_projection(plan, pyproj.CRS(own).to_wkt("WKT1_ESRI")))
    parameters = pyproj.CRS(found.crs).coordinate_operation.params
    values = {each.name: each.value for each in parameters}
    assert values["Latitude of natural origin"] == 52.1
    assert values["False easting"] == 5000


@pytest.mark.parametrize(
    "text",
    ["http://127.0.0.1:9/crs.wkt", "/etc/hostname", "not a CRS", "EPSG:27700 or so", "\0" * 40],
)
def test_a_projection_that_is_none_is_not_followed(plan, text):
    found = shapefile.read(with_projection(plan, text))
    assert found.crs is None
    assert ".prj" in found.warnings[-1]


@pytest.mark.parametrize("encoding", ["UTF-8", "ISO-8859-1", "CP1252"])
def test_the_encoding_beside_it_is_honoured(tmp_path, encoding):
    path = written(tmp_path / "loose" / "plan.shp", [LAWN], encoding=encoding, name=["Süd – é"[:3]])
    assert shapefile.read(admit(path)).features[0].properties == {"name": "Süd"}


def test_text_in_another_encoding_than_it_says_is_refused(tmp_path):
    path = written(tmp_path / "loose" / "plan.shp", [LAWN], encoding="ISO-8859-1", name=["Süd"])
    path.with_suffix(".cpg").write_text("UTF-8")
    with pytest.raises(InputRefused, match="not in its own encoding") as caught:
        shapefile.read(admit(path))
    assert caught.value.file == "plan.shp"


def test_a_table_s_dates_and_numbers_are_plain(tmp_path):
    """Field types D, N, F, C and L as dBASE III has them."""
    fields = [(b"cut", b"D", 8, 0), (b"mm", b"N", 6, 0), (b"pct", b"F", 6, 2), (b"ok", b"L", 1, 0)]
    row = b" " + b"20260304" + b"    12" + b"  1.25" + b"T"
    header = struct.pack("<4BIHH20x", 3, 126, 1, 1, 1, 32 + 32 * len(fields) + 1, len(row))
    described = b"".join(
        struct.pack("<11sc4xBB14x", name, kind, size, places) for name, kind, size, places in fields
    )
    path = written(tmp_path / "loose" / "plan.shp", [LAWN])
    path.with_suffix(".dbf").write_bytes(header + described + b"\r" + row + b"\x1a")
    found = shapefile.read(admit(path))
    assert found.features[0].properties == {"cut": "2026-03-04", "mm": 12, "pct": 1.25, "ok": True}


def test_heights_and_measures_are_left_out_and_heights_said(tmp_path):
    raised = shapely.force_3d(BED, 17.5)
    found = shapefile.read(admit(written(tmp_path / "loose" / "plan.shp", [raised])))
    assert shapes_of(found)[0].equals_exact(BED, tolerance=0)
    assert "Heights in the file are not used" in " ".join(found.warnings)


def test_an_empty_shape_is_left_out_and_named(tmp_path):
    path = written(tmp_path / "loose" / "plan.shp", [LAWN, None], name=["one", "nothing"])
    found = shapefile.read(admit(path))
    assert len(found.features) == 1
    assert found.warnings == ('Left out, without a geometry: feature 2 "nothing".',)


# Hostile files -----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [4, 50, 99])
def test_a_cut_header_is_refused(plan, size):
    source = admit(plan)
    with pytest.raises(InputRefused, match="is cut short"):
        shapefile.look(Source(source.name, source.data[:size], "shp", source.parts))


def test_a_header_of_another_version_is_refused(plan):
    source = admit(plan)
    data = source.data[:28] + struct.pack("<i", 2000) + source.data[32:]
    with pytest.raises(InputRefused, match="is not a shapefile"):
        shapefile.look(Source(source.name, data, "shp", source.parts))


def test_a_file_named_by_another_is_not_read(tmp_path):
    """What opens other files in GDAL has its driver switched off: see also tests of the child."""
    secret = tmp_path / "secret.csv"
    secret.write_text("key\nCANARY-8241\n")
    vrt = f'<OGRVRTDataSource><OGRVRTLayer name="s"><SrcDataSource>{secret}</SrcDataSource>'
    data = vrt.encode() + b"</OGRVRTLayer></OGRVRTDataSource>"
    header = struct.pack("<28xII64x", 1000, 5)
    for source in (
        Source("plan.shp", data, "shp", {".shx": header}),
        Source("plan.shp", header + data, "shp", {".shx": header, ".dbf": data, ".prj": data}),
    ):
        with pytest.raises(InputRefused) as caught:
            shapefile.read(source)
        assert "CANARY" not in str(caught.value)


def test_an_index_that_promises_more_than_there_is_does_not_crash(plan):
    source = admit(plan)
    index = source.parts[".shx"] + struct.pack(">2i", 2**30, 2**30) * 5_000
    longer = Source(source.name, source.data, "shp", {**source.parts, ".shx": index})
    try:
        told = shapefile.read(longer)
    except InputRefused as error:
        told = error
    assert isinstance(told, Found | InputRefused)


def test_an_archive_with_a_way_out_is_refused(plan):
    with pytest.raises(InputRefused, match="leads out of the archive"):
        shapefile.read(zipped(parts_of(plan, "../plan")))
