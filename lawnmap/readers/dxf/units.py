"""In which unit a drawing is: what its header says, whether that can be, and what to ask."""

from __future__ import annotations

from lawnmap.errors import InputRefused
from lawnmap.geometry.local import UNITS_M

# $INSUNITS of the DXF reference of Autodesk: metres to a unit. 0 is "unitless".
HEADER_M = {
    1: 0.0254,
    2: 0.3048,
    3: 1609.344,
    4: 0.001,
    5: 0.01,
    6: 1.0,
    7: 1000.0,
    8: 0.0254e-6,
    9: 0.0254e-3,
    10: 0.9144,
    11: 1e-10,
    12: 1e-9,
    13: 1e-6,
    14: 0.1,
    15: 10.0,
    16: 100.0,
    17: 1e9,
    18: 149_597_870_700.0,
    19: 9_460_730_472_580_800.0,
    20: 3.0856775814913673e16,
    21: 1200 / 3937,
    22: 100 / 3937,
    23: 3600 / 3937,
    24: 5280 * 1200 / 3937,
}
NAMES = {7: "km", 14: "dm", 21: "US survey feet", 22: "US survey inches", 23: "US survey yards"}

SMALLEST_M, LARGEST_M = 1.0, 20_000.0  # across, a drawing of a site
SMALLEST_M2, LARGEST_M2 = 1.0, 1_000_000.0  # the largest outline on it
OFFERED = ("m", "cm", "mm", "ft", "in")
IMPERIAL, METRIC = 0, 1  # $MEASUREMENT


def checked(units: str | None) -> str | None:
    """Return the unit a person gave.

    Raises
    ------
    InputRefused
        For one that is not known.
    """
    if units is not None and units not in UNITS_M:
        raise InputRefused(f"--units is {units!r}", remedy=f"It can be: {', '.join(UNITS_M)}.")
    return units


def name(unit_m: float) -> str:
    """Return what a unit is called."""
    called = {metres: each for each, metres in UNITS_M.items()}
    called |= {HEADER_M[code]: each for code, each in NAMES.items()}
    return called.get(unit_m, f"units of {unit_m:g} m")


def doubt(unit_m: float | None, size: tuple[float, float], largest: float) -> str:
    """Return why the header's unit cannot be taken, or nothing.

    Parameters
    ----------
    unit_m : float or None
        Metres to a unit, as the header says.
    size : tuple of float
        Of the whole drawing, in its units.
    largest : float
        Area of its largest outline, in its units squared; 0 for none.
    """
    if unit_m is None:
        return "does not say in which unit it is drawn"
    across, area = max(size) * unit_m, largest * unit_m**2
    if not SMALLEST_M <= across <= LARGEST_M:
        words = f"it would be {_number(across)} m across"
    elif largest and not SMALLEST_M2 <= area <= LARGEST_M2:
        words = f"its largest outline would have {_area(area)}"
    else:
        return ""
    return f"says that it is drawn in {name(unit_m)}, and then {words}"


def question(problem: str, size: tuple[float, float], measurement: int | None) -> InputRefused:
    """Return the refusal that asks for the unit, with the drawing's size in each."""
    shown = "; ".join(f"as {unit} {_size(size, UNITS_M[unit])}" for unit in OFFERED)
    hint: dict[int | None, str] = {
        IMPERIAL: ". Its settings are imperial",
        METRIC: ". Its settings are metric",
    }
    return InputRefused(
        f"{problem}. Over all it is: {shown}{hint.get(measurement, '')}",
        remedy="Say which with --units m, cm, mm, ft, in or yd.",
    )


def _size(size: tuple[float, float], unit_m: float) -> str:
    wide, high = (_number(side * unit_m) for side in size)
    return f"{wide} x {high} m"


def _number(metres: float) -> str:
    return f"{metres:,.0f}" if metres >= 1000 else f"{metres:.3g}"  # noqa: PLR2004 - for reading


def _area(area: float) -> str:
    return f"{area:.3g} m²" if area < SMALLEST_M2 else f"{area / 1e4:,.0f} ha"
