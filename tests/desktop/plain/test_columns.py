"""Our columns as the plugin knows them are those of lawnmap, with units in their titles."""

import importlib.util
import re
from pathlib import Path

import pytest

from lawnmap import schema
from lawnmap.desktop.columns import UNITS, columns, facts, named, worked_out

MAKER = Path(__file__).parents[3] / "docs" / "desktop_columns.py"


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("desktop_columns", MAKER)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_table_is_what_lawnmap_says(maker):
    target = MAKER.parent / maker.TARGET
    assert target.read_text(encoding="utf-8") == maker.table()


def test_every_column_of_every_table_is_there(maker):
    for table in maker.TABLES:
        assert [column.name for column in columns(table)] == list(schema.names(table))
    assert {column.name for column in facts()} == {each.name for each in schema.facts("zones")}
    assert not set(facts()) & set(worked_out())
    assert len(facts()) + len(worked_out()) == len(columns("zones"))


def test_titles_say_the_unit_once(maker):
    for table in maker.TABLES:
        for column in columns(table):
            shown = bool(column.unit) and column.unit not in UNITS
            assert (f"[{column.unit}]" in column.title) is shown, column
            words = column.title.partition(" [")[0]
            assert not re.search(r"_| (m2|mm|pct|deg|g m2|l m2|kg|km h)$", words), column


@pytest.mark.parametrize(
    ("table", "name", "title"),
    [
        ("zones", "ground_area_m2", "ground area [m²]"),
        ("zones", "moss_cover_pct", "moss cover [%]"),
        ("zones", "sun_hours", "sun [h]"),
        ("zones", "soil_ph", "soil ph"),
        ("zones", "moss_class", "moss class"),
        ("steps", "amount", "amount"),
        ("steps", "iron_g_m2", "iron [g/m²]"),
        ("steps", "wait_days", "wait [d]"),
        ("passes", "heading_deg", "heading [°]"),
    ],
)
def test_titles(table, name, title):
    (column,) = named(table, [name])
    assert column.title == title
