"""The bulk door as its callers know it: every kind, whole sites, and files from strangers."""

import importlib
import json
import sqlite3
import sys

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lawnmap import schema
from lawnmap.errors import (
    CRSNeeded,
    ExtraNeeded,
    InputRefused,
    LayerNeeded,
    UsageProblem,
    WriteFailed,
)
from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door import arrow, reader, writer
from lawnmap.jobs.sites.door import lines as text_lines
from tests.jobs.sites.door.tables import LONLAT, content, feature, lines, square, zones

RICH = zones(
    ("A", "A", "B", "C", "C", "C"),
    moss_rating=[0.0, 5.0, np.nan, 2.0, 3.0, 1.0],
    thatch_mm=[1, 2, 3, 4, 5, 6],
    wear=["light", None, "heavy", "moderate", "light", "light"],
    region=["north", "north", None, "south", "south", "south"],
    fed_last=["2026-04-01", None, None, None, None, None],
    colour=["green"] * 6,
)
SHUFFLED = RICH.iloc[[3, 0, 4, 2, 5, 1]]


def written(path, table):
    """Write a table in the kind that the suffix says."""
    if path.suffix == ".parquet":
        table.to_parquet(path)
    else:
        drivers = {".gpkg": "GPKG", ".fgb": "FlatGeobuf", ".geojsonl": "GeoJSONSeq"}
        table.to_file(path, driver=drivers[path.suffix])
    return path


def read(path, size=10_000, **options):
    return list(reader.batches(reader.opened(path, **options), size))


def reasons(path, **options):
    """Return what was left out of a table and why."""
    return {each.zone_id: each.reason for batch in read(path, **options) for each in batch.skipped}


@pytest.mark.parametrize("suffix", ["parquet", "gpkg", "fgb", "geojsonl"])
def test_every_kind_gives_the_same_zones(tmp_path, suffix):
    path = written(tmp_path / f"lawns.{suffix}", SHUFFLED)
    table = reader.opened(path, rename={"moss_cover_pct": "thatch_mm"})
    assert (table.count, table.sites) == (6, 3)
    assert table.crs == LONLAT
    assert table.columns.unknown == ("colour",)
    assert table.columns.used["moss_cover_pct"] == "thatch_mm"
    (batch,) = reader.batches(table)
    found = batch.rows
    assert not batch.skipped
    assert list(found.columns) == [*reader_columns(), "geometry"]
    assert found.crs == LONLAT
    assert list(found.index) == list(range(6))
    for column in schema.facts("zones"):
        assert found[column.name].dtype == column.dtype
    given_ = RICH.set_index(["site_id", "zone_id"])
    came = found.set_index(["site_id", "zone_id"]).loc[given_.index]
    assert came["moss_rating"].equals(given_["moss_rating"])
    assert came["moss_cover_pct"].tolist() == [1, 2, 3, 4, 5, 6]
    assert came["thatch_mm"].isna().all()
    assert came["wear"].tolist() == ["light", None, "heavy", "moderate", "light", "light"]
    assert came["region"].tolist() == ["north", "north", "", "south", "south", "south"]
    assert came["depot"].tolist() == [""] * 6
    assert came["fed_last"].tolist() == ["2026-04-01", *[None] * 5]
    apart = np.abs(came.geometry.bounds.to_numpy() - given_.geometry.bounds.to_numpy()).max()
    assert apart < (1e-7 if suffix == "geojsonl" else 1e-15)  # GDAL writes seven places


def reader_columns():
    facts = [column.name for column in schema.facts("zones")]
    return ["zone_id", "site_id", "region", "depot", *facts[1:]]


