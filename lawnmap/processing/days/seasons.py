"""The days each step may have by its season, and by the weather where a file of it is kept.

What the months say is published for the United Kingdom; south of the equator it holds six months
later. The weather only takes days away: it opens none that the months keep shut.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap.agronomy.weather import Weather
from lawnmap.model import Specification
from lawnmap.processing.days import season_weather
from lawnmap.processing.days.season_days import Days, Mask, Span, in_season, span, windows
from lawnmap.processing.days.season_place import Place, place_of
from lawnmap.processing.days.season_roles import Asked, asked_of
from lawnmap.processing.days.season_weather import Conditions
from lawnmap.reference import tables
from lawnmap.reference.rows import Season
from lawnmap.schema import DO, PRICING

NO_SEASON = "season_any"
SPRING, AUTUMN = "spring", "autumn"


class Effect(NamedTuple):
    """A rule of the weather, and the days of the season that it took from a step."""

    rule: str
    days: int


@dataclass(frozen=True)
class Seasons:
    """What seasons and weather leave to each step; every list runs with the rows of ``steps``.

    Attributes
    ----------
    windows : list of (tuple of (date, date)) or None
        First and last day of each run of days, both in; empty when no day is allowed, None when
        any day is.
    rules : list of str
        The rule of ``rules.csv`` that set the season.
    effects : list of tuple of Effect
        What the weather took away.
    flags : list of tuple of (date, date, str)
        Days that are open with something to be said, and the rule that says it.
    cautions, told : tuple of str
        What has to be looked at, and what was taken from the weather file and what it took away.
    """

    windows: list[tuple[Span, ...] | None]
    rules: list[str]
    effects: list[tuple[Effect, ...]]
    flags: list[tuple[tuple[dt.date, dt.date, str], ...]]
    cautions: tuple[str, ...] = ()
    told: tuple[str, ...] = ()

    def said_of(self, days: Iterable[dt.date | None]) -> tuple[str, ...]:
        """Return what has to be said when the steps are done on these days, each once."""
        rules = [
            rule
            for day, flags in zip(days, self.flags, strict=True)
            for first, last, rule in flags
            if day is not None and first <= day <= last
        ]
        return tuple(tables.sentence(each, {}) for each in dict.fromkeys(rules))


class _Found(NamedTuple):
    windows: tuple[Span, ...] | None
    rule: str
    effects: tuple[Effect, ...] = ()
    flags: tuple[tuple[dt.date, dt.date, str], ...] = ()


class _Terms(NamedTuple):
    """What every step shares."""

    first: dt.date
    last: dt.date
    season: str
    place: Place
    known: Conditions | None


def seasons(
    steps: pd.DataFrame,
    zones: gpd.GeoDataFrame,
    specification: Specification,
    *,
    weather: Weather | None,
    first: dt.date,
    last: dt.date,
) -> Seasons:
    """Return the days each step may have from `first` to `last`.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    zones : GeoDataFrame
        With the columns of the step ``choose``; longitude and latitude [°].
    specification : Specification
        The country, the season if one is chosen, and the label cards.
    weather : Weather or None
        What the site's weather file holds.
    first, last : date
        Both in.

    Raises
    ------
    ValueError
        When the last day is before the first.
    """
    if last < first:
        raise ValueError("the last day is before the first")
    place = place_of(zones, specification)
    known = season_weather.conditions(weather, first, last) if weather else None
    # Light blades in spring are what a programme asked for, whatever season was chosen.
    light = specification.choice("blades_light")
    season = "" if light else specification.choice("season") or ""
    terms = _Terms(first, last, season, place, known)
    asked = asked_of(steps, zones, specification)
    each = {one: _found(one, terms) for one in dict.fromkeys(asked)}
    found = [each[one] for one in asked]
    return Seasons(
        windows=[one.windows for one in found],
        rules=[one.rule for one in found],
        effects=[one.effects for one in found],
        flags=[one.flags for one in found],
        cautions=(
            *place.cautions,
            *(season_weather.gaps(weather) if weather else ()),
            *_no_day(steps, found, terms),
        ),
        told=(
            *place.told,
            *(season_weather.told(weather, south=place.south) if weather else ()),
            *_taken(steps, found),
        ),
    )


def _found(asked: Asked, terms: _Terms) -> _Found:
    """Return what is left to one kind of step."""
    rows = [row for row in tables.seasons() if row.role == asked.role]
    if not rows:
        return _Found(None, NO_SEASON)
    rows = [row for row in rows if _holds(row, asked, terms.season)]
    days = span(terms.first, terms.last)
    by_month = {row.id: _in_season(days, row, terms.place) for row in rows}
    left = np.zeros(len(days), dtype=bool)
    lost: dict[str, int] = {}
    for row in rows:
        rule, may = _by_soil(row, asked, terms)
        _count(lost, rule, by_month[row.id] & ~may)
        left |= by_month[row.id] & may
    for rule, bad in _by_day(asked, terms.known):
        _count(lost, rule, left & bad)
        left &= ~bad
    flags = (
        (*run, row.flag)
        for row in rows
        if row.flag
        for run in windows(left & by_month[row.id], terms.first)
    )
    effects = tuple(Effect(rule, number) for rule, number in lost.items())
    return _Found(windows(left, terms.first), rows[-1].rule, effects, tuple(flags))


def _holds(row: Season, asked: Asked, season: str) -> bool:
    """Tell whether a row of the seasons is open to a kind of step.

    A chosen season is that of the blades: iron and seed may still fall in the other one, as when
    seed has to wait for spring.
    """
    if row.seed not in ("any", "yes" if asked.seeded else "no"):
        return False
    return row.season == season if season and asked.blades else not row.asked


def _in_season(days: Days, row: Season, place: Place) -> Mask:
    return in_season(days, row.first, row.last, south=place.south)


def _by_soil(row: Season, asked: Asked, terms: _Terms) -> tuple[str, Mask]:
    """Return the rule of the soil for a season, and the days that it leaves."""
    known = terms.known
    if known is None or not row.soil_gate:
        return "", np.ones((terms.last - terms.first).days + 1, dtype=bool)
    if row.season == SPRING:
        season = _in_season(span(known.first, known.last), row, terms.place)
        return "weather_spring_soil", known.spring(season)
    if asked.seeded:
        return "weather_autumn_soil_seed", known.autumn("growth_left_seed_days")
    return "weather_autumn_soil", known.autumn("growth_left_days")


def _by_day(asked: Asked, known: Conditions | None) -> Iterable[tuple[str, Mask]]:
    """Yield the rules of single days and the days that each takes away."""
    if known is None:
        return
    if asked.iron or asked.blades:
        yield "weather_frost", known.frost
    if asked.iron:
        yield "weather_heat", known.hot
    if asked.spray:
        yield "weather_rain", known.wet(asked.rainfast_h)


def _count(lost: dict[str, int], rule: str, days: Mask) -> None:
    number = int(np.count_nonzero(days))
    if number:
        lost[rule] = lost.get(rule, 0) + number


def _no_day(steps: pd.DataFrame, found: list[_Found], terms: _Terms) -> tuple[str, ...]:
    """Say which steps that are to be done have no day at all, and why."""
    without: dict[tuple[str, str], list[str]] = {}
    cells = steps[["zone_id", "operation", "status"]].itertuples(index=False, name=None)
    for (zone, operation, status), one in zip(cells, found, strict=True):
        if one.windows == () and status in (DO, PRICING):
            without.setdefault((operation, one.rule), []).append(str(zone))
    return tuple(
        f"{operation.replace('_', ' ').capitalize()} on {', '.join(dict.fromkeys(zones))}: no day "
        f"from {terms.first} to {terms.last} is in season. {tables.sentence(rule, {})}"
        for (operation, rule), zones in without.items()
    )


def _taken(steps: pd.DataFrame, found: list[_Found]) -> tuple[str, ...]:
    """Say what the weather took away: each rule, and the most days it took from a step."""
    most: dict[str, dict[str, int]] = {}
    for operation, one in zip(steps["operation"], found, strict=True):
        for rule, number in one.effects:
            by_operation = most.setdefault(rule, {})
            name = str(operation).replace("_", " ")
            by_operation[name] = max(by_operation.get(name, 0), number)
    return tuple(
        f"{tables.sentence(rule, {})} Days of the season lost by it: "
        f"{', '.join(f'{name} {number}' for name, number in days.items())}."
        for rule, days in most.items()
    )
