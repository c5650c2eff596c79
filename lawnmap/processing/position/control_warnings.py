"""What a person should know of a fit of control points, in whole sentences."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.fit import LEAST, WORDS, Affine
from lawnmap.geometry.local import UNITS_M
from lawnmap.geometry.uncertainty import NORMAL_95
from lawnmap.processing.replying.agreement import Agreement

Floats = npt.NDArray[np.float64]

SCALE_NOTED = 0.001  # from one per mille on, the plan's own lengths and the earth's disagree
UNIT_NEAR = 0.01  # how near a scale is to a unit of length to be taken for it
UNEVEN_NOTED = 0.01  # of the scales along x and y, or in the angle between them: a bent scan
NARROW = 0.1  # width to length of the points, below which an affine's second scale is a guess
FAR = 2.0  # times as far from the middle as the control points
ONE_MORE = {2: "a third", 3: "a fourth"}


def of(made: Agreement, source: Floats, unit_m: float | None) -> tuple[str, ...]:
    """Return what a person should know of a fit.

    Parameters
    ----------
    made : Agreement
    source : (n, 2) array
        The points in the plan, y upwards.
    unit_m : float or None
        Metres to one unit of the plan, where that is known.
    """
    return (
        *_check(made),
        *_affine(made, source),
        *([] if made.picture or made.suspect else _scale(made, unit_m)),
    )


def reach(made: Agreement, xy: Floats) -> tuple[str, ...]:
    """Return a warning when places of the plan lie far outside the control points."""
    times = made.reach(xy)
    if times <= FAR:
        return ()
    return (
        f"The plan reaches {times:,.1f} times as far from the middle of the control points as they "
        "do, and so are their errors enlarged: choose points round the whole site.",
    )


def _check(made: Agreement) -> list[str]:
    if not made.fit.checked:
        least = LEAST[made.control.kind]
        return [
            f"{WORDS[made.control.kind].capitalize()} points always fit: there is no check. "
            f"Give {ONE_MORE[least]} to have one."
        ]
    if made.suspect is None:
        return []
    off = math.hypot(*made.suspect.off)
    return [
        f"Control point {made.names[made.suspect.which]} does not agree with the others: it is "
        f"{off:,.2f} m off."
    ]


def _affine(made: Agreement, source: Floats) -> list[str]:
    found = made.fit
    if not isinstance(found, Affine):
        return []
    said = []
    if found.mirrored:
        said.append("The plan is seen from behind: is x given before y in the control points?")
    uneven = max(found.scale_x, found.scale_y) / min(found.scale_x, found.scale_y) - 1
    lean = abs(math.degrees(found.shear))
    if uneven > UNEVEN_NOTED or abs(math.tan(found.shear)) > UNEVEN_NOTED:
        said.append(
            f"The plan comes out {uneven:.1%} longer one way than the other and leaning by "
            f"{lean:.1f}°: it is bent, or a control point is wrong."
        )
    long, narrow = np.linalg.svd(source - source.mean(axis=0), compute_uv=False)
    if narrow < NARROW * long:
        said.append(
            "The control points lie nearly on a line, and say little of the plan across it: add "
            "one to the side, or fit a similarity."
        )
    return said


def _scale(made: Agreement, unit_m: float | None) -> list[str]:
    scale = made.fit.scale
    unit = next((name for name, m in UNITS_M.items() if abs(scale / m - 1) < UNIT_NEAR), None)
    if unit_m is None and unit != "m":
        return [
            f"One unit of the plan comes out as {scale:.6g} m"
            + (f": it is in {unit}." if unit else ": compare that with a length you know.")
        ]
    times = scale / (unit_m or 1.0)
    if abs(times - 1) <= SCALE_NOTED:
        return []
    looks = (
        f" The plan looks as if it were in {unit}." if unit and abs(times - 1) > UNIT_NEAR else ""
    )
    known = made.scale_sigma
    sure = f" (the points say it to ±{NORMAL_95 * known:.2%})" if known is not None else ""
    return [
        f"The control points make the plan {times:.4f} times its own size{sure}, and areas "
        f"{times**2:.4f} times: check the plan's unit and the points.{looks}"
    ]