def test_columns_that_are_not_there_cost_no_more_than_they_must(tmp_path):
    (batch,) = read(lines(tmp_path / "lawns.geojsonl", feature(0)))
    assert batch.rows["grass"].tolist() == [None]
    batch.rows.loc[0, "grass"] = "fescue"  # they are nobody else's
    (other,) = read(tmp_path / "lawns.geojsonl")
    assert other.rows["grass"].tolist() == [None]


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    sites=st.lists(st.sampled_from("ABCDE"), min_size=1, max_size=12),
    size=st.integers(1, 14),
    at_a_time=st.integers(1, 14),
    data=st.data(),
)
def test_whole_sites_for_any_size_and_any_order_of_rows(
    tmp_path, monkeypatch, sites, size, at_a_time, data
):
    monkeypatch.setattr(text_lines, "ROWS", at_a_time)
    rows = [feature(place, site_id=site) for place, site in enumerate(sites)]
    mixed = data.draw(st.permutations(rows))
    found = read(lines(tmp_path / "mixed.geojsonl", *mixed), size)
    seen = set()
    for batch in found:
        own = batch.rows["site_id"].tolist()
        assert len(own) <= size or len(set(own)) == 1
        assert not seen & set(own)
        seen |= set(own)
        ids = batch.rows["zone_id"].tolist()
        for site in set(own):  # together, and by their ids
            rows_of = [place for place, each in enumerate(own) if each == site]
            assert rows_of == list(range(rows_of[0], rows_of[-1] + 1))
            assert [ids[row] for row in rows_of] == sorted(ids[row] for row in rows_of)
    assert content(found) == content(read(lines(tmp_path / "sorted.geojsonl", *rows)))


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    moss=st.lists(st.none() | st.floats(0, 100), min_size=1, max_size=5),
    name=st.none() | st.text(min_size=1, max_size=20),
    west=st.floats(-179, 179),
    south=st.floats(-89, 89),
)
def test_what_is_written_is_read_again(tmp_path, moss, name, west, south):
    table = zones(["A"] * len(moss), moss_cover_pct=np.array(moss, dtype=float), name=name)
    table = table.set_geometry([shapely.box(west, south, west + 0.01, south + 0.01)] * len(moss))
    writer.write_lines(tmp_path / "lawns.geojsonl", table.set_crs(LONLAT))
    (batch,) = read(tmp_path / "lawns.geojsonl")
    shown = None if name is None else name.strip() or None
    assert batch.rows["moss_cover_pct"].equals(table["moss_cover_pct"].astype(float))
    assert set(batch.rows["name"]) == {shown}
    assert batch.rows.geometry.geom_equals(table.geometry).all()


def test_zones_without_names_and_sites(tmp_path):
    bare = {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(square())}
    (batch,) = read(lines(tmp_path / "a.ndjson", bare, {**bare, "properties": None}))
    assert batch.rows["zone_id"].tolist() == batch.rows["site_id"].tolist() == ["1", "2"]
    (batch,) = read(lines(tmp_path / "b.ndjson", {**bare, "id": 7}, {**bare, "id": "x"}))
    assert batch.rows["zone_id"].tolist() == ["7", "x"]
    path = written(tmp_path / "c.gpkg", zones().drop(columns=["zone_id", "site_id"]))
    (batch,) = read(path)
    assert batch.rows["zone_id"].tolist() == ["1", "2", "3"]


def test_columns_that_come_late(tmp_path, monkeypatch):
    monkeypatch.setattr(text_lines, "ROWS", 2)
    bare = {"type": "Feature", "properties": {"id": 5}, "geometry": feature(0)["geometry"]}
    rows = [bare, feature(1), feature(2, site_id="A", iron="not on this site"), feature(3)]
    table = reader.opened(lines(tmp_path / "a.ndjson", *rows, {**bare, "id": 8}))
    assert table.columns.used == {"zone_id": "zone_id", "site_id": "site_id", "iron": "iron"}
    assert table.columns.unknown == ("id",)
    found = list(reader.batches(table, 1))
    assert [batch.rows["zone_id"].tolist() for batch in found][1:4] == [["Z1"], ["Z2"], ["Z3"]]
    assert found[2].rows["iron"].tolist() == ["not on this site"]
    assert [each.reason for each in found[0].skipped] == ["zone_id is missing"]


