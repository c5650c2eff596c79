"""What a site plan amounts to, in a few plain lines."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from lawnmap.cli.told import number, table
from lawnmap.errors import printable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lawnmap.jobs.overview import HeightFacts, Overview, PictureFacts
    from lawnmap.processing.entering.merge import Change

UNITS = {1.0: "metres", 0.01: "cm", 0.001: "mm", 0.3048: "feet", 0.0254: "inches", 0.9144: "yards"}
STRAIGHT_DEG = 0.05  # turned by less, rows run east for any eye
FINEST_M, MILLIMETRES_M = 0.00095, 0.0095  # below: less than 1 mm; told in millimetres
LONLAT = "OGC:CRS84"


def found(changes: Sequence[Change], overview: Overview) -> str:
    """Return what the plan holds kind by kind, and where and how large it is."""
    held = [change for change in changes if change.what != "kept"]
    counts = Counter(change.kind for change in held)
    rows = []
    for kind, count in counts.items():
        areas = [each.area_m2 for each in held if each.kind == kind]
        known = [area for area in areas if area is not None]
        rows.append([kind, f"{count:,}", number(sum(known) if known else None)])
    return "\n".join([table(["feature", "count", "m²"], rows), *_lines(overview)])


def _lines(overview: Overview) -> list[str]:
    said = [_place(overview)]
    if overview.size_m is not None:
        wide, high = overview.size_m
        said.append(f"Size: {wide:,.1f} m from west to east, {high:,.1f} m from south to north")
        if overview.placed_by == "nothing":
            said[-1] = f"Size: {wide:,.1f} by {high:,.1f} m"
    if overview.picture is not None:
        said += _picture(overview.picture)
    elif overview.step_m is not None:
        said.append(f"Coordinates: written to {step(overview.step_m)}")
    elif overview.placed_by in {"its CRS", "nothing"}:
        said.append("Coordinates: worked out, with no last decimal")
    if overview.sigma_m is not None:
        said.append(
            f"Corners: known to {_sigma(overview.sigma_m)} (standard error), where that is said"
        )
    if overview.heights is not None:
        said.append(_heights(overview.heights))
    return said


def _place(overview: Overview) -> str:
    """Return what puts the plan on the earth, or that nothing does."""
    if overview.crs_name:
        if overview.crs == LONLAT:
            return f"CRS: WGS 84 longitude and latitude ({LONLAT})"
        code = f" ({overview.crs})" if overview.crs else ""
        return printable(f"CRS: {overview.crs_name}{code}")
    unit = ""
    if overview.unit_m is not None:
        unit = f", in {UNITS.get(overview.unit_m, f'units of {overview.unit_m:g} m')}"
    if overview.placed_by == "nothing":
        return f"CRS: none, a plan of its own{unit}"
    return f"CRS: none of its own, placed by {overview.placed_by}{unit}"


def _picture(picture: PictureFacts) -> list[str]:
    turn = picture.turn_deg
    way = "anticlockwise" if turn > 0 else "clockwise"
    turned = f"turned {abs(turn):.1f}° {way}" if abs(turn) > STRAIGHT_DEG else "not turned"
    return [
        f"Picture: {picture.width:,} by {picture.height:,} pixels of {_pixel(picture.pixel_m)}, "
        f"{turned}",
        f"Placed by: {picture.placed_by}",
    ]


def _pixel(metres: float) -> str:
    return f"{metres * 100:.3g} cm" if metres < 1 else f"{metres:.3g} m"


def _heights(heights: HeightFacts) -> str:
    grid = (
        "" if heights.shape is None else f" in {heights.shape[0]:,} by {heights.shape[1]:,} cells"
    )
    return f"Heights: {heights.count:,}{grid}, {heights.low_m:,.2f} to {heights.high_m:,.2f} m"


def step(metres: float) -> str:
    """Return the last decimal of coordinates on the ground, rounded to one figure.

    Examples
    --------
    >>> step(0.1113), step(0.01), step(0.0011), step(0.00001), step(11_132)
    ('0.1 m', '0.01 m', '1 mm', 'less than 1 mm', '10,000 m')
    """
    if metres < FINEST_M:
        return "less than 1 mm"
    if metres < MILLIMETRES_M:
        return f"{float(f'{metres * 1000:.1g}'):g} mm"
    return f"{float(f'{metres:.1g}'):,g} m"


def _sigma(known: tuple[float, float]) -> str:
    least, most = (f"{each:.2g}" for each in known)
    return f"±{least} m" if least == most else f"±{least} to ±{most} m"
