"""What lawnmap found, as layers and tables of the GIS."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from qgis.core import (
    NULL,
    QgsFeature,
    QgsFeatureSink,
    QgsFields,
    QgsGeometry,
    QgsLineString,
    QgsMultiPolygon,
    QgsPoint,
    QgsPolygon,
    QgsVectorLayer,
)

from .columns import BOOLEAN, COUNT, NUMBER, TEXT, Column
from .fields import cell, field, plain
from .problem import Problem
from .sending import rows_of

FAST = QgsFeatureSink.Flag.FastInsert
Row = Mapping[str, Any]


class Away:
    """Takes what nobody wants to keep: a result that was switched off."""

    def addFeature(self, feature: QgsFeature, flags: Any = FAST) -> bool:  # noqa: N802
        """Take a row."""
        del feature, flags
        return True


def put(sink: Any, feature: QgsFeature) -> None:
    """Put a row into a result.

    Raises
    ------
    Problem
        When it is not taken: a full disk, or a column that has to differ in each row and does not.
    """
    if not sink.addFeature(feature, FAST):
        why = sink.lastError() if hasattr(sink, "lastError") else ""
        raise Problem(
            f"a row could not be written into the result{f' ({why})' if why else ''}",
            remedy="Write it to another file, or to a temporary layer.",
        )


def ids_kept(source: Any, chosen: str, ids: Mapping[int, str]) -> frozenset[str]:
    """Return ``zone_id`` when the layer's own field of that name says the id of every zone."""
    place = source.fields().lookupField("zone_id")
    if place < 0 or chosen.lower() != "zone_id":
        return frozenset()
    rows = (each for number, each in enumerate(rows_of(source)) if number in ids)
    whole = all(plain(each.attribute(place)) not in (None, "") for each in rows)
    return frozenset(["zone_id"]) if whole else frozenset()


def joined(theirs: QgsFields, ours: Sequence[Column], kept: frozenset[str]) -> QgsFields:
    """Return the fields of a layer with our columns on the right.

    A field of theirs that has the name of one of ours, in any case of letters, becomes ours where
    it stands: what was worked out earlier is out of date. Names in `kept` stay theirs.
    """
    columns = {column.name: column for column in ours if column.name not in kept}
    made = QgsFields()
    for index in range(theirs.count()):
        column = columns.pop(theirs.at(index).name().lower(), None)
        made.append(field(column) if column else theirs.at(index))
    for column in columns.values():
        made.append(field(column))
    return made


def replaced(theirs: QgsFields, ours: Sequence[Column], kept: frozenset[str]) -> list[str]:
    """Return the names of a layer's fields that are out of date, in whose place ours stand."""
    names = {column.name for column in ours if column.worked_out} - kept
    return [each.name() for each in theirs if each.name().lower() in names]


def with_row(
    feature: QgsFeature, made: QgsFields, ours: Sequence[Column], row: Row, kept: frozenset[str]
) -> QgsFeature:
    """Return a feature of the layer with a row of ours added."""
    columns = {column.name: column for column in ours if column.name not in kept}
    theirs = {each.name(): feature.attribute(i) for i, each in enumerate(feature.fields())}
    result = QgsFeature(made)
    result.setGeometry(feature.geometry())
    for index in range(made.count()):
        name = made.at(index).name()
        column = columns.get(name)
        value = cell(row.get(name), column) if column else theirs.get(name, NULL)
        result.setAttribute(index, value)
    return result


def rows_into(sink: Any, made: QgsFields, rows: Iterable[Row], ours: Sequence[Column]) -> None:
    """Put rows without a shape into a table."""
    for row in rows:
        feature = QgsFeature(made)
        for index, column in enumerate(ours):
            feature.setAttribute(index, cell(row.get(column.name), column))
        put(sink, feature)


def zone_into(sink: Any, made: QgsFields, ours: Sequence[Column], row: Row, shape: Any) -> None:
    """Put a zone of a site file into a layer."""
    feature = QgsFeature(made)
    feature.setGeometry(shape)
    for index, column in enumerate(ours):
        feature.setAttribute(index, cell(row.get(column.name), column))
    put(sink, feature)


def polygons(geometry: Mapping[str, Any]) -> QgsGeometry:
    """Return the outline of a zone, from GeoJSON."""
    parts = geometry["coordinates"]
    made = QgsMultiPolygon()
    for part in [parts] if geometry["type"] == "Polygon" else parts:
        polygon = QgsPolygon()
        for place, ring in enumerate(part):
            line = QgsLineString([QgsPoint(at[0], at[1]) for at in ring])
            if place:
                polygon.addInteriorRing(line)
            else:
                polygon.setExteriorRing(line)
        made.addGeometry(polygon)
    return QgsGeometry(made)


def layer_in(path: Path, name: str) -> Any:
    """Return a layer of a GeoPackage of lawnmap's, None when there is none of that name."""
    layer = QgsVectorLayer(f"{path}|layername={name}", name, "ogr")
    return layer if layer.isValid() else None


def copied(layer: Any, sink: Any, made: QgsFields, ours: Sequence[Column]) -> int:
    """Put the rows of a layer of lawnmap's into a result, and return how many there were."""
    count = 0
    if layer is None:
        return count
    places = [layer.fields().lookupField(column.name) for column in ours]
    for each in layer.getFeatures():
        count += 1
        feature = QgsFeature(made)
        if each.hasGeometry():
            feature.setGeometry(each.geometry())
        for index, (place, column) in enumerate(zip(places, ours)):
            value = each.attribute(place) if place >= 0 else None
            feature.setAttribute(index, cell(None if value == NULL else value, column))
        put(sink, feature)
    return count


def guessed(rows: Sequence[Row], known: Sequence[Column]) -> list[Column]:
    """Return the columns of a table: those of the schema, then whatever else its rows have."""
    names: dict[str, None] = {name: None for row in rows for name in row}
    found = [column for column in known if column.name in names or not rows]
    there = {column.name for column in found}
    return found + [_column(name, rows) for name in names if name not in there]


def _column(name: str, rows: Sequence[Row]) -> Column:
    values = [row[name] for row in rows if row.get(name) is not None]
    kind = TEXT
    if values and all(isinstance(each, bool) for each in values):
        kind = BOOLEAN
    elif values and all(isinstance(each, int) and not isinstance(each, bool) for each in values):
        kind = COUNT
    elif values and all(isinstance(each, (int, float)) for each in values):
        kind = NUMBER
    return Column(name, kind)


def points_into(sink: Any, made: QgsFields, ours: Sequence[Column], path: Path) -> None:
    """Put the points of a sheet into a layer: zone_id, x, y, and what was found there."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        for zone_id, x, y, value in rows:
            feature = QgsFeature(made)
            feature.setGeometry(QgsGeometry(QgsPoint(float(x), float(y))))
            feature.setAttributes([zone_id, cell(value, ours[1])])
            put(sink, feature)
