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
