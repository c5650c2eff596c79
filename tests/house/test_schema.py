"""Every column that code writes is in the schema, and its unit shows in its name."""

import re

from lawnmap import schema

UNITS = {
    "m²": "_m2",
    "m": "_m",
    "mm": "_mm",
    "°": "_deg",
    "%": "_pct",
    "g/m²": "_g_m2",
    "l": "_l",
    "g/l": "_g_l",
    "l/min": "_l_min",
    "d": "_days",
}

ALWAYS_DEGREES = ("longitude", "latitude")  # these words are a place in degrees, and nothing else


def test_names_are_unique_in_their_table():
    pairs = [(column.table, column.name) for column in schema.COLUMNS]
    assert len(pairs) == len(set(pairs))


def test_unit_shows_in_the_name():
    wrong = [
        column.name
        for column in schema.COLUMNS
        if column.unit in UNITS
        and column.name not in ALWAYS_DEGREES
        and not column.name.endswith(UNITS[column.unit])
    ]
    assert not wrong


def test_a_name_that_ends_in_a_unit_has_that_unit():
    endings = {ending: unit for unit, ending in UNITS.items()}
    for column in schema.COLUMNS:
        found = re.search(r"_(m2|mm|deg|pct|g_m2|g_l)$", column.name)
        if found:
            assert column.unit == endings[f"_{found.group(1)}"], column


def test_a_column_is_a_fact_or_names_its_step_and_kind():
    for column in schema.COLUMNS:
        assert bool(column.step) == bool(column.kind), column
        assert column.kind in {"", "zone", "site", "job"}
        assert column.seen_by in schema.AUDIENCES
        assert column.meaning


def test_ranges_are_in_order():
    for column in schema.COLUMNS:
        if column.low is not None and column.high is not None:
            assert column.low < column.high


def test_private_things_stay_with_the_owner():
    for table in ("zones", "features"):
        for audience in ("public", "client", "crew"):
            assert "private_note" not in schema.names(table, audience=audience)
        assert "private_note" in schema.names(table, audience="owner")
