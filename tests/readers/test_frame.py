"""A GeoDataFrame as a site plan: names, kinds of cells, and what is refused, by row."""

import datetime as dt
import decimal
import fractions

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from lawnmap.errors import InputRefused
from lawnmap.readers import frame

SQUARE = shapely.box(0, 0, 1, 1)


def table(*shapes, crs="EPSG:4326", **columns):
    return gpd.GeoDataFrame(columns, geometry=list(shapes) or [SQUARE], crs=crs)


def properties(given, **options):
    return [each.properties for each in frame.found(given, **options).features]


def refusal(given, **options):
    with pytest.raises(InputRefused) as refused:
        frame.found(given, **options)
    return str(refused.value)


@pytest.mark.parametrize(
    ("cell", "read"),
    [
        (np.int64(3), 3),
        (2.5, 2.5),
        (float("nan"), None),
        (pd.NaT, None),
        (pd.Timestamp("2026-09-07 10:00"), "2026-09-07T10:00:00"),
        (dt.date(2026, 9, 7), "2026-09-07"),
        (np.True_, True),
        (decimal.Decimal("1.5"), "1.5"),
        (fractions.Fraction(3, 2), 1.5),
        ([1, 2], "[1, 2]"),
        (np.array(["a", "b"]), "['a' 'b']"),
        ("Ü", "Ü"),
    ],
)
def test_cells_of_every_kind(cell, read):
    (row,) = properties(table(given=pd.Series([cell], dtype=object)))
    assert row.get("given") == read
    assert type(row.get("given")) is type(read)


def test_names_are_changed_and_an_index_of_ids_is_a_column():
    given = table(PLOT=["A"]).set_index("PLOT")
    (row,) = properties(given, rename={"PLOT": "zone_id"}, kind="zone")
    assert row == {"zone_id": "A", "feature": "zone"}
    assert properties(table(zone_id=["B"]).set_index("zone_id")) == [{"zone_id": "B"}]


def test_other_shapes_of_a_row_are_no_facts_about_it():
    given = table(name=["A"])
    given["centre"] = gpd.GeoSeries([shapely.Point(0, 0)], crs=4326)
    assert properties(given) == [{"name": "A"}]


def test_the_crs_is_the_tables_or_the_one_that_is_given():
    assert frame.found(table(crs="EPSG:27700")).crs == "EPSG:27700"
    assert frame.found(table(crs=None), crs="EPSG:27700").crs == "EPSG:27700"


def test_a_table_without_a_row_is_refused_as_a_plan_without_a_shape_is():
    assert "no feature in it has a geometry" in refusal(table().iloc[:0])


def test_what_is_no_table_of_shapes_is_refused():
    assert "is a DataFrame, not a GeoDataFrame" in refusal(pd.DataFrame({"a": [1]}))
    assert "no active geometry column" in refusal(gpd.GeoDataFrame({"a": [1]}))


def test_names_that_are_not_there_or_twice():
    assert "has no column 'M' to rename" in refusal(table(a=[1]), rename={"M": "moss_rating"})
    twice = table(a=[1], b=[2])
    assert "has two columns called 'b'" in refusal(twice, rename={"a": "b"})


def test_a_row_that_cannot_be_read_is_named_by_its_id():
    given = table(SQUARE, shapely.LinearRing([(0, 0), (1, 0), (1, 1)]), zone_id=["A", "B"])
    given.geometry = [SQUARE, shapely.Point(float("nan"), 0)]
    told = refusal(given)
    assert told.startswith('GeoDataFrame: row 2 "B"')
    assert "feature" not in told


def test_a_figure_without_end_is_refused_by_row_and_column():
    told = refusal(table(SQUARE, SQUARE, wear=[1.0, float("inf")]))
    assert told.startswith("GeoDataFrame: row 2: wear is infinite.")


def test_what_is_changed_in_a_text_is_told_as_it_is_of_a_file():
    given = frame.found(table(name=["a\x07b"]))
    assert given.features[0].properties["name"] == "ab"
    assert given.warnings
