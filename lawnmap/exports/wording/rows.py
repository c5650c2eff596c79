"""Rows of a table as mappings, which is how words are made of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd


def records(table: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows of a table in order, with plain numbers and texts in their cells."""
    if not len(table.columns):
        return [{} for _ in range(len(table))]
    names = [str(name) for name in table.columns]
    columns = [_cells(table.iloc[:, place]) for place in range(len(names))]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


def _cells(column: pd.Series) -> list[Any]:
    """Return a column as a list; of Arrow's texts all in one go, which ten thousand rows need."""
    kept = column.to_numpy(dtype=object) if pd.api.types.is_string_dtype(column.dtype) else column
    cells: list[Any] = kept.tolist()
    return cells


def zone_rows(zones: pd.DataFrame) -> Iterator[tuple[str, dict[str, Any]]]:
    """Return (zone_id, row) of each zone in order, without its shape."""
    rows = records(zones.drop(columns="geometry"))
    return zip((str(zone_id) for zone_id in zones.index), rows, strict=True)