def test_a_name_given_for_a_column_that_comes_late(tmp_path, monkeypatch):
    monkeypatch.setattr(text_lines, "ROWS", 1)
    path = lines(tmp_path / "a.ndjson", feature(0), feature(1, ward="W"), feature(2, ward="W"))
    assert reader.opened(path, rename={"site_id": "ward"}).sites == 2
    with pytest.raises(InputRefused, match="no column 'wart'"):
        reader.opened(path, rename={"site_id": "wart"})


def test_a_text_sequence_and_a_mark_of_byte_order(tmp_path):
    pretty = [json.dumps(feature(place), indent=1) for place in range(3)]
    data = "".join(f"\x1e{each}\n" for each in pretty).encode()
    (tmp_path / "a.geojsons").write_bytes(data)
    (tmp_path / "b.geojsonl").write_bytes(b"\xef\xbb\xbf" + json.dumps(feature(0)).encode())
    assert len(read(tmp_path / "a.geojsons")[0].rows) == 3
    assert len(read(tmp_path / "b.geojsonl")[0].rows) == 1


def test_one_bad_zone_never_stops_the_rest(tmp_path):
    path = lines(
        tmp_path / "lawns.geojsonl",
        feature(0, site_id="S"),
        feature(1, site_id="S", moss_rating="deep"),
        feature(2, site_id="S", wear="extreme"),
        feature(3, site_id="S", moss_rating=7),
        feature(4, {"type": "Point", "coordinates": [0, 0]}, site_id="S"),
        feature(5, site_id="S", zone_id=None),
        feature(6, site_id="S", name=["a"]),
        '{"type": "Feature", "properties": {"site_id": "S"',
        feature(8, site_id="T"),
    )
    (batch,) = read(path)
    assert batch.rows["zone_id"].tolist() == ["Z0", "Z8"]
    told = {each.row: (each.zone_id, each.column, each.reason) for each in batch.skipped}
    assert told[2] == ("Z1", "moss_rating", "moss_rating: 'deep' is not a number")
    assert told[3] == ("Z2", "wear", "wear is 'extreme'")
    assert told[4] == ("Z3", "moss_rating", "moss_rating is 7, outside 0 to 5")
    assert told[5][2].startswith("its shape is a Point")
    assert told[6] == ("", "zone_id", "zone_id is missing")
    assert told[7][2] == "name is neither text nor a number"
    assert "not JSON" in told[8][2]
    assert len(told) == 7


def test_a_name_that_stands_twice_in_a_site_is_nobodys(tmp_path):
    same = [feature(place, site_id=site, zone_id="Z") for place, site in enumerate("AAB")]
    (batch,) = read(lines(tmp_path / "lawns.geojsonl", *same))
    assert batch.rows["site_id"].tolist() == ["B"]
    assert [each.row for each in batch.skipped] == [1, 2]
    assert "stands more than once" in batch.skipped[0].reason


def test_a_site_of_too_many_zones(tmp_path, monkeypatch):
    few = BULK._replace(zones=3)
    monkeypatch.setattr("lawnmap.jobs.sites.door.order.BULK", few)
    monkeypatch.setattr("lawnmap.jobs.sites.door.batch.BULK", few)
    rows = [feature(place, site_id="A" if place else "B") for place in range(6)]
    found = read(lines(tmp_path / "lawns.geojsonl", *rows), 2)
    assert [id_ for batch in found for id_ in batch.rows["site_id"]] == ["B"]
    assert {each.reason for batch in found for each in batch.skipped} == {
        "its site has more than 3 zones"
    }


def test_lines_without_end_are_left_out(tmp_path, monkeypatch):
    monkeypatch.setattr(text_lines, "LONGEST", 1_000)
    monkeypatch.setattr(text_lines, "READ", 300)
    rows = [feature(0), '{"a": "' + "x" * 5_000, feature(2), feature(3, note="y" * 2_000)]
    (batch,) = read(lines(tmp_path / "lawns.geojsonl", *rows))
    assert batch.rows["zone_id"].tolist() == ["Z0", "Z2"]
    assert [each.row for each in batch.skipped] == [2, 4]


