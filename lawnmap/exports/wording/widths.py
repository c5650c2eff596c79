"""How wide a strip is, in words."""

from __future__ import annotations

from lawnmap.exports.wording.amounts import beside, quantity


def clear(wide: float, units: str) -> str:
    r"""Return the width [m] of a strip as it was set; in other units beside it, never a hair less.

    Examples
    --------
    >>> clear(5.0, "metric").replace("\u00a0", " "), clear(5.0, "us").replace("\u00a0", " ")
    ('5 m', '5 m (16.5 ft)')
    """
    return quantity(wide, "m") + beside(wide, "m", units, up=True)
