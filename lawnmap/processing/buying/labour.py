"""How long the blades and what they bring up take here: vibration, days, and how many people."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.machines import named
from lawnmap.reference import tables
from lawnmap.schema import DO

CLEARING = "clearing"
PASSES = ("raking", "scarifying")
SLACK = 1e-9


def labour(steps: pd.DataFrame, specification: Specification) -> tuple[str, ...]:
    """Return what is to be said of long work: a day at a machine, and days or people.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    specification : Specification
        People and hours a day under ``crew``.
    """
    live = steps[steps["status"] == DO]
    return (*_vibration(live), *_days(live, specification))


def _vibration(live: pd.DataFrame) -> Iterator[str]:
    """Say of each machine that shakes for longer than the action value allows in one day."""
    action, limit = (tables.value(f"hav_{each}_points").number for each in ("action", "limit"))
    shaking = live[(live["machine_hours"] > 0) & (live["most_hours_a_day"] > 0)]
    for name, rows in shaking.groupby("machine", sort=True):
        most, hours = float(rows["most_hours_a_day"].min()), math.fsum(rows["machine_hours"])
        until = most * action / limit
        if hours > until:
            row = {"machine": name, "machine_hours": hours, "most_hours_a_day": most}
            reached = f"{action:g} points are reached in {until:.3g} h."
            yield f"{tables.sentence('vibration_day', row)} {reached}"


def _days(live: pd.DataFrame, specification: Specification) -> Iterator[str]:
    """Say how many days or people blades and clearing take when they are more than one day."""
    crew = specification.choice("crew") or {}
    a_day, people = float(crew.get("hours_a_day") or 7.0), int(crew.get("people") or 1)
    blades = live[live["operation"].isin(PASSES)]
    both = live[live["operation"].isin((*PASSES, CLEARING))]
    if specification.choice("user") != "professional" or both.empty:
        return
    low, high = (math.fsum(both[each].fillna(0.0)) for each in ("hours_low", "hours"))
    days = _whole(high / (a_day * people))
    if days == 1:
        return
    machine = max(
        (_machine_days(rows, str(name), a_day, people, specification)
         for name, rows in blades.groupby("machine", sort=True)),
        default=1,
    )  # fmt: skip
    first = _whole(low / (a_day * people))
    span = f"{days}" if first == days else f"{first} to {days}"
    fewest, most = (_whole(each / (a_day * machine)) for each in (low, high))
    hands = _counted(most, "person", "people")
    yield (
        f"Blades and clearing are {low:.0f} to {high:.0f} h of one person: {span} days for "
        f"{_counted(people, 'person', 'people')} at {a_day:g} h. The machines alone need "
        f"{_counted(machine, 'day')}; to clear in that time takes "
        f"{hands if fewest == most else f'{fewest} to {hands}'}."
    )


def _machine_days(
    rows: pd.DataFrame, name: str, a_day: float, people: int, specification: Specification
) -> int:
    """Return the days that one kind of machine is out, people taking turns at it."""
    machine = named(name, specification)
    count = 1 if machine is None else machine.count
    most = rows["most_hours_a_day"].min()
    held = a_day if math.isnan(most) else min(a_day, float(most) * people)
    return _whole(math.fsum(rows["hours_low"].fillna(0.0)) / (held * count))


def _whole(number: float) -> int:
    return max(1, math.ceil(number - SLACK))


def _counted(number: int, one: str, more: str = "") -> str:
    return f"{number} {one if number == 1 else more or one + 's'}"
