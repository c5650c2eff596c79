"""Passes with a rake or a machine, whichever was chosen for the zone."""

from __future__ import annotations

import datetime as dt
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.model import Machine, Specification
from lawnmap.reference import tables
from lawnmap.treatments import clearing, row, spells, work
from lawnmap.treatments.beside import beside
from lawnmap.treatments.loose import loose

STOP = "stop when soil shows in the slots or live grass comes out by its roots"
THIRSTY = "a water ban is on: not on thirsty turf, wait for rain and growth"
GROUND = ("blades_area_m2", "rake_area_m2")
LEAST_SAID_M2 = 0.05
MINUTES = 60
SLACK = 1e-9

Floats = npt.NDArray[np.float64]
Texts = npt.NDArray[np.object_]


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
        Litres of the box; NaN without one.
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
    kind = zones["blades_kind"].to_numpy(dtype=object)
    worked = zones["passes"].to_numpy(dtype=float) > 0
    here = zones[worked & (kind != "") & ((kind == "rake") == by_hand)]
    name = here["blades"].to_numpy(dtype=object)
    passes = here["passes"].to_numpy(dtype=float)
    covered, raked = (here[each].to_numpy(dtype=float) for each in GROUND)
    hours = _with_rake(
        _hours(here, name, passes, specification, area=covered, by_hand=by_hand),
        raked,
        passes,
        specification,
    )
    machine = "hours_with_box", "hours_by_capacity"
    found = row.rows(
        here,
        operation,
        rule="hours_by_hand" if by_hand else np.where(hours.empties_high > 0, *machine),
        machine=name,
        passes=passes,
        area_m2=covered + raked,
        hours_low=hours.low,
        hours=hours.high,
        **work.held(name, hours.passes, specification)
        | {"machine_hours": np.full(len(here), np.nan) if by_hand else hours.passes},
        flag=_flags(here, specification),
        remark=_remarks(here, hours, specification),
        beside=[beside(each, specification) for each in here.to_dict("records")],
    )
    return pd.concat([found, _without(zones[worked & (kind == "")], specification, operation)])


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
    name = np.full(len(zones), machine.name, dtype=object)
    area = zones["ground_area_m2"].to_numpy(dtype=float)
    found = _hours(zones, name, passes, specification, area=area, by_hand=machine.kind == "rake")
    litres = loose(zones, area)
    return found.low, found.high, *clearing.hours(litres.low, litres.high)


def _hours(
    zones: gpd.GeoDataFrame,
    name: Texts,
    passes: Floats,
    specification: Specification,
    *,
    area: Floats,
    by_hand: bool,
) -> Hours:
    """Return passes, emptying the box, and getting ready once for each machine."""
    quick, slow = work.hours(area, name, specification, passes)
    box = np.array([work.box_l(each, specification) or np.nan for each in name], dtype=float)
    litres = loose(zones, area)
    few, many = (np.nan_to_num(np.ceil(each / box - SLACK)) for each in (litres.low, litres.high))
    emptying, setup = tables.value("box_empty_min"), tables.value("setup_h")
    zones_of = pd.Series(name, dtype=object).map(pd.Series(name, dtype=object).value_counts())
    ready = 0.0 if by_hand else 1 / zones_of.to_numpy(dtype=float)
    return Hours(
        quick + few * emptying.low / MINUTES + ready * setup.low,
        slow + many * emptying.high / MINUTES + ready * setup.high,
        slow,
        few,
        many,
        box,
    )


def _with_rake(hours: Hours, area: Floats, passes: Floats, specification: Specification) -> Hours:
    """Return the hours with those of the rake, where a machine keeps clear of something."""
    names = np.where(area > 0, work.named("scarifying_rake"), "").astype(object)
    quick, slow = (np.nan_to_num(each) for each in work.hours(area, names, specification, passes))
    return hours._replace(low=hours.low + quick, high=hours.high + slow)


def _remarks(zones: gpd.GeoDataFrame, hours: Hours, specification: Specification) -> list[str]:
    rows = zones.to_dict("records")
    return [_how(zone, place, hours, specification) for place, zone in enumerate(rows)]


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


def _flags(zones: gpd.GeoDataFrame, specification: Specification) -> list[str]:
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
        for zone in zones.to_dict("records")
    ]


def _steep(zone: dict[Any, Any], specification: Specification) -> str:
    """Say where a machine may not go in a zone whose slope as a whole lets it in."""
    steepest = zone.get("slope_most_deg", np.nan)
    limit = work.most_slope_deg(str(zone["blades"]), specification)
    if not steepest > limit:
        return ""
    return f"up to {steepest:.0f}° in places, and {limit:.0f}° is its most: rake those"


def _without(zones: gpd.GeoDataFrame, specification: Specification, operation: str) -> pd.DataFrame:
    """Return a row for each zone that nothing to hand may do, once."""
    chosen = [specification.choice("operations", str(each)) or () for each in zones.index]
    first = [
        next((name for name in ("scarifying", "raking") if name in each), "") for each in chosen
    ]
    here = zones[np.array([name == operation for name in first], dtype=bool)]
    return row.rows(
        here,
        operation,
        rule=here["blades_rule"].to_numpy(dtype=object),
        status=schema.NOT_ALLOWED,
        beside=[beside(each, specification) for each in here.to_dict("records")],
    )
