"""Rows of a table as mappings, which is how words are made of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd


def records(table: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows of a table in order."""
    return [{str(name): cell for name, cell in row.items()} for row in table.to_dict("records")]


def zone_rows(zones: pd.DataFrame) -> Iterator[tuple[str, dict[str, Any]]]:
    """Return (zone_id, row) of each zone in order, without its shape."""
    rows = records(zones.drop(columns="geometry"))
    return zip((str(zone_id) for zone_id in zones.index), rows, strict=True)
