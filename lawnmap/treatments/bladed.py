"""Passes with a rake or a machine, whichever was chosen for the zone."""

from __future__ import annotations

import datetime as dt
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.coded import coded
from lawnmap.model import Machine, Specification
from lawnmap.reference import tables
from lawnmap.treatments import clearing, names, row, spells, work
from lawnmap.treatments.beside import beside
from lawnmap.treatments.chosen import Chosen
from lawnmap.treatments.loose import loose

STOP = "stop when soil shows in the slots or live grass comes out by its roots"
THIRSTY = "a water ban is on: not on thirsty turf, wait for rain and growth"
BLADED = ("scarifying", "raking")
GROUND = ("blades_area_m2", "rake_area_m2")
LEAST_SAID_M2 = 0.05
MINUTES = 60
SLACK = 1e-9

BOXED = "hours_with_box", "hours_by_capacity"

Floats = npt.NDArray[np.float64]


class Hours(NamedTuple):
    """Hours of one person on each zone, and what they are made of.

    Attributes
    ----------
    low, high : array
        Everything [h].
    passes : array
        Most hours of passes [h].
    empties_low, empties_high : array
        Times that the box is emptied; 0 without a box.
    box_l : array
        Litres of the box; NaN without one, and one figure where all have the same machine.
    """

    low: Floats
    high: Floats
    passes: Floats
    empties_low: Floats
    empties_high: Floats
    box_l: Floats


def bladed(
    zones: gpd.GeoDataFrame, specification: Specification, *, operation: str, by_hand: bool
) -> pd.DataFrame:
    """Return the rows of raking (by hand) or of scarifying.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    operation : str
        Name of the treatment.
    by_hand : bool
        Whether the zones that a rake was chosen for are meant.
    """
    every, words = Chosen(zones), specification.words
    worked, bare = every.numbers("passes") > 0, every.among("blades_kind", "")
    here = every.where(worked & ~bare & (every.among("blades_kind", "rake") == by_hand))
    name, passes = here.names("blades"), here.numbers("passes")
    covered, raked = (here.numbers(each) for each in GROUND)
    hours = _with_rake(
        _hours(here, name, passes, specification, area=covered, by_hand=by_hand),
        raked,
        passes,
        specification,
    )
    found = row.rows(
        here,
        operation,
        words=words,
        rule="hours_by_hand" if by_hand else names.either(hours.empties_high > 0, *BOXED),
        machine=name,
        passes=passes,
        area_m2=covered + raked,
        hours_low=hours.low,
        hours=hours.high,
        **work.held(name, hours.passes, specification)
        | {"machine_hours": np.full(len(here), np.nan) if by_hand else hours.passes},
        flag=lambda: _flags(here, specification),
        remark=lambda: _remarks(here, hours, specification),
        beside=lambda: [beside(each, specification) for each in here.records],
    )
    if not (worked & bare).any():
        return found
    left = _without(every.where(worked & bare), specification, operation)
    return row.joined([found, left], words=words)


