"""Our columns as fields of the GIS, and values as they go in and out of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from qgis.core import NULL, Qgis, QgsField, QgsFields
from qgis.PyQt.QtCore import QDate, QDateTime, Qt, QTime, QVariant

from .columns import BOOLEAN, COUNT, NUMBER, TEXT, Column

SCOPED = 33800  # from this version on a field takes the types of Qt 6


def _types() -> Any:
    if Qgis.QGIS_VERSION_INT >= SCOPED:
        from qgis.PyQt.QtCore import QMetaType

        kinds = QMetaType.Type
        return {
            TEXT: kinds.QString,
            NUMBER: kinds.Double,
            COUNT: kinds.LongLong,
            BOOLEAN: kinds.Bool,
        }
    return {
        TEXT: QVariant.String,
        NUMBER: QVariant.Double,
        COUNT: QVariant.LongLong,
        BOOLEAN: QVariant.Bool,
    }


TYPES = _types()


def field(column: Column) -> QgsField:
    """Return a column as a field, with its title and meaning."""
    made = QgsField(column.name, TYPES[column.type])
    made.setAlias(column.title)
    made.setComment(column.meaning)
    return made


def fields(columns: Iterable[Column]) -> QgsFields:
    """Return columns as fields."""
    made = QgsFields()
    for column in columns:
        made.append(field(column))
    return made


def cell(value: Any, column: Column) -> Any:
    """Return a value of lawnmap's JSON as a field of the column takes it."""
    if value is None:
        return NULL
    if column.type == NUMBER:
        return float(value)
    if column.type == COUNT:
        return int(value)
    if column.type == BOOLEAN:
        return bool(value)
    return value if isinstance(value, str) else str(value)


def plain(value: Any) -> Any:
    """Return a value of a layer as Python has it: None for none, days and times as ISO text.

    What is no text, number, truth value, day or time (a list, bytes) is None too: no fact is one.
    """
    if value is None or value == NULL:
        return None
    if isinstance(value, (QDate, QTime, QDateTime)):
        return str(value.toString(Qt.DateFormat.ISODate)) if value.isValid() else None
    return value if isinstance(value, (str, int, float)) else None