def test_big_features_are_parsed_few_at_a_time(tmp_path, monkeypatch):
    monkeypatch.setattr(text_lines, "AT_ONCE", 500)
    rows = [feature(place, moss_rating="2" if place % 3 else 2) for place in range(12)]
    rows[7] = feature(7, {"type": "Point", "coordinates": [0, 0]})
    (batch,) = read(lines(tmp_path / "lawns.geojsonl", *rows))
    assert batch.rows["moss_rating"].tolist() == [2.0] * 11
    assert [each.zone_id for each in batch.skipped] == ["Z7"]


# Where on the earth ------------------------------------------------------------------------------


def test_a_grid_is_brought_to_longitude_and_latitude(tmp_path):
    path = tmp_path / "lawns.parquet"
    RICH.to_crs(27700).to_parquet(path)
    table = reader.opened(path)
    assert table.crs == "EPSG:27700"
    assert "without its grid file" in table.remarks[0]
    (batch,) = reader.batches(table)
    there = np.abs(shapely.bounds(batch.rows.geometry) - shapely.bounds(RICH.geometry))
    assert there.max() < 1e-6  # there and back by one and the same shift


def test_a_table_that_names_no_crs(tmp_path):
    path = tmp_path / "lawns.parquet"
    gpd.GeoDataFrame(RICH, crs=LONLAT).set_crs(None, allow_override=True).to_parquet(path)
    with pytest.raises(CRSNeeded, match="does not say which CRS") as refused:
        reader.opened(path)
    assert "--crs" in refused.value.remedy
    assert refused.value.file == "lawns.parquet"
    table = reader.opened(path, crs="EPSG:4326")
    assert table.crs == LONLAT
    assert table.remarks == ("The file names no CRS; EPSG:4326 was taken, as --crs says.",)


def test_the_persons_crs_may_not_differ_from_the_files(tmp_path):
    RICH.to_parquet(tmp_path / "lawns.parquet")
    with pytest.raises(InputRefused, match="--crs says 'EPSG:27700'"):
        reader.opened(tmp_path / "lawns.parquet", crs="EPSG:27700")


def test_metres_that_are_called_degrees(tmp_path):
    box = shapely.geometry.mapping(shapely.box(430000, 433000, 430010, 433010))
    path = lines(tmp_path / "lawns.geojsonl", feature(0, box), feature(1, box))
    with pytest.raises(InputRefused, match="this looks like metres"):
        read(path)
    (batch,) = read(path, crs="EPSG:27700")
    assert len(batch.rows) == 2
    assert batch.remarks == ()
    (batch,) = read(path, crs="EPSG:2157")
    assert "is made for Ireland" in batch.remarks[0]
    one = lines(tmp_path / "one.geojsonl", feature(0, box), feature(1))
    assert "out of range" in reasons(one)["Z0"]


def test_a_crs_of_one_line_alone(tmp_path):
    other = {**feature(1), "crs": {"type": "name", "properties": {"name": "EPSG:27700"}}}
    path = lines(tmp_path / "lawns.geojsonl", feature(0), other)
    (batch,) = read(path)
    assert batch.rows["zone_id"].tolist() == ["Z0"]
    assert batch.skipped[0].reason == "it names a CRS of its own"