def effort(
    zones: gpd.GeoDataFrame, machine: Machine, passes: Floats, specification: Specification
) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the hours of the passes with one machine, and of clearing, which shares their day.

    Parameters
    ----------
    zones : GeoDataFrame
        Zones that need blades, with what comes off them; getting ready is shared among them.
    machine : Machine
    passes : array, shape (n,)
        Of this machine.
    specification : Specification

    Returns
    -------
    tuple of array
        Fewest and most of the passes, its box and getting ready, then of clearing, all of one
        person [h].
    """
    every = Chosen(zones)
    area, by_hand = every.numbers("ground_area_m2"), machine.kind == "rake"
    found = _hours(every, machine.name, passes, specification, area=area, by_hand=by_hand)
    litres = loose(every, area)
    return found.low, found.high, *clearing.hours(litres.low, litres.high)


def _hours(
    zones: Chosen,
    name: names.Names,
    passes: Floats,
    specification: Specification,
    *,
    area: Floats,
    by_hand: bool,
) -> Hours:
    """Return passes, emptying the box, and getting ready once for each machine."""
    quick, slow = work.hours(area, name, specification, passes)
    box = names.figures(name, lambda each: work.box_l(each, specification) or np.nan)
    litres = loose(zones, area)
    few, many = (np.nan_to_num(np.ceil(each / box - SLACK)) for each in (litres.low, litres.high))
    emptying, setup = tables.value("box_empty_min"), tables.value("setup_h")
    ready = 0.0 if by_hand else 1 / _sharing(zones, name)
    return Hours(
        quick + few * emptying.low / MINUTES + ready * setup.low,
        slow + many * emptying.high / MINUTES + ready * setup.high,
        slow,
        few,
        many,
        box,
    )


def _sharing(zones: Chosen, name: names.Names) -> Floats:
    """Return how many zones of the same site have the machine of each."""
    codes, known = coded(name)
    site = coded(zones.texts("site_id"))[0] if "site_id" in zones else 0
    of_both = np.broadcast_to(site * len(known) + codes, len(zones))
    return np.asarray(np.bincount(of_both)[of_both], dtype=np.float64)


def _with_rake(hours: Hours, area: Floats, passes: Floats, specification: Specification) -> Hours:
    """Return the hours with those of the rake, where a machine keeps clear of something."""
    both = work.hours(area, work.named("scarifying_rake"), specification, passes)
    quick, slow = (np.where(area > 0, np.nan_to_num(each), 0.0) for each in both)
    return hours._replace(low=hours.low + quick, high=hours.high + slow)


def _remarks(zones: Chosen, hours: Hours, specification: Specification) -> list[str]:
    hours = hours._replace(box_l=np.broadcast_to(hours.box_l, len(zones)))
    return [_how(zone, place, hours, specification) for place, zone in enumerate(zones.records)]


def _how(zone: dict[Any, Any], place: int, hours: Hours, specification: Specification) -> str:
    """Return depth, direction, when to stop, and how long it takes in days, boxes or evenings."""
    way = str(zone["crossing"] or "one way")
    parts = [f"{way[0].upper()}{way[1:]}; {STOP}."]
    low, high = float(hours.low[place]), float(hours.high[place])
    if pd.notna(zone["depth_low_mm"]):
        strip = tables.value("test_strip_m").number
        depth = tables.sentence(str(zone["depth_rule"]), zone)
        parts = [f"{depth} Try it on a strip of {strip:g} m first.", *parts]
    if zone["blades_kind"] == "rake":
        parts.append(_evenings(float(zone["ground_area_m2"]), low, high, specification))
    else:
        parts += [
            _raked(zone),
            _boxes(place, hours),
            _sentence(spells.in_days(low, high, specification)),
        ]
    return " ".join(part for part in parts if part)


def _evenings(area_m2: float, low: float, high: float, specification: Specification) -> str:
    told = spells.by_hand(low, high, specification)
    if not told or specification.choice("user") == "professional":
        return _sentence(told)
    _, many = spells.evenings(low, high, specification)
    strip = tables.shown(area_m2 / many)
    return f"{told}: rake and clear a strip of about {strip} m² an evening."


def _raked(zone: dict[Any, Any]) -> str:
    """Say how much the machine keeps clear of; walls, stems and hidden things are listed apart."""
    area = float(zone["rake_area_m2"])
    if area < LEAST_SAID_M2:
        return ""
    return f"Rake {tables.shown(area)} m² by hand, where the machine keeps clear."


def _boxes(place: int, hours: Hours) -> str:
    if not hours.empties_high[place]:
        return ""
    times = spells.counted(hours.empties_low[place], hours.empties_high[place], "time")
    return f"Empty the box of {hours.box_l[place]:g} l {times}, between passes too."


def _sentence(text: str) -> str:
    return f"{text}." if text else ""


def _young(zone: Any, specification: Specification) -> str:
    """Say that seedlings come out by their roots: grass in its first year has few."""
    sown, today = zone["sown_last"], specification.choice("today")
    if not isinstance(sown, str) or not sown or today is None:
        return ""
    age = (today - dt.date.fromisoformat(sown)).days
    if age >= tables.value("young_turf_days").number:
        return ""
    return f"sown on {sown}: blades tear out grass in its first year, leave it unless it holds"


def _flags(zones: Chosen, specification: Specification) -> list[str]:
    """Return what to look at first: hidden things, a dry spell, ground too steep in places."""
    thirsty = THIRSTY if specification.choice("water_ban") else ""
    return [
        "; ".join(
            part
            for part in (
                f"hidden here: {zone['hidden']}. Mark it first" if zone["hidden"] else "",
                _steep(zone, specification),
                _young(zone, specification),
                thirsty,
            )
            if part
        )
        for zone in zones.records
    ]


def _steep(zone: dict[Any, Any], specification: Specification) -> str:
    """Say where a machine may not go in a zone whose slope as a whole lets it in."""
    steepest = zone.get("slope_most_deg", np.nan)
    limit = work.most_slope_deg(str(zone["blades"]), specification)
    if not steepest > limit:
        return ""
    return f"up to {steepest:.0f}° in places, and {limit:.0f}° is its most: rake those"


def _without(zones: Chosen, specification: Specification, operation: str) -> pd.DataFrame:
    """Return a row for each zone that nothing to hand may do, once."""

    def first(zone_id: str) -> bool:
        chosen = specification.choice("operations", zone_id) or ()
        return next((each for each in BLADED if each in chosen), "") == operation

    here = zones.where(zones.agree(specification, first))
    return row.rows(
        here,
        operation,
        words=specification.words,
        rule=here.names("blades_rule"),
        status=schema.NOT_ALLOWED,
        beside=lambda: [beside(each, specification) for each in here.records],
    )
