"""A zone between a baseline and its offsets: the areas that books give, beside ours."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.offsets import equal_interval, simpson, trapezoidal
from lawnmap.readers.tape.drawings import Drawn
from lawnmap.readers.tape.sheet import Offset, Sheet

Floats = npt.NDArray[np.float64]

ENDS_M = 0.005  # an offset this near an end of the baseline stands at it
LEAST = 3  # offsets for an arc


def areas_by_offsets(each: Drawn, sheet: Sheet, area_m2: float) -> str | None:
    """Return a sentence with the areas by offsets, or None for a zone of another form.

    Parameters
    ----------
    each : Drawn
    sheet : Sheet
    area_m2 : float
        By the coordinates of its corners.
    """
    if each.kind != "outline":
        return None
    for base in dict.fromkeys((offset.start, offset.end) for offset in sheet.offsets):
        strip = _strip(each, sheet, base)
        if strip is not None:
            return _sentence(each, base, strip, area_m2)
    return None


def _strip(each: Drawn, sheet: Sheet, base: tuple[str, str]) -> tuple[Floats, Floats] | None:
    """Return where the offsets stand and how long they are, when they bound the zone."""
    if not set(base) <= set(each.points):
        return None
    offsets = {one.point: one for one in sheet.offsets if (one.start, one.end) == base}
    between = _between(each.points, base)
    length = next(
        (line.length_m for line in sheet.lines if {line.start, line.end} == set(base)), None
    )
    if length is None or between is None or not all(name in offsets for name in between):
        return None
    row: list[Offset] = [offsets[name] for name in between]
    lefts = [one.left_m for one in row]
    along = [one.along_m for one in row]
    if (
        not row
        or min(lefts) * max(lefts) < 0
        or along != sorted(along)
        or along[-1] > length + ENDS_M
    ):
        return None
    width = [abs(left) for left in lefts]
    if along[0] > ENDS_M:
        along, width = [0.0, *along], [0.0, *width]
    if along[-1] < length - ENDS_M:
        along, width = [*along, length], [*width, 0.0]
    return np.array(along), np.array(width)


def _between(points: list[str], base: tuple[str, str]) -> list[str] | None:
    """Return the corners from the first end of the base line round to the second."""
    at = points.index(base[0])
    round_ = [*points[at:], *points[:at]]
    if round_[-1] == base[1]:
        return round_[1:-1]
    return round_[:1:-1] if round_[1] == base[1] else None


def _sentence(
    each: Drawn, base: tuple[str, str], strip: tuple[Floats, Floats], area_m2: float
) -> str:
    along, width = strip
    name = each.properties.get("name") or each.place
    interval = equal_interval(along)
    said = (
        f"{name} by its offsets from {base[0]} to {base[1]}: {trapezoidal(along, width):.2f} m² "
        "with straight edges between them (trapezoidal rule)"
    )
    if interval is not None and len(along) >= LEAST:
        said += f", {simpson(width, interval):.2f} m² with a curved edge (Simpson's rule)"
    return f"{said}; {area_m2:.2f} m² by coordinates, which is what is used."