# Files from strangers ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.parquet", b"", "is empty"),
        ("a.parquet", b"fgb\x03fgb\x00", "is named .parquet but its content is not that"),
        ("a.gpkg", b"PAR1", "is named .gpkg but its content is not that"),
        ("a.fgb", b"SQLite format 3\0", "is named .fgb but"),
        ("a.geojsonl", b"PAR1", "is named .geojsonl but"),
        ("a.parquet", b'{"type": "Feature"}', "is named .parquet but"),
        ("a.kml", b"<kml/>", "is no table"),
        ("a.csv", b"zone_id,wkt\n", "is no table"),
        ("a.geojson", b'{"type": "FeatureCollection",\n"features": []}', "is one GeoJSON text"),
        ("a.geojsonl", b'{"type": "FeatureCollection", "features": []}', "is one GeoJSON text"),
        ("a.geojsonl", b"{\n", "is one GeoJSON text"),
        ("a.geojsonl", b'{"a": 1}\n{"a": 2}\n', "holds no GeoJSON features"),
        ("a.parquet", b"PAR1" + b"\0" * 100, "could not be read"),
        ("a.parquet", b"PAR1" + b"\xff" * 100 + b"PAR1", "could not be read"),
        ("a.fgb", b"fgb\x03fgb\x00" + b"\xff" * 200, "could not be read|holds no features"),
        ("a.gpkg", b"SQLite format 3\0" + b"\xff" * 500, "could not be read"),
    ],
)
def test_files_that_are_no_tables(tmp_path, name, data, said):
    (tmp_path / name).write_bytes(data)
    with pytest.raises(InputRefused, match=said) as refused:
        read(tmp_path / name)
    assert refused.value.file == name
    assert refused.value.remedy


def test_what_is_no_file(tmp_path):
    with pytest.raises(InputRefused, match="cannot be opened"):
        reader.opened(tmp_path / "none.parquet")
    with pytest.raises(InputRefused, match="not an ordinary file"):
        reader.opened(tmp_path)
    with pytest.raises(InputRefused, match="not the path of a file"):
        reader.opened("/vsicurl/http://127.0.0.1/a.gpkg")
    with pytest.raises(UsageProblem, match="one row at least"):
        read(lines(tmp_path / "a.geojsonl", feature(0)), 0)


def test_a_file_that_is_too_large(tmp_path, monkeypatch):
    monkeypatch.setattr(reader, "BULK", BULK._replace(file_bytes=10))
    with pytest.raises(InputRefused, match="is larger than 0 GB"):
        reader.opened(lines(tmp_path / "a.geojsonl", feature(0)))


def test_tables_that_were_cut_short(tmp_path):
    path = written(tmp_path / "lawns.parquet", RICH)
    path.write_bytes(path.read_bytes()[:-200])
    with pytest.raises(InputRefused, match="could not be read"):
        reader.opened(path)
    path = written(tmp_path / "lawns.fgb", RICH)
    path.write_bytes(path.read_bytes()[:-100])
    with pytest.raises(InputRefused, match="should hold 6 features, and 0 can be read"):
        read(path)


def test_a_parquet_table_of_no_places(tmp_path):
    pd.DataFrame(RICH.drop(columns="geometry")).to_parquet(tmp_path / "a.parquet")
    with pytest.raises(InputRefused, match="without the metadata of GeoParquet"):
        reader.opened(tmp_path / "a.parquet")


def test_a_column_of_the_wrong_kind(tmp_path):
    RICH.assign(moss_rating=[True] * 6).to_parquet(tmp_path / "a.parquet")
    with pytest.raises(InputRefused, match="the column moss_rating holds bool, not numbers"):
        reader.opened(tmp_path / "a.parquet")
    RICH.assign(moss_rating=list("123456")).to_parquet(tmp_path / "a.parquet")
    (batch,) = read(tmp_path / "a.parquet")
    assert batch.rows["moss_rating"].tolist() == [1, 2, 3, 4, 5]
    assert [each.reason for each in batch.skipped] == ["moss_rating is 6, outside 0 to 5"]


@pytest.fixture(scope="module")
def geopackage(tmp_path_factory):
    """Return a GeoPackage with two layers and a view of the first."""
    path = tmp_path_factory.mktemp("gpkg") / "lawns.gpkg"
    RICH.to_file(path, layer="banks", driver="GPKG")
    RICH.iloc[:2].to_file(path, layer="pitches", driver="GPKG")
    with sqlite3.connect(path) as base:
        base.execute(
            "CREATE VIEW endless AS WITH RECURSIVE more(n) AS (SELECT 1 UNION ALL SELECT n + 1 "
            "FROM more) SELECT banks.* FROM more, banks"
        )
        for table in ("gpkg_contents", "gpkg_geometry_columns"):
            names = [row[1] for row in base.execute(f"PRAGMA table_info({table})")]
            shown = ", ".join("'endless'" if each == "table_name" else each for each in names)
            shown = shown.replace("identifier", "'endless'")
            where = f"FROM {table} WHERE table_name = 'banks'"
            base.execute(f"INSERT INTO {table} SELECT {shown} {where}")
        base.execute("UPDATE gpkg_ogr_contents SET feature_count = 1 WHERE table_name = 'banks'")
    base.close()
    return path


