"""The tables of many sites put at an address as well, as into a database, by a plugin."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

import pandas as pd

from lawnmap import schema
from lawnmap.errors import LawnmapError
from lawnmap.jobs.sites.door import address as addresses
from lawnmap.jobs.sites.engine import partitions

ZONES, SITES, TOTALS = "zones", "sites", "totals_by"
IN_PARTS = (ZONES, SITES, "site_needs", "site_hours")


def put(
    address: str, tables: Mapping[str, pd.DataFrame], folder: Path, layer: str | None = None
) -> tuple[str, ...]:
    """Put zones, sites, needs, hours and totals at an address: all of them or none.

    Parameters
    ----------
    address : str
    tables : mapping of str to DataFrame
        As :func:`lawnmap.jobs.sites.table.results.tables` gives them.
    folder : Path
        Of the tables of all partitions.
    layer : str, optional
        What they are kept under there; the plugin's own name for it by default.

    Returns
    -------
    tuple of str
        What a person should know, each a whole sentence.

    Raises
    ------
    LawnmapError
        Of the plugin, with the address without user and password.
    """
    numbers = partitions.numbers(folder)
    if not numbers:
        return (f"Nothing was put into {addresses.shown(address)}: no zone could be worked.",)
    frames: dict[str, Iterable[pd.DataFrame]] = {
        name: _parts(folder, name, numbers) for name in IN_PARTS
    }
    many = sum(partitions.rows(folder, SITES, each) for each in numbers)
    if len(tables[SITES]) >= many:  # of a million and more they are regions
        frames[SITES] = [_keyed(tables[SITES], SITES)]
    frames[TOTALS] = [_keyed(tables[TOTALS], TOTALS)]
    try:
        addresses.sink(address).write(address, frames, layer=layer)
    except LawnmapError as error:
        raise error.within(file=addresses.shown(address)) from error.__cause__
    return (f"The tables were put into {addresses.shown(address)} as well.",)


def keys(table: str) -> list[str]:
    """Return the columns by which a row of a table is known from all others."""
    if table == ZONES:
        return ["site_id", "zone_id"]
    if table == SITES:
        return ["site_id"]
    return [each.name for each in schema.columns(table) if each.dtype == "object"]


def _parts(folder: Path, table: str, numbers: Sequence[int]) -> Iterator[pd.DataFrame]:
    for number in numbers:
        yield _keyed(partitions.read(folder, table, number), table)


def _keyed(rows: pd.DataFrame, table: str) -> pd.DataFrame:
    return rows.set_index(keys(table))
