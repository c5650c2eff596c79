"""The unit in which a US or a British reader reads a metric figure, and how much one of it is.

Every factor is built from exact definitions: the international yard and pound of 1959 (1 in =
25.4 mm, 1 lb = 453.59237 g), the US gallon of 231 cubic inches and the imperial gallon of 4.54609 l
(NIST Handbook 44, appendix C; Units of Measurement Regulations 1995, SI 1995/1804). Ounces are
avoirdupois. A volume always says whose it is, since an imperial gallon is a fifth larger.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from lawnmap.agronomy.field_units import IN_M, KINDS
from lawnmap.agronomy.label_units import GALLON_ML, UNITS

METRIC, IMPERIAL, US = "metric", "imperial", "us"
SYSTEMS = (METRIC, IMPERIAL, US)
CELSIUS, FAHRENHEIT = "°C", "°F"
BULK = " loose"  # behind a unit: a volume that is heaped, not poured
CLOSE = 1e-9


class Unit(NamedTuple):
    """A unit to read in, how much of the metric unit it is, and the fewest of it that are read."""

    name: str
    size: float
    least: float = 1.0


_LB, _OZ, _FT, _FT2 = UNITS["lb"][1], UNITS["oz"][1], 12 * IN_M, UNITS["ft2"][1]
_YD2, _ACRE, _MPH = UNITS["yd2"][1], UNITS["acre"][1], KINDS["speed"][1]["mph"]
_PSI = KINDS["pressure"][1]["psi"]
_FT3_L = _FT**3 * 1000
_US_GAL, _IMP_GAL = GALLON_ML["US"] / 1000, GALLON_ML["imperial"] / 1000  # [l]
# Liquids [l]: the largest of which there is a whole one is read.
_LIQUID = {
    US: (Unit("US gal", _US_GAL), Unit("US fl oz", _US_GAL / 128)),
    IMPERIAL: (
        Unit("imp gal", _IMP_GAL), Unit("imp pt", _IMP_GAL / 8), Unit("imp fl oz", _IMP_GAL / 160)
    ),
}  # fmt: skip
# What a rate is counted on, and how many square metres that is.
_GROUND = {
    US: Unit("1000 sq ft", 1000 * _FT2),
    IMPERIAL: Unit("100 sq yd", 100 * _YD2),
}
_LOOSE = (Unit("cu yd", 27 * _FT3_L), Unit("cu ft", _FT3_L))
_SAME = {  # read alike by both
    "g": (Unit("lb", _LB), Unit("oz", _OZ)),
    "kg": (Unit("lb", _LB / 1000), Unit("oz", _OZ / 1000)),
    "t": (Unit("lb", _LB / 1e6),),
    "mm": (Unit("in", 1000 * IN_M),),
    "cm": (Unit("in", 100 * IN_M),),
    "m": (Unit("ft", _FT), Unit("in", IN_M)),
    "ha": (Unit("acres", _ACRE / 10_000),),
    f"l{BULK}": _LOOSE,
    "m³": tuple(Unit(each.name, each.size / 1000) for each in _LOOSE),
    "m³/h": (Unit("cu yd/h", 27 * _FT3_L / 1000),),
    "kg/ha": (Unit("lb per acre", _LB / 1000 * 10_000 / _ACRE),),
    "kg/m³": (Unit("lb per cu ft", _LB / _FT3_L),),
    "kg/l": (Unit("lb per cu ft", _LB / 1000 / _FT3_L),),
    "km/h": (Unit("mph", _MPH),),
    "m/s": (Unit("mph", _MPH / 3.6),),
    "bar": (Unit("psi", _PSI),),
    "kPa": (Unit("psi", _PSI * 100),),
}


def _ladders(system: str) -> dict[str, tuple[Unit, ...]]:
    """Return the units of each metric one, largest first."""
    liquid, ground = _LIQUID[system], _GROUND[system]
    gallon = liquid[0]
    return {
        **_SAME,
        "l": liquid,
        "ml": tuple(Unit(each.name, each.size * 1000) for each in liquid),
        "l/min": (Unit(f"{gallon.name}/min", gallon.size),),
        "l/ha": (Unit(f"{gallon.name} per acre", gallon.size * 10_000 / _ACRE),),
        "g/l": (Unit(f"oz per {gallon.name}", _OZ / gallon.size),),
        "l/m²": _on(ground, gallon),
        f"l/m²{BULK}": _on(ground, Unit("cu ft", _FT3_L)),
        "ml/m²": _on(ground, *(Unit(each.name, each.size * 1000) for each in liquid)),
        "m²": (Unit("sq ft", _FT2) if system == US else Unit("sq yd", _YD2),),
        "m²/h": (Unit("sq ft/h", _FT2) if system == US else Unit("sq yd/h", _YD2),),
        # A tenth of a pound is still a pound on a bag of seed or feed.
        "g/m²": _on(ground, Unit("lb", _LB, 0.1), Unit("oz", _OZ)) if system == US
        else (Unit("oz per sq yd", _OZ / _YD2),),
        "kg/m²": _on(ground, Unit("lb", _LB / 1000)),
    }  # fmt: skip


def _on(ground: Unit, *amounts: Unit) -> tuple[Unit, ...]:
    return tuple(
        Unit(f"{each.name} per {ground.name}", each.size / ground.size, each.least)
        for each in amounts
    )


_READ = {system: _ladders(system) for system in (US, IMPERIAL)}


def unit_for(value: float, metric: str, system: str) -> Unit:
    """Return the unit in which a metric figure is read.

    Parameters
    ----------
    value : float
        In the metric unit; of a range its largest, so that both ends are read in one unit.
    metric : str
        Its unit, such as ``g``, ``l/m²`` or ``m³``; with BULK behind it for what is heaped.
    system : str
        One of SYSTEMS.

    Returns
    -------
    Unit
        `metric` itself, of size 1, where the reader reads it as it is: hours, per cent, degrees
        of slope, and degrees Celsius, which :func:`temperature` turns.

    Examples
    --------
    >>> unit_for(500.0, "g", "us").name, unit_for(10.0, "l", "imperial").name
    ('lb', 'imp gal')
    """
    units = _READ.get(system, {}).get(metric)
    if units is None:
        return Unit(metric.removesuffix(BULK), 1.0)
    enough = (each for each in units if abs(value) / each.size >= each.least - CLOSE)
    return next(enough, units[-1])


def rate_ground(system: str) -> Unit:
    """Return the ground that rates and prices are counted on, and how many m² that is."""
    return _GROUND.get(system, Unit("m²", 1.0))


def known(metric: str, system: str) -> bool:
    """Tell whether a figure in this unit is read otherwise in this system."""
    return metric in _READ.get(system, {}) or (metric == CELSIUS and system == US)


def temperature(celsius: float) -> float:
    """Return degrees Fahrenheit: exactly 1.8 °C + 32.

    Examples
    --------
    >>> temperature(8.0)
    46.4
    """
    return celsius * 1.8 + 32


def decimals(metric_decimals: int, size: float) -> int:
    """Return the decimals that lose nothing of a figure with so many in its metric unit.

    Parameters
    ----------
    metric_decimals : int
        Decimals of the metric figure.
    size : float
        How much of the metric unit one of the other is.

    Examples
    --------
    >>> decimals(0, 453.59237), decimals(1, 0.09290304)
    (3, 0)
    """
    return max(0, math.ceil(metric_decimals + math.log10(size) - CLOSE))


def acres(square_metres: float) -> float:
    """Return an area in acres of 4,840 square yards."""
    return square_metres / _ACRE
