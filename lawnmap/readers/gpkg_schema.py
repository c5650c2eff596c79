"""What the SQL inside a GeoPackage may do, looked at before GDAL loads it.

The SQLite in GDAL's wheels brings SpatiaLite's virtual tables, and ``VirtualText('/any/file', …)``
gave the content of a local file away as attributes of a zone when measured. So the only virtual
table admitted is the index that the standard itself has (OGC 12-128, annex F.3), and views may call
nothing that SQLite does not call harmless. Runs in the guarded child.
"""

from __future__ import annotations

import contextlib
import re
import sqlite3

from lawnmap.errors import InputRefused

# The second lock, for what a view calls: SQLite, "Defense Against The Dark Arts", item 2b.
ENVIRONMENT = {"OGR_SQLITE_PRAGMA": "trusted_schema=0"}

COMMENT = r"(?:\s|--[^\n]*(?:\n|$)|/\*.*?(?:\*/|$))"
VIRTUAL = re.compile(rf"{COMMENT}*CREATE{COMMENT}+VIRTUAL\b", re.IGNORECASE | re.DOTALL)
INDEX = re.compile(
    r'CREATE VIRTUAL TABLE (?:"(?:[^"]|"")+"|\w+) USING rtree\s*\([\w\s,"]*\)\s*', re.IGNORECASE
)


def refuse_virtual_tables(file: str) -> None:
    """Refuse a GeoPackage with a virtual table that is not an R-tree.

    Raises
    ------
    InputRefused
        Naming the table; also when this is no SQLite database.
    """
    try:
        with contextlib.closing(sqlite3.connect(f"file:{file}?immutable=1", uri=True)) as base:
            base.text_factory = lambda data: data.decode("utf-8", "replace")
            made = base.execute("SELECT name, sql FROM sqlite_master WHERE sql NOT NULL").fetchall()
    except (sqlite3.Error, UnicodeDecodeError) as error:  # the latter: a message quoting the file
        raise InputRefused(
            f"could not be read ({str(error)[:200]})", remedy="Export the plan again."
        ) from error
    for name, sql in made:
        if VIRTUAL.match(str(sql)) and not INDEX.fullmatch(str(sql)):
            raise InputRefused(
                f"holds a virtual table, {str(name)[:60]!r}, which can read other files",
                remedy="Export the layer you want to a new GeoPackage.",
            )
