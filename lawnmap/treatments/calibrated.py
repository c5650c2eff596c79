"""What a row says of the calibration that its water or its setting rests on."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.agronomy.catching import CatchTest, nearest, setting_for
from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.reference.tables import shown

CLOSE = 1e-9


class Setting(NamedTuple):
    """What each row says of its spreader, behind its remark and its flag."""

    remark: npt.NDArray[np.object_]
    flag: npt.NDArray[np.object_]


def remarks(
    machine: npt.NDArray[Any], water_l_m2: npt.NDArray[np.float64], specification: Specification
) -> npt.NDArray[np.object_]:
    """Return ``. Calibrated on DAY: x l/m²`` for each row whose water was measured, else nothing.

    Parameters
    ----------
    machine : array of str, shape (n,)
    water_l_m2 : array, shape (n,)
        Water that is planned [l/m²]; where the label wants another than was measured, nothing rests
        on the calibration.
    specification : Specification
    """
    said = np.full(len(machine), "", dtype=object)
    for place, (name, water) in enumerate(zip(machine, water_l_m2, strict=True)):
        own = specification.machines.get(name)
        if own is not None and own.calibrated is not None and water == own.water_l_m2:
            said[place] = f". Calibrated on {own.calibrated}: {shown(water)} l/m²"
    return said


def settings(
    machine: npt.NDArray[Any],
    product: str,
    dose: Any,
    specification: Specification,
    flag: Any = "",
) -> Setting:
    """Return ``. Setting 4 gave 17.4 g/m² on DAY by catch test`` and what is wrong with it.

    Parameters
    ----------
    machine : array of str, shape (n,)
    product : str
    dose : float or array, shape (n,)
        On the ground, all runs together [g/m²]. Each run puts on its share of it.
    specification : Specification
    flag : str or array of str, shape (n,)
        What is to be looked at twice already; the spreader's own stands behind it.
    """
    remark = np.full(len(machine), "", dtype=object)
    flags = np.array(np.broadcast_to(np.asarray(flag, dtype=object), len(machine)))
    runs = tables.value("half_rate_runs").number
    for place, (name, whole) in enumerate(
        zip(machine, np.broadcast_to(dose, len(machine)), strict=True)
    ):
        own = specification.machines.get(name)
        tests = own.tests_of(product) if own is not None and own.kind == "spreader" else ()
        if tests and whole > 0:
            remark[place], own_flag = _told(tests, whole / runs)
            flags[place] = "; ".join(each for each in (flags[place], own_flag) if each)
    return Setting(remark, flags)


def _told(tests: tuple[CatchTest, ...], a_run: float) -> tuple[str, str]:
    test = tests[nearest([each.rate_g_m2 for each in tests], a_run)]
    at = f"Setting {test.setting}" if test.setting else "The spreader"
    remark = f". {at} gave {shown(test.rate_g_m2)} g/m² on {test.day} by catch test"
    off = test.rate_g_m2 / a_run - 1
    if abs(off) <= tables.value("rate_off_share").number + CLOSE:
        return f"{remark}: right for a half-rate run", ""
    tried = [(float(each.setting), each.rate_g_m2) for each in tests if _is_number(each.setting)]
    setting = setting_for(tried, a_run)
    todo = f"{'close' if off > 0 else 'open'} it a little"
    if setting is not None:
        todo = f"try setting {shown(setting)}, between two that were tried"
    return remark, f"a half-rate run wants {shown(a_run)} g/m²: {todo}, and catch again"


def _is_number(setting: str) -> bool:
    return setting.replace(".", "", 1).isdecimal()
