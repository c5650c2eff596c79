"""What a person measures in a catch test, with the unit named: never a gallon of no country."""

from __future__ import annotations

import re
from fractions import Fraction

from lawnmap.agronomy.label_units import GALLON_ML, UNITS
from lawnmap.errors import InputRefused

IN_M, _LB_N, _FT2 = 0.0254, 4.4482216152605, UNITS["ft2"][1]  # exact: inch, pound-force
_ML = {
    f"{country} {name}": gallon / parts
    for country, gallon in GALLON_ML.items()
    for name, parts in (("gal", 1), ("qt", 4), ("pt", 8),
                        ("fl oz", 160 if country == "imperial" else 128))
}  # fmt: skip
_LITRES = {"ml": 0.001, "l": 1.0, **{unit: ml / 1000 for unit, ml in _ML.items()}}
_GRAMS = {unit: factor for unit, (measures, factor) in UNITS.items() if measures == "g"}
_AREAS = {
    "m2": 1.0, "ha": 1e4, "acre": UNITS["acre"][1], "ft2": _FT2, "1000 ft2": 1000 * _FT2,
    "yd2": UNITS["yd2"][1], "100 m2": 100.0,
}  # fmt: skip

# What is measured: the unit it is held in, and every unit it may be given in.
KINDS: dict[str, tuple[str, dict[str, float]]] = {
    "length": ("m", {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": IN_M, "ft": 12 * IN_M,
                     "yd": 36 * IN_M}),
    "time": ("s", {"s": 1.0, "min": 60.0}),
    "speed": ("km/h", {"km/h": 1.0, "m/s": 3.6, "m/min": 0.06, "mph": 1.609344}),
    "volume": ("l", _LITRES),
    "mass": ("g", _GRAMS),
    "water": ("l/m2", {f"{unit}/{area}": litres / m2 for unit, litres in _LITRES.items()
                       for area, m2 in _AREAS.items()}),
    "rate": ("g/m2", {f"{unit}/{area}": grams / m2 for unit, grams in _GRAMS.items()
                      for area, m2 in _AREAS.items()}),
    "pressure": ("bar", {"bar": 1.0, "kpa": 0.01, "psi": _LB_N / IN_M**2 / 1e5}),
}  # fmt: skip
_WORDS = {
    "litre": "l", "litres": "l", "liter": "l", "liters": "l", "lt": "l", "gram": "g", "grams": "g",
    "pound": "lb", "pounds": "lb", "lbs": "lb", "ounce": "oz", "ounces": "oz", "foot": "ft",
    "feet": "ft", "inch": "in", "inches": "in", "yard": "yd", "yards": "yd", "metre": "m",
    "metres": "m", "meter": "m", "meters": "m", "second": "s", "seconds": "s", "sec": "s",
    "minute": "min", "minutes": "min", "gallon": "gal", "gallons": "gal", "gals": "gal",
    "pint": "pt", "pints": "pt", "quart": "qt", "quarts": "qt", "fluid": "fl", "us": "US",
    "imp": "imperial", "uk": "imperial", "acres": "acre",
}  # fmt: skip
ON_GROUND = {"water": "volume on an area", "rate": "weight on an area"}
LONGEST = 60  # characters
_GIVEN = re.compile(r"(\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?|\.\d+) ?(\S.*)?", re.ASCII)
_OF_NO_COUNTRY = re.compile(r"(gal|qt|pt|fl oz)(/|$)")


def measured(text: str, kind: str, *, zero: bool = False) -> float:
    """Return a measurement such as ``7.5 US fl oz``, in the unit its kind is held in.

    Parameters
    ----------
    text : str
        A number, which may be a fraction, and its unit.
    kind : str
        One of KINDS.
    zero : bool
        Whether nothing at all is a good measurement, as in the last of a row of trays.

    Raises
    ------
    InputRefused
        For no unit, a unit of another kind, a gallon, quart, pint or fluid ounce of no country, a
        decimal comma, and anything not above zero.

    Examples
    --------
    >>> round(measured("2 imperial gal", "volume"), 3), round(measured("2 US gal", "volume"), 3)
    (9.092, 7.571)
    """
    held, units = KINDS[kind]
    if len(text) > LONGEST:
        raise InputRefused(f"{text[:LONGEST]!r}… is no measurement", remedy=f"Write 2.5 {held}.")
    plain = " ".join(text.replace("²", "2").split())
    if re.search(r"\d,\d", plain):
        raise InputRefused(f"{text!r} has a comma in its number", remedy="Write a point: 2.5.")
    match = _GIVEN.fullmatch(plain)
    if match is None:
        raise InputRefused(f"{text!r} is not a number and a unit", remedy=f"Write 2.5 {held}.")
    factor = _factor(text, _unit(match[2] or ""), kind, units)
    number, _, part = match[1].rpartition(" ")
    try:
        value = float(Fraction(number or 0) + Fraction(part)) * factor
    except (ZeroDivisionError, OverflowError):
        value = -1.0
    if not (value > 0 or (zero and value == 0)):
        raise InputRefused(f"{text!r} is not above zero", remedy="Measure it again.")
    return value


def _unit(text: str) -> str:
    """Return a unit as KINDS spells it."""
    parts = re.sub(r"\.(?!\d)", "", text.lower()).replace(" per ", "/").split("/")
    return "/".join(" ".join(_WORDS.get(word, word) for word in part.split()) for part in parts)


def _factor(text: str, unit: str, kind: str, units: dict[str, float]) -> float:
    if unit in units:
        return units[unit]
    if not unit:
        raise InputRefused(f"{text!r} names no unit", remedy=f"Write it in {KINDS[kind][0]}.")
    if kind in {"volume", "water"} and _OF_NO_COUNTRY.search(unit):
        raise InputRefused(
            f"{text!r} may be US or imperial, and an imperial gallon is a fifth larger",
            remedy="Write 'US gal' or 'imperial gal', 'US fl oz' or 'imperial fl oz'.",
        )
    if kind in {"volume", "water"} and unit.partition("/")[0] == "oz":
        raise InputRefused(
            f"{text!r} is a weight, and a volume is wanted",
            remedy="Write 'US fl oz' or 'imperial fl oz' for fluid ounces.",
        )
    short = [name for name in units if "100 m2" not in name][:12]
    raise InputRefused(
        f"{text!r} is not a {ON_GROUND.get(kind, kind)} that is known here",
        remedy=f"Units are {', '.join(short)}.",
    )
