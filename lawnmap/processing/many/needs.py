"""What the steps of many zones come to, site by site: the tables ``site_needs`` and ``site_hours``.

Every row of a step names its zone by its place, and every zone its site by a code. So a sum is one
count over whole codes, whatever the number of sites, and nothing is sorted or looked up by name.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.coded import coded
from lawnmap.processing.days.waits import IF_NEEDED, ROLE
from lawnmap.schema import DO, PRICING

Codes = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]

AMOUNTS = ("area_m2", "amount_low", "amount", "water_l")
HOURS = ("area_m2", "hours_low", "hours", "machine_hours")
NEEDS_BY = ("product", "status", "unit", "month")
HOURS_BY = ("machine", "month")


class Sums(NamedTuple):
    """Both tables, with the code of a site in the column ``site``."""

    needs: pd.DataFrame
    hours: pd.DataFrame


def sums(figures: Mapping[str, pd.DataFrame], site: Codes, sites: int) -> Sums:
    """Sum the steps of many zones by site.

    Parameters
    ----------
    figures : mapping of str to DataFrame
        Rows of each operation: ``zone`` (place of the zone), status, product, unit, machine, month
        and the figures of the table ``steps``. What a treatment does not give counts as nothing.
    site : (zones,) array of int
        Code of the site of each zone.
    sites : int
        How many sites there are.

    Returns
    -------
    Sums
        Rows by operation and site. Hours and ground of work are those of steps that take place; a
        product is counted with its status beside it, so that what is not set is never bought.
    """
    needs, hours = _Table(NEEDS_BY, AMOUNTS), _Table(HOURS_BY, HOURS)
    for operation, rows in figures.items():
        of = site[rows["zone"].to_numpy(dtype=np.intp)]
        needs.add(operation, rows, of, sites)
        place = takes_place(rows, operation)
        whole = bool(place.all())
        hours.add(operation, rows if whole else rows[place], of if whole else of[place], sites)
    return Sums(needs.made(), hours.made())


def takes_place(rows: pd.DataFrame, operation: str) -> npt.NDArray[np.bool_]:
    """Tell which rows are work: not what is priced only, if iron, nor done only if it is needed."""
    live = _is(rows, "status", DO)
    if ROLE.get(operation, operation) != "iron":
        return live | _is(rows, "status", PRICING)
    return live & ~_is(rows, "rule", IF_NEEDED)


def _is(rows: pd.DataFrame, column: str, word: str) -> npt.NDArray[np.bool_]:
    return np.asarray((rows[column] == word).to_numpy(), dtype=bool)


class _Table:
    """A table that grows by one operation at a time."""

    def __init__(self, by: Sequence[str], figures: Sequence[str]) -> None:
        self.by, self.figures = by, figures
        self.parts: list[dict[str, npt.NDArray[Any]]] = []

    def add(self, operation: str, rows: pd.DataFrame, site: Codes, sites: int) -> None:
        """Add one row for each site and each combination of words that it has."""
        key, words = np.zeros(len(rows), dtype=np.intp), []
        for name in self.by:
            codes, found = coded(rows.get(name, ""))
            key = key * len(found) + codes
            words.append(np.array(found, dtype=object))
        # Few of all combinations occur: they are counted anew before sites come in.
        shape = [len(each) for each in words]
        there = np.flatnonzero(np.bincount(key, minlength=int(np.prod(shape))))
        place = site * len(there) + np.searchsorted(there, key)
        count = np.bincount(place, minlength=sites * len(there))
        kept = np.flatnonzero(count)
        if not len(kept):
            return
        parts = np.unravel_index(there[kept % len(there)], shape)
        self.parts.append(
            {"site": kept // len(there), "zones": _zones(rows, place, len(count))[kept]}
            | {"operation": _filled(operation, len(kept))}
            | {name: found[at] for name, found, at in zip(self.by, words, parts, strict=True)}
            | {name: _summed(rows, name, place, len(count))[kept] for name in self.figures}
        )

    def made(self) -> pd.DataFrame:
        """Return the table."""
        columns = ("site", "operation", *self.by, "zones", *self.figures)
        words = {"operation", *self.by}
        return pd.DataFrame(
            {
                name: pd.Series(
                    np.concatenate([each[name] for each in self.parts]) if self.parts else [],
                    dtype=object if name in words else "int64" if name == "site" else "float64",
                )
                for name in columns
            }
        )


def _zones(rows: pd.DataFrame, place: Codes, size: int) -> Floats:
    """Return the number of different zones at each place; several cuts of one are one zone."""
    zone = rows["zone"].to_numpy(dtype=np.intp)
    if len(zone) > 1 and (np.diff(zone) <= 0).any():
        first = ~pd.Series(place * (int(zone.max()) + 1) + zone).duplicated().to_numpy()
        place = place[first]
    return np.bincount(place, minlength=size).astype(np.float64)


def _filled(word: str, many: int) -> npt.NDArray[np.object_]:
    filled = np.empty(many, dtype=object)
    filled.fill(word)
    return filled


def _summed(rows: pd.DataFrame, name: str, place: Codes, size: int) -> Floats:
    if name not in rows:
        return np.zeros(size)
    figures = np.nan_to_num(rows[name].to_numpy(dtype=np.float64))
    return np.bincount(place, figures, minlength=size).astype(np.float64, copy=False)
