"""The band of a class in figures."""

from __future__ import annotations

from lawnmap.exports.wording.amounts import quantity, span
from lawnmap.pages.words import word

INFINITY = float("inf")


def band_label(lower: float, upper: float, unit: str, units: str = "metric") -> str:
    r"""Return the band of a class in figures, without a judgement that depends on the turf.

    Examples
    --------
    >>> band_label(5, 25, "%"), band_label(25, INFINITY, "mm")
    ('5 to 25\xa0%', 'over 25\xa0mm')
    """
    if upper == lower:
        return word("span.none")
    if lower == 0:
        return word("span.under", high=quantity(upper, unit, units))
    if upper == INFINITY or (unit == "%" and upper >= 100):  # noqa: PLR2004 - all of it
        return word("span.over", low=quantity(lower, unit, units))
    return span(lower, upper, unit, units)
