"""What a row says of the calibration that its water rests on."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from lawnmap.model import Specification
from lawnmap.reference.tables import shown


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
