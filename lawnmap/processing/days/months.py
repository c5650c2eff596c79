"""The month in which each step of very many zones can first be done: by season and waits alone.

Which days there are depends on few things of a zone, so most zones are alike: each chain of steps
is looked at once, with the very functions a plan uses, and never again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.agronomy.weather import Weather
from lawnmap.coded import coded
from lawnmap.days import Calendar
from lawnmap.model import Specification
from lawnmap.processing.days.season_place import place_of
from lawnmap.processing.days.season_roles import HEAVY
from lawnmap.processing.days.sittings import Key
from lawnmap.processing.days.soonest import first_days
from lawnmap.processing.days.waits import IF_NEEDED, ROLE
from lawnmap.processing.iron.iron_place import AFTER
from lawnmap.processing.steps import ORDER

Codes = npt.NDArray[np.int64]
Link = tuple[str, str, str, bool]  # operation, status, product, whether it is made only if needed

LARGEST = 2**62  # code that still has room for a little more in 64 bits
LATITUDE = 52.0  # that of any place with seasons north of the tropics
LOOKS = ("status", "product", "rule")


class Chain(NamedTuple):
    """All that decides the days of a zone, apart from what else is to be done that day."""

    links: tuple[Link, ...]
    heavy: bool
    blades_first: bool
    south: bool


class _Part(NamedTuple):
    """The first, second … rows of one operation: no zone has two of them.

    ``rows`` are their places in the table of the operation, ``zones`` those of their zones,
    ascending, ``codes`` what they are and ``links`` what the codes stand for.
    """

    operation: str
    rows: Codes
    zones: Codes
    codes: Codes
    links: list[Link]

    def at(self, zones: Codes) -> Codes:
        """Return which of the rows is that of each zone; -1 where a zone has none."""
        found = np.searchsorted(self.zones, zones)
        inside = np.minimum(found, len(self.zones) - 1)
        return np.where(self.zones[inside] == zones, inside, -1)


class Months:
    """First months of the steps of many zones; what is known of one chain is kept.

    Parameters
    ----------
    specification : Specification
        First and last day, chosen season, label cards.
    weather : Weather, optional
    kinds : mapping of str to str, optional
        The kind of work of each operation, for treatments of others.
    """

    def __init__(
        self,
        specification: Specification,
        weather: Weather | None = None,
        kinds: Mapping[str, str] | None = None,
    ) -> None:
        self._specification = specification
        self._calendar = Calendar(weather=weather)
        self._kinds = kinds or {}
        self._known: dict[Chain, tuple[str, ...]] = {}

    def of(
        self,
        figures: Mapping[str, pd.DataFrame],
        zones: gpd.GeoDataFrame,
        south: npt.NDArray[np.bool_] | None = None,
    ) -> dict[str, pd.Categorical[object]]:
        """Return the month, as ``2026-09``, of each row of each operation; "" without a day.

        Parameters
        ----------
        figures : mapping of str to DataFrame
            Rows of each operation: ``zone`` (place of the zone), status, product, rule.
        zones : GeoDataFrame
            With ``verdict`` and ``iron_order``.
        south : (zones,) array of bool, optional
            Zones south of the equator; without it, what all of them together are.
        """
        if south is None:
            south = np.full(len(zones), place_of(zones, self._specification).south)
        parts = [part for name, rows in figures.items() for part in _parts(name, rows)]
        # A step of a zone alone is later by nothing, so the verdict counts only with blades.
        heavy = zones["verdict"].isin(HEAVY).to_numpy(dtype=bool)
        blades_first = _is(zones["iron_order"], AFTER)
        codes, first = _alike(parts, (heavy, blades_first, south))
        there = [part.at(first) for part in parts]
        chains = _chains(parts, there, [each[first] for each in (heavy, blades_first, south)])
        self._look_up(dict.fromkeys(each for each in chains if each not in self._known))
        told = [iter(self._known[chain]) for chain in chains]
        names: dict[str, int] = {"": 0}
        found = {name: np.zeros(len(rows), dtype=np.int16) for name, rows in figures.items()}
        for part, at in zip(parts, there, strict=True):
            month = np.zeros(len(chains), dtype=np.int16)
            for chain in np.flatnonzero(at >= 0).tolist():
                month[chain] = names.setdefault(next(told[chain]), len(names))
            found[part.operation][part.rows] = month[codes[part.zones]]
        categories = pd.Index(list(names), dtype=object)
        return {name: pd.Categorical.from_codes(own, categories) for name, own in found.items()}

    def _look_up(self, chains: Iterable[Chain]) -> None:
        """Find the months of chains that are not known yet."""
        listed = list(chains)
        self._known |= {chain: () for chain in listed if not chain.links}
        for south in (False, True):
            own = [chain for chain in listed if chain.links and chain.south == south]
            if not own:
                continue
            steps, places = _steps(own, self._kinds)
            zones = gpd.GeoDataFrame(
                {"verdict": [HEAVY[0] if chain.heavy else "" for chain in own]},
                geometry=gpd.points_from_xy(
                    np.zeros(len(own)), np.full(len(own), -LATITUDE if south else LATITUDE)
                ),
                index=[str(number) for number in range(len(own))],
                crs="OGC:CRS84",
            )
            months = [[""] * len(chain.links) for chain in own]
            days = first_days(steps, zones, self._specification, self._calendar)
            for key, day in days.items():
                months[int(key[0])][places[key]] = f"{day:%Y-%m}"
            self._known |= {chain: tuple(own) for chain, own in zip(own, months, strict=True)}


def _parts(operation: str, rows: pd.DataFrame) -> Iterator[_Part]:
    """Yield the rows of an operation that are the first of their zones, the second, and so on."""
    zones = rows["zone"].to_numpy(dtype=np.int64)
    codes, links = _looks(operation, rows)
    if len(zones) and (zones[1:] > zones[:-1]).all():  # of most operations there is one a zone
        yield _Part(operation, np.arange(len(zones)), zones, codes, links)
        return
    left = np.argsort(zones, kind="stable")
    while len(left):
        again = np.zeros(len(left), dtype=bool)
        again[1:] = zones[left[1:]] == zones[left[:-1]]
        own = left[~again]
        yield _Part(operation, own, zones[own], codes[own], links)
        left = left[again]


def _looks(operation: str, rows: pd.DataFrame) -> tuple[Codes, list[Link]]:
    """Return what each row is as a code, and what the codes stand for."""
    status, statuses = coded(rows["status"])
    # A treatment that needs no product need not say so.
    product, products = coded(rows.get("product", ""))
    codes = status.astype(np.int64) * len(products) + product
    maybe = [False]
    if ROLE.get(operation) == "iron":
        codes, maybe = 2 * codes + _is(rows["rule"], IF_NEEDED), [False, True]
    return codes, [(operation, s, p, m) for s in statuses for p in products for m in maybe]


def _is(column: pd.Series, word: str) -> npt.NDArray[np.bool_]:
    found = column == word
    return found.to_numpy(dtype=bool, na_value=False)


def _alike(parts: Sequence[_Part], zones: Sequence[npt.NDArray[np.bool_]]) -> tuple[Codes, Codes]:
    """Return the number of the chain of each zone, and the first zone that has each chain."""
    code = zones[0] + 2 * zones[1] + 4 * zones[2].astype(np.int64)
    size = 8
    for part in parts:
        wide = len(part.links) + 1
        if size * wide > LARGEST:
            code, seen = pd.factorize(code)
            size = len(seen)
        code[part.zones] += (part.codes + 1) * size
        size *= wide
    codes, seen = pd.factorize(code)
    first = np.empty(len(seen), dtype=np.int64)
    first[codes[::-1]] = np.arange(len(codes))[::-1]
    return codes.astype(np.int64, copy=False), first


def _chains(
    parts: Sequence[_Part], there: Sequence[Codes], zones: Sequence[npt.NDArray[np.bool_]]
) -> list[Chain]:
    """Return the chain of some zones, its steps in the order of the parts."""
    links: list[list[Link]] = [[] for _ in zones[0]]
    for part, at in zip(parts, there, strict=True):
        here = np.flatnonzero(at >= 0)
        for chain, code in zip(here.tolist(), part.codes[at[here]].tolist(), strict=True):
            links[chain].append(part.links[code])
    facts = zip(*(each.tolist() for each in zones), strict=True)
    return [Chain(tuple(own), *each) for own, each in zip(links, facts, strict=True)]


def _steps(
    chains: Sequence[Chain], kinds: Mapping[str, str]
) -> tuple[pd.DataFrame, dict[Key, int]]:
    """Return chains as a table ``steps``, each for a zone, and where in its chain each step is."""
    rows: list[dict[str, object]] = []
    places: dict[Key, int] = {}
    for number, chain in enumerate(chains):
        order = sorted(range(len(chain.links)), key=lambda at: _rank(chain.links[at][0], chain))
        for at in order:
            operation, status, product, maybe = chain.links[at]
            done_before = sum(row["zone_id"] == str(number) and row["operation"] == operation
                              for row in rows)  # fmt: skip
            places[str(number), operation, done_before + 1] = at
            rows.append(
                {
                    "zone_id": str(number),
                    "operation": operation,
                    "kind": kinds.get(operation, ""),
                    "status": status,
                    "product": product,
                    "rule": IF_NEEDED if maybe else "",
                    "machine": "",
                    "day": "",
                    "hours_low": 0.0,
                    "hours": 0.0,
                    "most_hours_a_day": np.nan,
                }
            )
    return pd.DataFrame(rows), places


def _rank(operation: str, chain: Chain) -> int:
    """Return the place of an operation in the order of the work."""
    role = ROLE.get(operation, operation)
    if role == "iron" and chain.blades_first:
        role = AFTER
    return ORDER.index(role) if role in ORDER else len(ORDER)
