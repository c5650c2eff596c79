"""The step ``totals_by``: sums over all sites, by region, depot, month and site.

A sum is the same whatever the order of the sites. Those of parts are
rounded once before they are added.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.coded import coded
from lawnmap.processing.many.exact_sums import cut, exact_sums
from lawnmap.schema import DO, PRICING

ALL, SITE = "all", "site"
LEVELS = {ALL: "", "region": "region", "depot": "depot", "month": "month", SITE: "site_id"}
WHAT = ("operation", "product", "status", "unit")
BY = ("by", "key", *WHAT)
NEEDED = ("zones", "area_m2", "amount_low", "amount", "water_l")
HOURS = ("hours_low", "hours")
AMOUNTS = ("amount_low", "amount", "water_l")  # of what takes place; of the rest there is none
FIGURES = (*NEEDED, *HOURS)
MOST_TICKS = 50_000_000  # bytes
COLUMNS = {column.name: column.dtype for column in schema.columns("totals_by")}

Codes = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]
Words = npt.NDArray[np.object_]


def totals_by(
    needs: pd.DataFrame, hours: pd.DataFrame, *, levels: Iterable[str] = tuple(LEVELS)
) -> pd.DataFrame:
    """Return the table ``totals_by`` of the schema.

    Parameters
    ----------
    needs, hours : DataFrame
        The tables ``site_needs`` and ``site_hours``, of whole sites.
    levels : iterable of str
        Those of LEVELS that are wanted.

    Returns
    -------
    DataFrame
        Sorted by level, key and what is summed up. Amounts are those of work that takes place or
        is priced, each apart; what is not set has its ground and no amount. Hours are not told by
        product: they stand in the row of their operation that has neither product nor unit.
    """
    stacked = _Stacked(needs, hours)
    return _one([stacked.level(level) for level in LEVELS if level in set(levels)])


def joined(parts: Iterable[pd.DataFrame]) -> pd.DataFrame:
    """Return the table ``totals_by`` of all sites from those of parts.

    Parameters
    ----------
    parts : iterable of DataFrame
        Each the table of some sites; a site belongs to one part, so that sites can be counted.
    """
    given = [part for part in parts if not part.empty]
    if not given:
        return _one([])
    whole = pd.concat(given, ignore_index=True)
    level = pd.Index(list(LEVELS)).get_indexer(pd.Index(whole["by"])).astype(np.intp)
    levels = np.array(list(LEVELS), dtype=object)
    group, words = _grouped([(level, levels), *(_coded_together(whole[name]) for name in BY[1:])])
    sums = {
        name: _Figures(whole[name].to_numpy(np.float64)).sums(group, len(words[0]))
        for name in ("sites", *FIGURES)
    }
    return _one([_table(dict(zip(BY, words, strict=True)), sums)])


class _Stacked:
    """Both tables under one another, words as codes and figures cut for adding: made once."""

    def __init__(self, needs: pd.DataFrame, hours: pd.DataFrame) -> None:
        many = len(hours)
        self.words = {
            name: _coded_together(needs[name], hours[name])
            for name in ("site_id", "region", "depot", "month", "operation")
        }
        self.words |= {
            name: _coded_together(needs[name], pd.Series([word] * many, dtype=object))
            for name, word in (("product", ""), ("status", DO), ("unit", ""))
        }
        live = needs["status"].isin([DO, PRICING]).to_numpy()
        nothing, rest = np.full(len(needs), np.nan), np.full(many, np.nan)
        self.figures = {}
        for name in FIGURES:
            above = nothing if name in HOURS else needs[name].to_numpy(np.float64)
            above = np.where(live, above, np.nan) if name in AMOUNTS else above
            below = hours[name].to_numpy(np.float64) if name in HOURS else rest
            self.figures[name] = _Figures(np.concatenate([above, below]))
        self.what, self.whats = _grouped([self.words[name] for name in WHAT])

    def level(self, by: str) -> pd.DataFrame:
        """Return the sums of one level."""
        everything = np.zeros(len(self.what), dtype=np.intp), np.array([""], dtype=object)
        keys = everything if by == ALL else self.words[LEVELS[by]]
        what = self.what, np.arange(len(self.whats[0])).astype(object)
        group, (key, place) = _grouped([keys, what])
        words = [each[place.astype(np.intp)] for each in self.whats]
        named = {"by": np.full(len(key), by, object), "key": key}
        sites = self._sites(group, len(key)) if by != SITE else np.ones(len(key))
        figures = {name: each.sums(group, len(key)) for name, each in self.figures.items()}
        return _table(named | dict(zip(WHAT, words, strict=True)), {"sites": sites} | figures)

    def _sites(self, group: Codes, count: int) -> Floats:
        """Return the number of different sites in each group."""
        codes, words = self.words["site_id"]
        many = len(words)
        if count * many <= MOST_TICKS:  # one tick for each group and site: quick, but it takes room
            ticks = np.zeros((count, many), dtype=bool)
            ticks[group, codes] = True
            return np.asarray(ticks.sum(axis=1, dtype=np.float64))
        again = pd.Series(group * many + codes).duplicated().to_numpy()
        return np.bincount(group[~again], minlength=count).astype(np.float64)


class _Figures:
    """A column of figures, cut for exact sums; an empty cell is no figure."""

    def __init__(self, cells: Floats) -> None:
        self.there = ~np.isnan(cells)
        self.layers = cut(cells[self.there])

    def sums(self, group: Codes, count: int) -> Floats:
        """Return the sum of each group, NaN where it has no figure."""
        of = group[self.there]
        found = exact_sums(self.layers, of, count)
        found[np.bincount(of, minlength=count) == 0] = np.nan
        return found


def _coded_together(*columns: pd.Series) -> tuple[Codes, Words]:
    """Return the cells of columns that stand under one another as codes of sorted words.

    Each column is coded by itself, which is quickest as it is held.
    """
    parts = [coded(column) for column in columns]
    place, words = pd.factorize(
        np.concatenate([np.array(own, dtype=object) for _, own in parts]), sort=True
    )
    starts = np.cumsum([0, *(len(own) for _, own in parts)])
    codes = [place[start:][own] for start, (own, _) in zip(starts, parts, strict=False)]
    return np.concatenate(codes).astype(np.intp), np.asarray(words, dtype=object)


def _grouped(keys: list[tuple[Codes, Words]]) -> tuple[Codes, list[Words]]:
    """Return the group of each row, in the order of its words, and the words of each group."""
    shape = [max(len(words), 1) for _, words in keys]
    place = np.zeros(len(keys[0][0]), dtype=np.int64)
    for (codes, _), size in zip(keys, shape, strict=True):
        place = place * size + codes
    group, found = pd.factorize(place, sort=True)
    parts = np.unravel_index(np.asarray(found, dtype=np.intp), shape)
    words = [each[at] for (_, each), at in zip(keys, parts, strict=True)]
    return group.astype(np.intp), words


def _table(words: dict[str, Words], figures: dict[str, Floats]) -> pd.DataFrame:
    texts = {name: pd.Series(each, dtype=object) for name, each in words.items()}
    return pd.DataFrame({**texts, **figures})


def _one(tables: list[pd.DataFrame]) -> pd.DataFrame:
    whole = pd.concat(tables, ignore_index=True) if tables else pd.DataFrame(columns=[*COLUMNS])
    return whole[[*COLUMNS]].astype(COLUMNS)
