"""Which calibrations a plan rests on, and whether they may be relied on today."""

from __future__ import annotations

import datetime as dt

import pandas as pd

from lawnmap.model import Machine, Specification
from lawnmap.reference import tables
from lawnmap.reference.tables import shown
from lawnmap.schema import DO

CLOSE = 1e-9


def doubts(steps: pd.DataFrame, specification: Specification, *, today: dt.date) -> tuple[str, ...]:
    """Return what is to be said of every calibrated machine that sprays: whole sentences.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``.
    specification : Specification
        Its machines hold what they were found to put on.
    today : date
    """
    wet = steps[(steps["status"] == DO) & (steps["kind"] == "spray") & (steps["water_l"] > 0)]
    said = []
    for name, rows in wet.groupby("machine", sort=True):
        machine = specification.machines.get(str(name))
        if machine is not None and machine.calibrated is not None:
            said += [_found(machine, machine.calibrated, today), *_other(machine, rows)]
    return tuple(said)


def _found(machine: Machine, day: dt.date, today: dt.date) -> str:
    old = (today - day).days
    again = (
        f", {old} days ago. Calibrate it again"
        if old > tables.value("calibration_old_days").number
        else ""
    )
    return f"{machine.name} was calibrated on {day} at {shown(machine.water_l_m2)} l/m²{again}."


def _other(machine: Machine, rows: pd.DataFrame) -> list[str]:
    """Return for which products the applicator has to be set anew."""
    off = tables.value("rate_off_share").number + CLOSE
    wanted = (rows["water_l"] / rows["area_m2"]).groupby(rows["product"]).first()
    return [
        f"{product} is planned at {shown(water)} l/m² by its label: set the applicator for that "
        "and calibrate it again."
        for product, water in wanted.items()
        if abs(water / (machine.water_l_m2 or water) - 1) > off
    ]
