"""Days of hiring a machine, and what they cost."""

from __future__ import annotations

import math

from lawnmap.agronomy.vibration import hours_until
from lawnmap.logistics import costing
from lawnmap.model import Machine, Specification
from lawnmap.processing import machines
from lawnmap.reference import tables

USUAL_DAY_H = 7.0


def hours_a_day(machine: Machine, specification: Specification) -> float:
    """Return the hours that a machine runs in a day [h]: people's, its own, what shaking allows.

    Where vibration limits the hours of one person, people take turns.
    """
    crew = specification.choice("crew") or {}
    day = float(crew.get("hours_a_day") or USUAL_DAY_H)
    shaking = machines.vibration_m_s2(machine)
    turns = math.inf
    if shaking:
        limit = tables.value("hav_limit_points").number
        turns = float(hours_until(shaking, limit)) * int(crew.get("people") or 1)
    return min(machine.hours_a_day or day, day, turns)


def hire_days(machine: Machine, hours_h: float, specification: Specification) -> int:
    """Return the whole days of hire for some hours at a machine, and not fewer than its least."""
    a_day = hours_a_day(machine, specification)
    return costing.days(hours_h, a_day, least=machine.hire_least_days or 0)


def days_of_all(hours_h: float, specification: Specification) -> int:
    """Return the whole days of some hours of work with everybody at it."""
    crew = specification.choice("crew") or {}
    day = float(crew.get("hours_a_day") or USUAL_DAY_H) * int(crew.get("people") or 1)
    return costing.days(hours_h, day)


def hire_cost(machine: Machine, days: int) -> float | None:
    """Return the price of some days of hire, bringing included; None where nobody named one."""
    if machine.hire_a_day is None:
        return None
    return costing.hire(days, machine.hire_a_day, delivery=machine.hire_delivery or 0.0)
