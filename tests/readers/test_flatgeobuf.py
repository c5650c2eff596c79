"""FlatGeobuf: files written by GDAL, and what can be wrong in one."""

import struct
import tempfile
import warnings

import geopandas as gpd
import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files.admit import Source, admit
from lawnmap.found import Found, Layer
from lawnmap.geometry.ellipsoid import areas
from lawnmap.jobs.features import take
from lawnmap.jobs.read import empty_site
from lawnmap.jobs.reading import Reading
from lawnmap.readers import flatgeobuf
from tests.readers.map_data import PLANS, area, maker

PLAN = PLANS / "garden.fgb"
LAWN = shapely.Polygon(
    [(0.1 + 0.2, 0), (30.7, 1e-9), (1 / 3, 20.123456789012345)],
    [[(5, 1), (6, 1), (5, 2)]],
)
BEDS = shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 2, 3, 3)])
# Of a file: eight bytes of magic, the header's length as uint32, the header, the index if there is
# one, the features each with its length before it (FlatGeobuf specification, "Overview").
HEADER = 12


@pytest.fixture(autouse=True)
def temporary(tmp_path, monkeypatch):
    """Watch the folder for temporary files for leftovers."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    yield
    assert list(folder.iterdir()) == []


def written(path, geometry, crs=27700, index="YES", **columns):
    frame = gpd.GeoDataFrame(columns, geometry=list(geometry), crs=crs)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        pyogrio.write_dataframe(frame, path, driver="FlatGeobuf", SPATIAL_INDEX=index)
    return path


def shapes_of(found):
    return [shapely.geometry.shape(each.geometry) for each in found.features]


def claiming(source, count, claimed):
    """Return a file whose header says that it holds another number of features."""
    data = bytearray(source.data)
    (size,) = struct.unpack_from("<I", data, 8)
    place = data.index(struct.pack("<Q", count), HEADER, HEADER + size)
    data[place : place + 8] = struct.pack("<Q", claimed)
    return Source(source.name, bytes(data), "fgb")


# What is read ------------------------------------------------------------------------------------


@pytest.mark.parametrize("index", ["YES", "NO"])
def test_mixed_shapes_and_attributes_come_back_exactly(tmp_path, index):
    line = shapely.LineString([(0, 0), (1 / 3, 1e-9)])
    shapes = {"Back lawn": LAWN, "Süd – Beete": BEDS, "edge": line, "tree": shapely.Point(3, 4)}
    path = written(
        tmp_path / "plan.fgb",
        shapes.values(),
        index=index,
        name=list(shapes),
        moss_rating=[3, 0, 1, 2],
        shade=[0.1, np.nan, 1.0, 2.0],
        public=[True, False, True, False],
    )
    found = flatgeobuf.read(admit(path))
    assert found.crs == "EPSG:27700"
    assert found.warnings == ()
    read = dict(
        zip([each.properties["name"] for each in found.features], shapes_of(found), strict=True)
    )
    assert read.keys() == shapes.keys()
    assert all(read[name].equals_exact(shapes[name], tolerance=0) for name in shapes)
    first = next(each for each in found.features if each.properties["name"] == "Back lawn")
    assert first.properties == {"name": "Back lawn", "moss_rating": 3, "shade": 0.1, "public": True}
    assert flatgeobuf.look(admit(path)) == [Layer("plan", 4, ())]


coordinate = st.floats(-1e7, 1e7, allow_nan=False)


@settings(max_examples=8, deadline=None)
@given(st.lists(st.lists(st.tuples(coordinate, coordinate), min_size=3, max_size=9), min_size=1))
def test_any_ring_comes_back_to_the_last_bit(tmp_path_factory, rings):
    wanted = [shapely.Polygon(ring) for ring in rings]
    path = written(tmp_path_factory.mktemp("any") / "plan.fgb", wanted, index="NO")
    read = shapes_of(flatgeobuf.read(admit(path)))
    assert [shapely.get_coordinates(each).tolist() for each in read] == [
        shapely.get_coordinates(each).tolist() for each in wanted
    ]


@pytest.mark.parametrize(
    ("crs", "read"),
    [("EPSG:4326", "OGC:CRS84"), ("EPSG:25832", "EPSG:25832"), ("EPSG:7405", "EPSG:27700")],
)
def test_a_crs_is_told_by_its_code(tmp_path, crs, read):
    path = written(tmp_path / "plan.fgb", [shapely.box(1, 50, 1.0001, 50.0001)], crs)
    assert flatgeobuf.read(admit(path)).crs == read


def test_without_a_crs_none_is_guessed_and_another_than_its_own_is_refused(tmp_path):
    bare = admit(written(tmp_path / "bare.fgb", [LAWN], None))
    assert flatgeobuf.read(bare).crs is None
    assert flatgeobuf.read(bare, crs="EPSG:27700").crs == "EPSG:27700"
    source = admit(written(tmp_path / "plan.fgb", [LAWN]))
    with pytest.raises(InputRefused, match="is in EPSG:27700, and --crs says 'EPSG:25832'"):
        flatgeobuf.read(source, crs="EPSG:25832")


def test_the_garden_has_its_true_areas():
    found = flatgeobuf.read(admit(PLAN))
    assert found.crs == "EPSG:32631"
    zones = take(empty_site(), found, Reading()).site.zones
    # From the garden's frame to UTM and back. The frame is good to 0.01 mm (geometry/frame.py),
    # on a perimeter of under 100 m.
    for name, outline in zip(zones["name"], zones.geometry, strict=True):
        truth = area(maker.ZONES[name])
        assert areas(np.array([outline], dtype=object))[0] == pytest.approx(truth, abs=0.01)
    assert sorted(zones["name"]) == sorted(maker.ZONES)
    assert set(zones["outline_source"]) == {"drawing"}
    kinds = [each.properties["feature"] for each in found.features]
    assert sorted(kinds) == ["bed", "building", "paving", "tree", "tree", "water", *["zone"] * 3]


def test_the_sample_is_what_its_maker_says():
    """Places, not bytes: another GDAL may write the same features another way."""
    drawn = maker.features()
    found = flatgeobuf.read(admit(PLAN))
    ours = {each.normalize().wkt for each in shapely.set_precision(shapes_of(found), 1e-6)}
    assert ours == {each.normalize().wkt for each in shapely.set_precision(drawn.geometry, 1e-6)}


# What has to be said -----------------------------------------------------------------------------


def test_arcs_become_chords_close_enough_and_it_is_said(tmp_path):
    arcs = [(0, 0), (1, 1), (2, 0), (1, -1), (0, 0)]  # a circle of radius 1
    circle = struct.pack("<BII", 1, 10, 1) + struct.pack("<BII", 1, 8, 5)
    circle += b"".join(struct.pack("<2d", *xy) for xy in arcs)
    path = tmp_path / "plan.fgb"
    pyogrio.raw.write(
        path, np.array([circle], dtype=object), [np.array(["x"], dtype=object)], ["name"],
        geometry_type="Unknown", crs="EPSG:27700", driver="FlatGeobuf",
    )  # fmt: skip
    found = flatgeobuf.read(admit(path))
    assert shapes_of(found)[0].area == pytest.approx(np.pi, rel=6e-5)
    assert found.warnings == ("Arcs in it are taken as chords of 1° each.",)


def test_heights_and_empty_shapes_are_said(tmp_path):
    path = written(
        tmp_path / "plan.fgb", [shapely.force_3d(LAWN, 17.5), None], index="NO", name=["one", "two"]
    )
    told = flatgeobuf.read(admit(path)).warnings
    assert 'Left out, without a geometry: feature 2 "two".' in told
    assert "Heights in the file are not used" in " ".join(told)


# Hostile files -----------------------------------------------------------------------------------


@pytest.mark.parametrize("index", ["YES", "NO"])
@pytest.mark.parametrize("claimed", [10**12, 2**63, 2**64 - 1])
def test_a_header_that_claims_more_than_there_can_be_is_refused(tmp_path, index, claimed):
    source = admit(written(tmp_path / "plan.fgb", [LAWN, BEDS, LAWN], index=index))
    with pytest.raises(InputRefused, match=r"plan\.fgb: "):
        flatgeobuf.read(claiming(source, 3, claimed))


def test_a_header_that_claims_more_than_is_admitted_is_refused(tmp_path):
    source = admit(written(tmp_path / "plan.fgb", [LAWN, BEDS, LAWN], index="NO"))
    with pytest.raises(InputRefused, match="holds more than 10,000 features"):
        flatgeobuf.read(claiming(source, 3, 10_001))


def test_features_that_are_missing_at_the_end_are_told(tmp_path):
    source = admit(written(tmp_path / "plan.fgb", [LAWN, BEDS, LAWN], index="NO"))
    found = flatgeobuf.read(claiming(source, 3, 50))
    assert found.warnings == ("It says that it holds 50 features, and holds 3.",)


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.9, 0.99])
def test_a_file_cut_short_is_refused(share):
    data = PLAN.read_bytes()
    cut = Source("plan.fgb", data[: max(8, int(len(data) * share))], "fgb")
    with pytest.raises(InputRefused) as caught:
        flatgeobuf.read(cut)
    assert caught.value.remedy


def test_too_many_vertices_are_refused(tmp_path):
    ring = shapely.Polygon(np.column_stack([np.arange(200_001), np.arange(200_001) % 2]))
    with pytest.raises(InputRefused, match="holds more than 200,000 vertices"):
        flatgeobuf.read(admit(written(tmp_path / "plan.fgb", [ring])))


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_positions_that_are_no_numbers_are_refused_by_place(tmp_path, value):
    source = admit(written(tmp_path / "plan.fgb", [LAWN], index="NO", name=["Back lawn"]))
    data = source.data.replace(struct.pack("<d", 30.7), struct.pack("<d", value))
    with pytest.raises(InputRefused, match="is not a finite number") as caught:
        flatgeobuf.read(Source("plan.fgb", data, "fgb"))
    assert caught.value.place.startswith('feature 1 "Back lawn", point ')


def test_a_file_named_by_another_is_not_read(tmp_path):
    """What opens other files in GDAL has its driver switched off: see also tests of the child."""
    secret = tmp_path / "secret.csv"
    secret.write_text("key\nCANARY-8241\n")
    vrt = f'<OGRVRTDataSource><OGRVRTLayer name="s"><SrcDataSource>{secret}</SrcDataSource>'
    for head in (b"", b"fgb\3fgb\1"):
        data = head + vrt.encode() + b"</OGRVRTLayer></OGRVRTDataSource>"
        try:
            told = str(flatgeobuf.read(Source("plan.fgb", data, "fgb")))
        except LawnmapError as error:
            told = str(error)
        assert "CANARY" not in told
        assert not isinstance(told, Found)
