"""What the weather file says of the days of a plan."""

from __future__ import annotations

import datetime as dt
import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import growth, soil
from lawnmap.agronomy.weather import Weather
from lawnmap.processing.days import season_days
from lawnmap.processing.days.season_days import Mask
from lawnmap.reference import tables

A_YEAR = 365  # d
BEFORE = 200  # d: a season that has begun by the first day is seen from its beginning
NAME = "weather.csv"
MOST_GAPS = 5  # that are named


class Conditions(NamedTuple):
    """The weather on the days of a plan and on some before and after.

    Attributes
    ----------
    first, last : date
        Of the days that the soil is known for.
    inside : slice
        The days of the plan among them.
    soil_c : (n,) array
        Soil, or what stands in for it [°C]; NaN where nothing does.
    frost, hot : (m,) array of bool
        The days of the plan with frost, and those too warm for iron.
    rain_mm : (m + k,) array
        Rain on the days of the plan and on some after [mm].
    """

    first: dt.date
    last: dt.date
    inside: slice
    soil_c: npt.NDArray[np.float64]
    frost: Mask
    hot: Mask
    rain_mm: npt.NDArray[np.float64]

    def spring(self, season: Mask) -> Mask:
        """Tell on which days of the plan spring has come; `season` runs from first to last."""
        warm = soil.spring_open(
            self.soil_c,
            season,
            from_c=tables.value("soil_spring_c").number,
            floor_c=tables.value("growth_floor_c").number,
            over_days=int(tables.value("soil_rising_days").number),
        )
        return warm[self.inside]

    def autumn(self, need: str) -> Mask:
        """Tell which days of the plan leave enough growth; `need` is the id of the days needed."""
        left = soil.days_left(
            self.soil_c,
            floor_c=tables.value("growth_floor_c").number,
            below_days=int(tables.value("growth_below_days").number),
        )
        return (left >= tables.value(need).number)[self.inside]

    def wet(self, rainfast_h: float) -> Mask:
        """Tell which days of the plan are too wet for a spray that wants so many dry hours."""
        rain = self.rain_mm >= tables.value("rain_day_mm").number
        number = len(self.frost)
        over = max(rainfast_h - tables.value("rainfast_day_h").number, 0.0)
        result = rain[:number].copy()
        for later in range(1, min(math.ceil(over / 24), len(rain) - number) + 1):
            result |= rain[later : later + number]
        return result


def conditions(weather: Weather, first: dt.date, last: dt.date) -> Conditions:
    """Return what a weather file says of the days from `first` to `last`."""
    number = (last - first).days + 1
    after = int(
        tables.value("growth_left_seed_days").high + tables.value("growth_below_days").number
    )
    before = min(BEFORE, (first - dt.date.min).days)
    after = min(after, (dt.date.max - last).days)
    start, end = first - dt.timedelta(days=before), last + dt.timedelta(days=after)
    frost = weather.days("frost", first, last)
    coldest = weather.days("min_c", first, last)
    freezing = np.isnan(frost) & (coldest <= tables.value("frost_air_c").number)
    return Conditions(
        start,
        end,
        slice(before, before + number),
        _soil(weather, start, end),
        (frost == 1) | freezing,
        weather.days("mean_c", first, last) > tables.value("iron_air_most_c").number,
        weather.days("rain_mm", first, end),
    )


def told(weather: Weather, *, south: bool) -> tuple[str, ...]:
    """Say what was taken from a weather file: its days, warmth so far, where the soil is from."""
    base = tables.value("degree_day_base_c").number
    start = _turn_of_year(weather.last, south=south)
    since = max(start, weather.first)
    mean = weather.days("mean_c", since, weather.last)
    total = float(np.nansum(growth.degree_days(mean, mean, base)))
    rules = ["weather_soil_from_air"] if np.isnan(weather.soil_c).any() else []
    rules.append("weather_mean_year" if len(weather) >= A_YEAR else "weather_ends")
    return (
        f"{NAME} holds {weather.first} to {weather.last}: {total:.0f} growing-degree days "
        f"(base {base:g} °C) since {since}.",
        *(tables.sentence(each, {}) for each in rules),
    )


def gaps(weather: Weather) -> tuple[str, ...]:
    """Name the days inside a weather file of which it says nothing."""
    found = weather.gaps
    named = [f"{a} to {b}" if a != b else f"{a}" for a, b in found[:MOST_GAPS]]
    more = f", and {len(found) - MOST_GAPS} more" if len(found) > MOST_GAPS else ""
    return (f"{NAME} says nothing of {', '.join(named)}{more}.",) if found else ()


def _soil(weather: Weather, first: dt.date, last: dt.date) -> npt.NDArray[np.float64]:
    """Return soil for each day: measured, else from the air, else from the file's mean year."""
    from_air = soil.running_mean(weather.mean_c, int(tables.value("soil_mean_days").number))
    in_file = np.where(np.isnan(weather.soil_c), from_air, weather.soil_c)
    result = weather.placed(in_file, first, last)
    if len(weather) < A_YEAR:
        return result
    days = season_days.day_of_year(season_days.span(weather.first, weather.last))
    usual = soil.mean_year(days, in_file)
    asked = season_days.day_of_year(season_days.span(first, last))
    return np.where(np.isnan(result), usual[asked], result)


def _turn_of_year(day: dt.date, *, south: bool) -> dt.date:
    """Return the 1 January before a day; the 1 July south of the equator."""
    if not south:
        return day.replace(month=1, day=1)
    july = day.replace(month=7, day=1)
    return july if july <= day else july.replace(year=day.year - 1)
