"""Which calibrations a plan rests on, and whether they may be relied on today."""

from __future__ import annotations

import datetime as dt

import pandas as pd

from lawnmap.agronomy.catching import nearest
from lawnmap.model import Machine, Specification
from lawnmap.reference import tables
from lawnmap.reference.tables import shown
from lawnmap.schema import DO

CLOSE = 1e-9
DRY = ("granules", "seed")


def doubts(steps: pd.DataFrame, specification: Specification, *, today: dt.date) -> tuple[str, ...]:
    """Return what is to be said of every calibrated sprayer and spreader: whole sentences.

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
    dry = steps[(steps["status"] == DO) & steps["kind"].isin(DRY) & (steps["dose"] > 0)]
    for (spread, product), rows in dry.groupby(["machine", "product"], sort=True):
        spreader = specification.machines.get(str(spread))
        if spreader is not None:
            said += _spread(spreader, str(product), rows["dose"], today)
    working = steps[steps["status"] == DO]["machine"]
    said += [
        _paced(each, each.paced)
        for name, each in sorted(specification.machines.items())
        if each.paced is not None and each.area_m2_h is None and (working == name).any()
    ]
    return tuple(said)


def _found(machine: Machine, day: dt.date, today: dt.date) -> str:
    water = shown(machine.water_l_m2)
    return f"{machine.name} was calibrated on {day} at {water} l/m²{_again(day, today)}."


def _again(day: dt.date, today: dt.date) -> str:
    old = (today - day).days
    if old <= tables.value("calibration_old_days").number:
        return ""
    return f", {old} days ago. Calibrate it again"


def _paced(machine: Machine, day: dt.date) -> str:
    """Return what the hours of a machine rest on where its width or speed was measured."""
    parts = [
        f"{shown(figure)} {unit}"
        for figure, unit in ((machine.width_m, "m wide"), (machine.speed_km_h, "km/h"))
        if figure
    ]
    return f"Hours with {machine.name} are by {' at '.join(parts)}, as measured on {day}."


def _spread(machine: Machine, product: str, doses: pd.Series, today: dt.date) -> list[str]:
    """Return what a spreader was found to put on of a product, and the doses it is not set for."""
    tests = machine.tests_of(product)
    if not tests:
        return []
    runs, off = (tables.value(each).number for each in ("half_rate_runs", "rate_off_share"))
    said = []
    for dose in sorted(set(doses)):
        test = tests[nearest([each.rate_g_m2 for each in tests], dose / runs)]
        at = f" at setting {test.setting}" if test.setting else ""
        said.append(
            f"{machine.name} put on {shown(test.rate_g_m2)} g/m² of {product}{at} on "
            f"{test.day}{_again(test.day, today)}."
        )
        if abs(test.rate_g_m2 * runs / dose - 1) > off + CLOSE:
            said.append(
                f"{product} is planned in {runs:g} runs of {shown(dose / runs)} g/m²: set "
                f"{machine.name} for that and calibrate it again."
            )
    return list(dict.fromkeys(said))


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
