"""Machines and tools to hand: the user's own, or generic ones of no make."""

from __future__ import annotations

from functools import cache

from lawnmap.model import Machine, Specification
from lawnmap.reference import tables


@cache
def _generic() -> dict[str, Machine]:
    return {
        each.name: Machine(
            name=each.name,
            kind=each.kind,
            width_m=each.width_m,
            speed_km_h=each.speed_km_h,
            box_l=each.box_l,
            tank_l=each.tank_l,
            water_l_m2=each.water_l_m2,
            most_slope_deg=each.most_slope_deg,
            vibration_m_s2=each.vibration_m_s2,
            yield_share=each.yield_share,
        )
        for each in tables.machines().values()
    }


def generic() -> dict[str, Machine]:
    """Return the generic machines by name, for a depot that names none of its own.

    Their rate of work is a range and stays in the reference table, so they carry none.
    """
    return dict(_generic())


def named(name: str, specification: Specification) -> Machine | None:
    """Return a machine by name, the user's own before the generic one; None when there is none."""
    return specification.machines.get(name) or _generic().get(name)


def vibration_m_s2(machine: Machine) -> float | None:
    """Return how a machine shakes [m/s²]: its card's figure, else that of its kind; None if not."""
    if machine.vibration_m_s2 is not None:
        return machine.vibration_m_s2
    return next((each.vibration_m_s2 for each in _generic().values() if each.kind == machine.kind),
                None)  # fmt: skip


def of_no_make(machine: Machine) -> bool:
    """Tell whether a machine stands in for one that nobody has a card of."""
    return machine == _generic().get(machine.name)


def speed_km_h(machine: Machine) -> float:
    """Return how fast a machine works [km/h]: as its card says, else its kind; NaN if unknown."""
    if machine.speed_km_h is not None:
        return machine.speed_km_h
    of_kind = (each.speed_km_h for each in _generic().values() if each.kind == machine.kind)
    return next((each for each in of_kind if each is not None), float("nan"))
