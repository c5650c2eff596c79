"""A table of what else is mapped, through the same door as zones."""

import geopandas as gpd
import pytest
import shapely

from lawnmap import schema
from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.jobs.sites.door import reader
from lawnmap.jobs.sites.door.content import FEATURES
from tests.jobs.sites.door.tables import LONLAT, lines, square

LINE = shapely.LineString([(-2, 53), (-1.9999, 53.0001)])
POINT = shapely.Point(-2, 53)
THINGS = gpd.GeoDataFrame(
    {
        "site_id": ["B", "A", "A", "B", "A"],
        "feature": ["water", "tree", "Hidden", "core", "drain"],
        "width_m": [None, None, None, None, None],
        "stem_m": [None, 0.4, None, None, None],
        "hidden_kind": [None, None, "cable", None, None],
        "zone_id": [None, None, None, "Z1", None],
        "thatch_mm": [None, None, None, 21.0, None],
    },
    geometry=[square(1), POINT, LINE, POINT, shapely.MultiLineString([LINE])],
    crs=LONLAT,
)


def written(path, table):
    if path.suffix == ".parquet":
        table.to_parquet(path)
    else:
        drivers = {".gpkg": "GPKG", ".fgb": "FlatGeobuf", ".geojsonl": "GeoJSONSeq"}
        table.to_file(path, driver=drivers[path.suffix])
    return path


def read(path, **options):
    table = reader.opened(path, content=FEATURES, **options)
    (batch,) = reader.batches(table)
    return batch


def geojson(site, word, geometry, **more):
    own = {"site_id": site, "feature": word, **more}
    return {"type": "Feature", "properties": own, "geometry": geometry}


@pytest.mark.parametrize("suffix", ["parquet", "gpkg", "fgb", "geojsonl"])
def test_every_kind_gives_the_same_features(tmp_path, suffix):
    batch = read(written(tmp_path / f"things.{suffix}", THINGS))
    assert not batch.skipped
    found = batch.rows
    names = [column.name for column in schema.facts("features")]
    assert list(found.columns) == ["site_id", *names, "geometry"]
    for column in schema.facts("features"):
        assert found[column.name].dtype == column.dtype
    assert sorted(found["site_id"].tolist()) == ["A", "A", "A", "B", "B"]
    assert found["site_id"].tolist() in (list("AAABB"), list("BBAAA"))  # sites stand together
    by_kind = found.set_index("feature")
    assert set(by_kind.index) == {"water", "tree", "hidden", "core", "drain"}
    assert by_kind.loc["tree", "stem_m"] == 0.4
    assert by_kind.loc["core", ["zone_id", "thatch_mm"]].tolist() == ["Z1", 21.0]
    assert by_kind.loc["hidden", "hidden_kind"] == "cable"
    assert by_kind.loc["tree", "geometry"].equals(POINT)
    assert by_kind.loc["hidden", "geometry"].equals_exact(LINE, 1e-7)


def test_bad_features_are_left_out_and_told(tmp_path):
    point, line, ring = (shapely.geometry.mapping(each) for each in (POINT, LINE, square(1)))
    path = lines(
        tmp_path / "things.geojsonl",
        geojson("A", "tree", line),
        geojson("A", "statue", point),
        geojson("A", None, point),
        geojson(None, "tree", point),
        geojson("A", "tree", point, stem_m=21),
        geojson("A", "supply", ring),
        geojson("A", "tree", {"type": "MultiPoint", "coordinates": [[-2, 53]]}),
        geojson("A", "drain", {"type": "LineString", "coordinates": [[-2, 53]]}),
        geojson("A", "zone", ring),
        geojson("A", "tree", ring),
    )
    batch = read(path)
    assert batch.rows["feature"].tolist() == ["tree"]
    assert {each.table for each in batch.skipped} == {"features"}
    assert [(each.row, each.column) for each in batch.skipped] == [
        (1, "geometry"), (2, "feature"), (3, "feature"), (4, "site_id"), (5, "stem_m"),
        (6, "geometry"), (7, "geometry"), (8, "geometry"), (9, "feature"),
    ]  # fmt: skip
    reasons = [each.reason for each in batch.skipped]
    assert reasons[0] == "its shape is a LineString, and a tree is a point or a polygon"
    assert reasons[2] == "feature is missing"
    assert reasons[3] == "site_id is missing"
    assert reasons[5] == "its shape is a Polygon, and a supply is a point"


def test_without_a_site_or_a_kind_no_row_means_anything(tmp_path):
    path = written(tmp_path / "a.parquet", THINGS.rename(columns={"site_id": "WARD"}))
    with pytest.raises(InputRefused, match="has no column site_id"):
        read(path)
    assert len(read(path, rename={"site_id": "WARD"}).rows) == 5
    path = lines(tmp_path / "b.geojsonl", {"type": "Feature", "properties": {"site_id": "A"}})
    with pytest.raises(InputRefused, match="has no column feature"):
        read(path)
    with pytest.raises(UsageProblem, match="no column of a table of features"):
        read(written(tmp_path / "c.parquet", THINGS), rename={"moss_rating": "width_m"})
