"""What else would do in place of the blades chosen, with its hours and its hire: a choice."""

from __future__ import annotations

from typing import Any

import numpy as np

from lawnmap.model import Specification
from lawnmap.reference import tables
from lawnmap.treatments import hire, spells, work

RAKE = "rake"
MOTORS = ("electric", "battery", "petrol", "tractor")
ASK = "for hire: ask the price, and measure the gate"


def beside(zone: dict[Any, Any], specification: Specification) -> str:
    """Return the other ways to do the passes of a zone in words.

    Who has no machine at all is shown one of no make, as a hire shop would have it.

    Parameters
    ----------
    zone : dict
        A row of the zones with the columns of the step ``choose``.
    specification : Specification
    """
    if zone["blades_rule"] == "blades_young":
        return ""  # nor does any other
    others = [each for each in str(zone["blades_others"]).split("; ") if each]
    told = [_said(each, zone, specification) for each in others]
    level = float(zone["slope_deg"]) <= tables.value("across_slope_deg").number
    if level and not any(each.kind in MOTORS for each in specification.machines.values()):
        told.append(_said(_of_a_shop(float(zone["ground_area_m2"])), zone, specification))
    return "; or ".join(told)


def _of_a_shop(area_m2: float) -> str:
    """Return the machine of no make that suits so much ground."""
    small = area_m2 <= tables.value("electric_up_to_m2").number
    return work.named("electric_scarifier" if small else "petrol_scarifier")


def _said(name: str, zone: dict[Any, Any], specification: Specification) -> str:
    area, own = float(zone["ground_area_m2"]), specification.machines.get(name)
    full = float(zone["passes"]) * work.yield_share(str(zone["blades"]), specification)
    passes = round(full / work.yield_share(name, specification))
    low, high = (float(each) for each in work.hours(np.array(area), name, specification, passes))
    rake = work.kind(name, specification) == RAKE
    spell = spells.by_hand(low, high, specification) if rake else ""
    price = hire.said(own, high, specification) if own is not None else ASK
    hours = f"{tables.shown(low)} to {tables.shown(high)} h" if low != high else f"{low:.3g} h"
    return ", ".join(part for part in (f"{name}: {hours} of passes", spell, price) if part)
