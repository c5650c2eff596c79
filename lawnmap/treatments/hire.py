"""Days and cost of hiring a machine for some hours."""

from __future__ import annotations

import math
from typing import NamedTuple

from lawnmap.logistics import costing
from lawnmap.model import Machine, Specification
from lawnmap.treatments import work

USUAL_DAY_H = 7.0
SLACK = 1e-9


class Hire(NamedTuple):
    """Whole days of hire, and what they cost; None where the card has no price."""

    days: int
    cost: float | None


def hire(machine: Machine, hours: float, specification: Specification) -> Hire:
    """Return the hire of one machine, on as few days as people, vibration and the shop allow.

    Parameters
    ----------
    machine : Machine
        With ``hire_a_day`` and ``hire_least_days`` from its card.
    hours : float
        Hours of one person at the machine [h].
    specification : Specification
        Hours of work a day. People take turns at the machine, so vibration caps their sum.
    """
    crew = specification.choice("crew") or {}
    a_day = float(crew.get("hours_a_day") or USUAL_DAY_H)
    shared = work.most_hours_a_day(machine.name, specification) * int(crew.get("people") or 1)
    days = max(1, math.ceil(hours / min(a_day, shared) - SLACK), machine.hire_least_days or 1)
    if machine.hire_a_day is None:
        return Hire(days, None)
    delivery = machine.hire_delivery or 0.0
    return Hire(days, costing.hire(days, machine.hire_a_day, delivery=delivery))


def said(machine: Machine, hours: float, specification: Specification) -> str:
    """Return the hire in words; empty for a machine of one's own."""
    if not machine.hire_a_day:
        return ""
    found = hire(machine, hours, specification)
    money = str((specification.choice("money") or {}).get("currency") or "").strip()
    days = "1 day" if found.days == 1 else f"{found.days} days"
    brought = f" and {machine.hire_delivery:g} to bring it" if machine.hire_delivery else ""
    return f"hire for {days} at {machine.hire_a_day:g}{brought}: {found.cost:g} {money}".rstrip()
