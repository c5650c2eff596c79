"""How well control points agree, as a surveyor reads it, and as JSON has it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from lawnmap.cli.told import table
from lawnmap.geometry.fit import LEAST, WORDS, Affine
from lawnmap.geometry.uncertainty import NORMAL_95

if TYPE_CHECKING:
    from lawnmap.jobs.place import PlaceReply
    from lawnmap.processing.position.control import Agreement

SECTORS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
FINE_M = 0.1  # root mean square below which millimetres are shown
HEAD = ("control point", "off m", "east m", "north m", "towards")
ONE_MORE = {2: "third", 3: "fourth", 4: "fifth", 5: "sixth"}


def report(made: Agreement) -> str:
    """Return the residuals, what was fitted, and what to do."""
    return "\n".join([_residuals(made), *_figures(made), advice(made)])


def data(made: Agreement) -> dict[str, Any]:
    """Return a fit of control points, as JSON has it."""
    found, doubt = made.fit, made.suspect
    told: dict[str, Any] = {
        "fit": made.control.kind,
        "checked": found.checked,
        "scale": found.scale,
        "scale_sigma": found.scale_sigma,
        "turn_deg": found.turn_deg,
        "rmse_m": found.rmse if found.checked else None,
        "corner_sigma_m": made.sigma_m,
        "residuals_m": [
            {"name": name, "off_m": math.hypot(east, north), "east_m": east, "north_m": north}
            for name, (east, north) in zip(made.names, found.residuals.tolist(), strict=True)
        ],
        "suspect": None,
        "advice": advice(made),
    }
    if isinstance(found, Affine):
        lean = math.degrees(found.shear)
        told |= {"scale_x": found.scale_x, "scale_y": found.scale_y, "shear_deg": lean}
    if doubt is not None:
        off = math.hypot(*doubt.off)
        name = made.names[doubt.which]
        told["suspect"] = {"name": name, "off_m": off, "others_within_m": doubt.within}
    return told


def place_data(reply: PlaceReply) -> dict[str, Any]:
    """Return how a site was placed, as JSON has it."""
    return {
        "saved": reply.saved,
        **data(reply.agreement),
        "area_before_m2": reply.area_before_m2,
        "area_after_m2": reply.area_after_m2,
    }


def place(reply: PlaceReply) -> str:
    """Return how a site was placed, for people."""
    return "\n".join(
        [
            report(reply.agreement),
            f"Lawn outlines {reply.area_before_m2:,.2f} m² before, "
            f"{reply.area_after_m2:,.2f} m² after.",
            f"Saved as revision {reply.site.revision}." if reply.saved else "Nothing was saved.",
        ]
    )


def _residuals(made: Agreement) -> str:
    """Return how far the plan puts each point from where it is on the ground."""
    digits = _digits(made)
    rows = [
        [
            name,
            f"{math.hypot(east, north):.{digits}f}",
            f"{_rounded(east, digits):+.{digits}f}",
            f"{_rounded(north, digits):+.{digits}f}",
            towards(east, north),
        ]
        for name, (east, north) in zip(made.names, made.fit.residuals.tolist(), strict=True)
    ]
    wide = [max(len(row[column]) for row in rows) for column in range(len(HEAD))]
    flush = [
        [cell.rjust(wide[column]) if column in {2, 3} else cell for column, cell in enumerate(row)]
        for row in rows
    ]
    return table(HEAD, flush)


def _digits(made: Agreement) -> int:
    """Return how many decimals of a metre are shown, the same in table and figures."""
    return 3 if made.fit.rmse < FINE_M else 2


def _rounded(metres: float, digits: int) -> float:
    return round(metres, digits) + 0.0  # never -0.00


def towards(east: float, north: float) -> str:
    """Return the compass direction of a shift; none of less than half a millimetre.

    Examples
    --------
    >>> towards(-1.0, 1.1), towards(0.0001, 0.0)
    ('NW', '')
    """
    if math.hypot(east, north) < 0.0005:  # noqa: PLR2004 - half the last digit that is shown
        return ""
    return SECTORS[round(math.degrees(math.atan2(east, north)) / 45) % 8]


def _figures(made: Agreement) -> list[str]:
    found = made.fit
    count, digits = len(made.names), _digits(made)
    turn = abs(found.turn_deg)
    way = "clockwise" if found.turn_deg < 0 else "anticlockwise"
    lines = [f"Fit: {made.control.kind} of {count} points, turned {turn:.2f}° {way}."]
    unit = "pixel" if made.picture else "unit of the plan"
    known = found.scale_sigma
    sure = "" if known is None else f" (±{known / found.scale:.2%}, one standard error)"
    lines.append(f"Scale: one {unit} is {found.scale:.6g} m on the ground{sure}.")
    if isinstance(found, Affine):
        lines.append(
            f"Along x {found.scale_x:.6g}, along y {found.scale_y:.6g}; the axes lean by "
            f"{math.degrees(found.shear):.2f}°."
        )
    if made.scale_sigma is not None and made.sigma_m is not None:
        area = 2 * NORMAL_95 * made.scale_sigma
        lines += [
            f"Root mean square {found.rmse:.{digits}f} m; a corner is known to "
            f"±{made.sigma_m:.{digits}f} m "
            "(one standard error, east and north).",
            f"The scale alone leaves any area uncertain by ±{area:.2%} (95 %).",
        ]
    return lines


def advice(made: Agreement) -> str:
    """Return what to do about the points."""
    found, doubt = made.fit, made.suspect
    count, least = len(made.names), LEAST[made.control.kind]
    if not found.checked:
        return (
            f"No check: {WORDS[made.control.kind]} points always fit, so nothing is known of their "
            f"errors. Add a {ONE_MORE[count]} and a {ONE_MORE[count + 1]}."
        )
    if doubt is not None:
        return (
            f"{made.names[doubt.which]} is {math.hypot(*doubt.off):,.2f} m off and the others "
            f"agree within {doubt.within:,.2f} m without it: check its typing, or leave it out."
        )
    if count < least + 2:
        few = "Three" if count == 3 else "Four"  # noqa: PLR2004 - the words for 3 and 4
        return f"{few} points cannot tell which one is wrong; add a {ONE_MORE[count]}."
    off = np.hypot(*found.residuals.T)
    worst = int(off.argmax())
    largest = f"{off[worst]:.{_digits(made)}f} m, at {made.names[worst]}"
    return f"No point stands out; the largest residual is {largest}."
