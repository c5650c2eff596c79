"""Which SQL of a GeoPackage is a virtual table, as SQLite's own parser sees it."""

import sqlite3

import pytest

from lawnmap.errors import InputRefused
from lawnmap.readers.gpkg_schema import INDEX, VIRTUAL, refuse_virtual_tables

HARMLESS = [
    "CREATE TABLE virtual (a)",
    "CREATE TABLE t (a INT, b INT GENERATED ALWAYS AS (a) VIRTUAL)",
    "CREATE VIEW v AS SELECT 'CREATE VIRTUAL TABLE' AS virtual",
    "CREATE /* virtual table */ TABLE u (a)",
    "CREATE -- virtual\n TABLE w (a)",
]
VIRTUAL_ONES = [
    "CREATE VIRTUAL TABLE x USING fts5(a)",
    "create virtual table x using fts5(a)",
    "CREATE/**/VIRTUAL/* ; */TABLE x USING fts5(a)",
    "CREATE -- a comment\n VIRTUAL TABLE x USING fts5(a)",
    "CREATE\t\r\n\fVIRTUAL TABLE x USING fts5(a)",
    "CREATE VIRTUAL TABLE IF NOT EXISTS x USING fts5(a)",
]


@pytest.mark.parametrize("sql", HARMLESS)
def test_what_only_speaks_of_virtual_is_harmless(sql):
    with sqlite3.connect(":memory:") as base:
        base.execute(sql)
    base.close()
    assert not VIRTUAL.match(sql)


@pytest.mark.parametrize("sql", VIRTUAL_ONES)
def test_a_virtual_table_is_seen_however_it_is_spelt(sql):
    with sqlite3.connect(":memory:") as base:
        base.execute(sql)
        kind = base.execute("SELECT type FROM pragma_table_list WHERE name = 'x'").fetchone()
    base.close()
    assert kind == ("virtual",)
    assert VIRTUAL.match(sql)
    assert not INDEX.fullmatch(sql)


@pytest.mark.parametrize(
    "name", ['"rtree_lawns_geom"', "rtree_lawns_geom", '"odd ""name"" USING VirtualText("']
)
def test_the_index_of_the_standard_is_admitted(name):
    sql = f"CREATE VIRTUAL TABLE {name} USING rtree(id, minx, maxx, miny, maxy)"
    with sqlite3.connect(":memory:") as base:
        base.execute(sql)
    base.close()
    assert INDEX.fullmatch(sql)


@pytest.mark.parametrize(
    "sql",
    [
        "CREATE VIRTUAL TABLE \"a USING rtree(\" USING VirtualText('/etc/hostname')",
        "CREATE VIRTUAL TABLE [a] USING rtree(id, x, y)",
        "CREATE VIRTUAL TABLE a USING rtreeVirtualText(id)",
        "CREATE VIRTUAL TABLE a USING rtree(id) VirtualText('/etc/hostname')",
        "CREATE VIRTUAL TABLE a/*\" USING rtree(*/ USING VirtualText('/etc/hostname')",
    ],
)
def test_nothing_passes_for_the_index(sql):
    assert VIRTUAL.match(sql)
    assert not INDEX.fullmatch(sql)


def test_what_is_no_database_is_refused(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "plan.gpkg").write_bytes(b"SQLite format 3\0" + bytes(100))
    with pytest.raises(InputRefused, match="could not be read"):
        refuse_virtual_tables("plan.gpkg")