def test_layers_are_asked_for_and_views_are_not_followed(geopackage):
    with pytest.raises(LayerNeeded, match="holds 2 layers"):
        reader.opened(geopackage)
    with pytest.raises(InputRefused, match="'endless' is a view, not a table"):
        reader.opened(geopackage, layer="endless")


def test_rows_beyond_the_number_that_a_geopackage_states(geopackage):
    assert reader.opened(geopackage, layer="banks").count == 6


def test_a_geopackage_with_changes_beside_it(tmp_path, geopackage):
    path = tmp_path / "a.gpkg"
    path.write_bytes(geopackage.read_bytes())
    (tmp_path / "a.gpkg-wal").write_bytes(b"anything")
    with pytest.raises(InputRefused, match="has changes that are not in it yet"):
        reader.opened(path, layer="banks")


def test_a_damaged_page_is_not_passed_over(tmp_path):
    table = zones(["A"] * 400, private_note="n" * 200)
    path = written(tmp_path / "a.gpkg", table)
    data = bytearray(path.read_bytes())
    middle = data.rindex(b"n" * 200, 0, len(data) // 2) // 4096 * 4096
    data[middle : middle + 4096] = b"\xff" * 4096
    path.write_bytes(data)
    with pytest.raises(InputRefused, match=r"could not be read|can be read"):
        reader.opened(path)


def test_virtual_tables_are_refused(tmp_path, geopackage):
    path = tmp_path / "a.gpkg"
    path.write_bytes(geopackage.read_bytes())
    with sqlite3.connect(path) as base:
        base.execute("CREATE VIRTUAL TABLE secrets USING fts5(text)")
    base.close()
    with pytest.raises(InputRefused, match="holds a virtual table, 'secrets'"):
        reader.opened(path)


def test_a_file_that_changed_between_two_readings(tmp_path):
    path = lines(tmp_path / "a.geojsonl", feature(0, site_id="A"), feature(1, site_id="B"))
    table = reader.opened(path)
    lines(path, feature(0, site_id="A"), feature(1, site_id="C"))
    with pytest.raises(InputRefused, match="was changed while it was being read") as refused:
        list(reader.batches(table))
    assert refused.value.file == "a.geojsonl"


def test_what_nobody_foresaw_is_one_refusal(tmp_path, monkeypatch):
    path = lines(tmp_path / "a.geojsonl", feature(0))
    table = reader.opened(path)
    monkeypatch.setattr("lawnmap.jobs.sites.door.facts.checked", lambda *_: 1 / 0)
    with pytest.raises(InputRefused, match="ZeroDivisionError") as refused:
        list(reader.batches(table))
    assert isinstance(refused.value.__cause__, ZeroDivisionError)


def test_no_room_to_sort_in(tmp_path):
    rows = [feature(place, site_id=site) for place, site in enumerate("ABA")]
    table = reader.opened(lines(tmp_path / "a.geojsonl", *rows))
    with pytest.raises(WriteFailed, match="not sorted"):
        list(reader.batches(table, scratch=tmp_path / "none"))


def test_without_pyarrow_there_is_one_sentence(monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(ExtraNeeded, match="is not installed"):
        importlib.reload(arrow)


def test_batches_may_be_left_half_way(tmp_path):
    path = tmp_path / "lawns.parquet"
    SHUFFLED.to_parquet(path)
    stream = reader.batches(reader.opened(path), 1, scratch=tmp_path)
    assert next(stream).number == 1
    stream.close()
    assert list(tmp_path.iterdir()) == [path]
