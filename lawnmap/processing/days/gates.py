"""What has to be true on the day before a step begins: ticks on the sheet, go or no-go."""

from __future__ import annotations

from lawnmap.processing.days.waits import ROLE
from lawnmap.reference import tables

BY_FORM = {"liquid": "spray", "soluble": "spray", "lawn sand": "lawn sand", "granule": "lawn sand"}
BY_OPERATION = {"iron_liquid": "spray", "iron_soluble": "spray", "lawn_sand": "lawn sand"}


def gates(operation: str, form: str = "") -> tuple[str, ...]:
    """Return what to tick before a step, in words; none for a step that has no gates.

    Parameters
    ----------
    operation : str
        Name of the treatment.
    form : str
        Form of the iron (``liquid``, ``soluble``, ``lawn sand``, ``granule``), which then decides
        for an operation with iron that is not one of ours.
    """
    role = ROLE.get(operation, "")
    applies_to = BY_OPERATION.get(operation) or role or BY_FORM.get(form, operation)
    return tuple(each.sentence for each in tables.gates() if each.applies_to == applies_to)
