"""Amount, area and dose of a piece of work: any two give the third, and three must agree."""

from __future__ import annotations

import math
from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.processing.records.record_cells import VOLUME, Cells, plain

AGREE = 0.02  # what rounding on a label and on scales may differ by
DOSE_UNITS = {"g": ("g/m²", 1.0), "ml": ("ml/m²", 1.0), "l": ("l/m²", 1.0), "m³": ("l/m²", 1000.0)}
NO_DOSE = ("clearing", "aerating")  # the amount is what came off the lawn
WORKED_OUT, WHOLE_ZONE = "worked out", "the whole zone"


class Completed(NamedTuple):
    """Cells with what follows from them.

    Attributes
    ----------
    cells : dict of str to str
    how : dict of str to str
        How each cell that nobody typed came about, by column: worked out, or the whole zone.
    """

    cells: Cells
    how: dict[str, str]


def completed(cells: Cells, operation: str, zone_area_m2: float) -> Completed:
    """Return cells with amount, area and dose filled in as far as they follow from each other.

    Parameters
    ----------
    cells : dict of str to str
        As `record_cells.cells` made them.
    operation : str
    zone_area_m2 : float
        Ground area of the zone [m²], for work that nobody said the area of; where it is NaN
        or nothing is left of the zone, the area stays open.

    Raises
    ------
    InputRefused
        When the three do not agree.
    """
    found, how = dict(cells), {}
    amount, area, dose = (_number(found, name) for name in ("amount", "area_m2", "dose"))
    per, times = DOSE_UNITS[found["unit"]] if "unit" in found else (found.get("dose_unit", ""), 1.0)
    if not math.isnan(amount * dose) and per != found["dose_unit"]:
        raise InputRefused(
            f"amount is in {found['unit']} and dose in {found['dose_unit']}",
            remedy="Give both as weight or both as volume.",
        )
    if math.isnan(area) and not math.isnan(amount * dose):
        area = amount * times / dose
        how["area_m2"] = WORKED_OUT
    elif math.isnan(area) and zone_area_m2 > 0:
        area = zone_area_m2
        how["area_m2"] = WHOLE_ZONE
    if not math.isnan(area):
        found["area_m2"] = plain(round(area, 2))
    if operation in NO_DOSE or math.isnan(area):
        return Completed(found, how)
    if math.isnan(dose) and not math.isnan(amount):
        found |= {"dose": plain(round(amount * times / area, 4)), "dose_unit": per}
        how["dose"] = WORKED_OUT
    elif math.isnan(amount) and not math.isnan(dose):
        unit = "g" if per == "g/m²" else VOLUME.get(operation, "ml")
        per_unit = DOSE_UNITS[unit][1]
        found |= {"amount": plain(round(dose * area / per_unit, 3)), "unit": unit}
        how["amount"] = WORKED_OUT
    elif not math.isnan(amount) and "area_m2" not in how:
        _agree(amount * times / area, dose, found)
    return Completed(found, how)


def _agree(follows: float, dose: float, cells: Cells) -> None:
    if max(follows, dose) > min(follows, dose) * (1 + AGREE):
        per = cells["dose_unit"]
        raise InputRefused(
            f"{cells['amount']} {cells['unit']} on {cells['area_m2']} m² is {follows:.4g} {per}, "
            f"and the dose given is {dose:.4g} {per}",
            remedy="Leave out the one that is not sure: it follows from the other two.",
        )


def _number(cells: Cells, name: str) -> float:
    return float(cells[name]) if cells.get(name) else math.nan
