"""GeoPackages changed as no program of good will would change them, for tests."""

import sqlite3

NUMBERS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n)"


def quoted(name):
    return '"' + name.replace('"', '""') + '"'


def altered(path, *statements):
    """Change a GeoPackage as no program of good will would: without the triggers of GDAL."""
    with sqlite3.connect(path) as base:
        names = base.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for (name,) in names:
            base.execute("DROP TRIGGER " + quoted(name))
        for statement, values in statements:
            base.execute(statement, values)
    base.close()
    return path


def listed_too(name, sql):
    """Return statements that add a view to the list of feature layers."""
    return (
        (sql, ()),
        (
            """INSERT INTO gpkg_contents (table_name, data_type, identifier, last_change, srs_id)
            SELECT ?, 'features', ?, last_change, srs_id FROM gpkg_contents LIMIT 1""",
            (name, name),
        ),
        ("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', 'POLYGON', 27700, 0, 0)", (name,)),
    )
