"""lawnmap/desktop/columns.csv: what the plugin for the GIS has to know of our columns.

It runs where there is no lawnmap, so it cannot read lawnmap/columns.csv; make_pages.py writes it.
"""

from __future__ import annotations

import csv
import io

from lawnmap import schema

TARGET = "../lawnmap/desktop/columns.csv"  # from docs/
# Whatever comes back to the GIS as a layer or a table.
TABLES = (
    "zones", "steps", "totals", "loads", "kept_clear", "treatable", "load_areas", "refills",
    "passes", "bouts",
)  # fmt: skip
TYPES = {"object": "text", "float64": "number", "int64": "count", "bool": "yes or no"}
HEAD = ("table", "name", "type", "unit", "worked_out", "meaning")


def table() -> str:
    """Return the table."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEAD)
    for name in TABLES:
        facts = {column.name for column in schema.facts(name)}
        for column in schema.columns(name):
            worked = "" if column.name in facts else "yes"
            row = (name, column.name, TYPES[column.dtype], column.unit, worked, column.meaning)
            writer.writerow(row)
    return text.getvalue()
