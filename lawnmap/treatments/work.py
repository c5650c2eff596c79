"""Hours of work, from the card of a machine or else from the range of its kind."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy import vibration, work_rate
from lawnmap.model import Machine, Specification
from lawnmap.reference import tables
from lawnmap.reference.rows import GenericMachine
from lawnmap.treatments.names import Names, figures

Floats = npt.NDArray[np.float64]


def hours(
    area_m2: Floats, names: Names, specification: Specification, passes: Any = 1.0
) -> tuple[Floats, Floats]:
    """Return the fewest and most hours of one person with the named machines.

    Parameters
    ----------
    area_m2 : array, shape (n,)
        Ground [m²].
    names : names, shape (n,)
        Machine of each zone, or one of all; hours are NaN where it is empty.
    specification : Specification
    passes : array_like
        Times over the ground.
    """
    unknown = np.nan, np.nan
    slow, quick = figures(names, lambda each: work_rate_m2_h(each, specification) or unknown)
    return work_rate.hours(area_m2, quick, passes), work_rate.hours(area_m2, slow, passes)


def work_rate_m2_h(name: str, specification: Specification) -> tuple[float, float] | None:
    """Return the slowest and quickest work rate of a machine [m²/h]; None when nothing is known."""
    own = specification.machines.get(name)
    model = _generic(name, own)
    if own is not None and own.area_m2_h is not None:
        return own.area_m2_h, own.area_m2_h
    width = _first(own and own.width_m, model and model.width_m)
    speed = _first(own and own.speed_km_h, model and model.speed_km_h)
    low = _first(own and own.field_efficiency, model and model.efficiency_low)
    high = _first(own and own.field_efficiency, model and model.efficiency_high)
    if width and speed and low and high:
        rates = work_rate.field_capacity(speed, width, [low, high])
        return float(rates[0]), float(rates[1])
    if model is not None and model.area_low_m2_h and model.area_high_m2_h:
        return model.area_low_m2_h, model.area_high_m2_h
    return None


def box_l(name: str, specification: Specification) -> float | None:
    """Return the litres of a machine's box; None for one that throws out behind it."""
    own = specification.machines.get(name)
    model = _generic(name, own)
    return _first(own and own.box_l, model and model.box_l)


def vibration_m_s2(name: str, specification: Specification) -> float | None:
    """Return the vibration of a machine: its card's, else that of its kind; None for a rake."""
    own = specification.machines.get(name)
    model = _generic(name, own)
    return _first(own and own.vibration_m_s2, model and model.vibration_m_s2)


def most_hours_a_day(
    name: str, specification: Specification, limit: str = "hav_limit_points"
) -> float:
    """Return the hours a day one person may hold a machine [h]; infinite for what does not shake.

    Parameters
    ----------
    name : str
    specification : Specification
    limit : str
        Id of the value with the points of the day: the limit, or ``hav_action_points``.
    """
    shaking = vibration_m_s2(name, specification)
    if not shaking:
        return float("inf")
    return float(vibration.hours_until(shaking, tables.value(limit).number))


def yield_share(name: str, specification: Specification) -> float:
    """Return what one pass lifts of the moss against a scarifying rake or a machine."""
    own = specification.machines.get(name)
    model = next((each for each in tables.machines().values() if each.name == name), None)
    return _first(own and own.yield_share, model and model.yield_share) or 1.0


def most_slope_deg(name: str, specification: Specification) -> float:
    """Return the steepest ground a machine may work across [°]; a rake goes anywhere."""
    if kind(name, specification) == "rake":
        return float("inf")
    own = specification.machines.get(name)
    usual = tables.value("across_slope_deg").number
    return usual if own is None or own.most_slope_deg is None else own.most_slope_deg


def too_steep(slope_deg: Floats, name: str, specification: Specification) -> list[str]:
    """Return what is said of each slope that is steeper than a machine may work across."""
    most = most_slope_deg(name, specification)
    return [
        f"{steep:.0f}° steep, and {most:.0f}° is the most for {name}: use what is made for banks"
        if steep > most
        else ""
        for steep in slope_deg
    ]


def held(names: Names, hours_h: Floats, specification: Specification) -> dict[str, Floats]:
    """Return the columns of what shakes: hours at the machine, and the most of them in a day.

    Both are NaN for what does not shake.
    """
    most = figures(names, lambda each: most_hours_a_day(each, specification))
    shakes = np.isfinite(most)
    return {
        "machine_hours": np.where(shakes, hours_h, np.nan),
        "most_hours_a_day": np.where(shakes, most, np.nan),
    }


def kind(name: str, specification: Specification) -> str:
    """Return the kind of a machine; empty when nothing is known of it."""
    own = specification.machines.get(name)
    model = _generic(name, own)
    return own.kind if own is not None else model.kind if model is not None else ""


def named(key: str) -> str:
    """Return the name of a generic machine."""
    return tables.machine(key).name


def mower(specification: Specification) -> str:
    """Return the widest mower to hand, else the generic one."""
    own = [each for each in specification.machines.values() if each.kind == "mower"]
    own.sort(key=lambda each: (-(each.width_m or 0.0), each.name))
    return own[0].name if own else named("rotary_mower")


def _generic(name: str, own: Machine | None) -> GenericMachine | None:
    """Return the generic machine of that name, else the first of the same kind."""
    all_of_them = tables.machines().values()
    by_name = next((each for each in all_of_them if each.name == name), None)
    if by_name is not None or own is None:
        return by_name
    return next((each for each in all_of_them if each.kind == own.kind), None)


def _first(own: Machine | float | None, generic: GenericMachine | float | None) -> float | None:
    """Return the figure of the user's own card, else that of the generic machine."""
    return next((each for each in (own, generic) if isinstance(each, int | float)), None)
