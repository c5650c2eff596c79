"""Numbers as people read them: one number of digits that the number deserves, unit behind."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Any

from lawnmap.agronomy.unit_systems import (
    BULK,
    CELSIUS,
    FAHRENHEIT,
    METRIC,
    US,
    Unit,
    acres,
    decimals,
    unit_for,
)
from lawnmap.agronomy.unit_systems import temperature as fahrenheit
from lawnmap.exports.wording.switched import switched
from lawnmap.pages.words import word

THIN = "\u202f"  # groups of three digits: SI brochure, 9th edition, 5.4.4
SPACE = "\u00a0"
ENOUGH_DIGITS = 4  # the SI brochure leaves four digits together
# A thousand of the small unit is one of the large; three decimals then still show the small one.
LARGER = {"g": "kg", "ml": "l"}
THOUSAND = 999.5  # what rounds to a thousand
MINUTES = 60
LITRES_READ = 10_000  # from here on cubic metres read better


def missing(value: Any) -> bool:
    """Tell whether a cell is empty: None, NaN, NaT, or text of blanks."""
    if value is None:
        return True
    if isinstance(value, str):
        return not value.strip()
    try:
        return bool(value != value)  # noqa: PLR0124 - only NaN and NaT differ from themselves
    except TypeError:  # pandas.NA will not say
        return True


def currency(choices: Mapping[str, Any]) -> str:
    """Return the currency as it is to be printed; empty when money is not for this audience."""
    return text((choices.get("money") or {}).get("currency"))


def text(value: Any) -> str:
    """Return a cell as text; empty when it is."""
    return "" if missing(value) else str(value).strip()


def number(value: float, places: int = 0) -> str:
    """Return a number with at most so many `places` and grouped thousands.

    Examples
    --------
    >>> number(2.50, 2), number(412.3), number(1234.5, 1)
    ('2.5', '412', '1234.5')
    """
    exact = Decimal(str(float(value)))  # a half goes up, as on paper
    shown = f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"
    whole, _, rest = shown.partition(".")
    rest = rest.rstrip("0")
    sign, digits = ("\u2212", whole[1:]) if whole.startswith("-") else ("", whole)
    if len(digits) > ENOUGH_DIGITS:
        digits = f"{int(digits):,}".replace(",", THIN)
    if not rest and not digits.strip("0"):
        sign = ""
    return f"{sign}{digits}{word('number.point') if rest else ''}{rest}"


def plain(value: float) -> str:
    """Return a number with about three digits that count.

    Examples
    --------
    >>> plain(3.125), plain(62.5), plain(412.7), plain(0.0623)
    ('3.13', '62.5', '413', '0.062')
    """
    return number(value, decimals_of(value))


@switched
def quantity(value: float, unit: str, units: str = METRIC) -> str:
    """Return one amount with its unit: to the gram or millilitre, from a thousand on as kg or l.

    In another system it keeps every digit that the metric figure has.

    Examples
    --------
    >>> quantity(562.5, "g").replace(SPACE, " "), quantity(2312.6, "g").replace(SPACE, " ")
    ('563 g', '2.313 kg')
    >>> quantity(562.5, "g", "us").replace(SPACE, " ")
    '1.24 lb'
    """
    exact = unit in LARGER
    value, unit = _scaled(value, unit, value)
    places = 3 if exact and unit in LARGER.values() else _decimals(value, unit)
    return _with_unit(*_read(value, places, unit_for(value, unit, units)))


@switched
def beside(value: float, unit: str, units: str, *, up: bool = False) -> str:
    """Return a figure in another system to stand in brackets behind the metric one, or nothing.

    It is not above the metric figure, so that nobody weighs out more; or, with `up`, not below it,
    so that no strip is narrower.

    Examples
    --------
    >>> beside(562.5, "g", "us").replace(SPACE, " "), beside(5.0, "m", "us", up=True)[2:6]
    (' (1.24 lb)', '16.5')
    """
    read = unit_for(value, unit, units)
    if read.name == unit:
        return ""
    figure = value / read.size
    place = Decimal(1).scaleb(-decimals_of(figure))
    rounding = ROUND_CEILING if up else ROUND_FLOOR
    kept = Decimal(f"{figure:.9g}").quantize(place, rounding)
    return f" ({_with_unit(number(float(kept), decimals_of(figure)), read.name)})"


@switched
def span(low: Any, high: Any, unit: str, units: str = METRIC) -> str:
    """Return a range of amounts with its unit once; one exact figure when there is no range.

    A range is no weighed amount, so it is shown with three figures at most.

    Examples
    --------
    >>> span(3.0, 8.0, "h").replace(SPACE, " "), span(float("nan"), 2.0, "h").replace(SPACE, " ")
    ('3 to 8 h', '2 h')
    >>> span(11424.0, 20400.0, "g").replace(SPACE, " "), span(0.25, 0.4, "h").replace(SPACE, " ")
    ('11.4 to 20.4 kg', '15 to 24 min')
    """
    if missing(low) and missing(high):
        return ""
    if missing(low) or missing(high):
        return quantity(float(high if missing(low) else low), unit, units)
    low, high = float(low), float(high)
    if math.isinf(high):
        return word("span.over", low=quantity(low, unit, units))
    if low == high:
        return quantity(high, unit, units)
    low, _ = _scaled(low, unit, high)
    high, unit = _scaled(high, unit, high)
    read = unit_for(high, unit, units)
    first, _ = _read(low, _decimals(low, unit), read)
    last, name = _read(high, _decimals(high, unit), read)
    shown = _with_unit(last, name)
    return shown if first == last else word("span.range", low=first, high=shown)


@switched
def per_area(dose: float, unit: str, units: str = METRIC) -> str:
    """Return a dose on the ground as it is read, such as ``3.13 g/m²`` or pounds on 1000 sq ft."""
    metric, often, day = unit.partition(" a ")  # water for new seed is so much a day
    figure, name = _read(dose, decimals_of(dose), unit_for(dose, metric, units))
    return word("step.dose_text", dose=figure, unit=f"{name}{often}{day}")


@switched
def strength(grams_a_litre: float, units: str = METRIC) -> str:
    """Return how strong a mix is: ``5 g/l``, or ounces in a gallon."""
    read = unit_for(grams_a_litre, "g/l", units)
    return _with_unit(*_read(grams_a_litre, decimals_of(grams_a_litre), read))


@switched
def temperature(celsius: float, units: str = METRIC) -> str:
    """Return a temperature as it is read: in degrees Fahrenheit in the US only."""
    if units == US:
        return _with_unit(number(fahrenheit(celsius), 1), FAHRENHEIT)
    return _with_unit(number(celsius, 1), CELSIUS)


@switched
def area(square_metres: float, *, units: str = METRIC, sigma: Any = None) -> str:
    """Return an area, with its standard error where there is one.

    From one acre on the acres stand behind it in other systems: nobody sees 100,000 sq ft.

    Examples
    --------
    >>> area(412.34, sigma=3.2).replace(SPACE, " ")
    '412 ± 3 m²'
    >>> area(100.0, units="imperial").replace(SPACE, " "), area(100.0, units="us")[:4]
    ('120 sq yd', '1076')
    """
    error = None if missing(sigma) or float(sigma) <= 0 else float(sigma)
    fine = square_metres < 10 or (error is not None and error < 1)  # noqa: PLR2004 - one digit
    read = unit_for(square_metres, "m²", units)
    places = int(fine)
    shown, name = _read(square_metres, places, read)
    if error is not None:
        shown += f"{SPACE}±{SPACE}{_read(max(error, 10.0**-places), places, read)[0]}"
    shown = _with_unit(shown, name)
    if units != METRIC and acres(square_metres) >= 1:
        unit = word("amount.acres")
        shown += f" ({plain(acres(square_metres))}{SPACE}{unit})"
    return shown


def money(value: float, places: int = 2) -> str:
    r"""Return a sum of money with every place of its currency, grouped from five digits on.

    Examples
    --------
    >>> money(870.5), money(1234.5), money(12345.0, 0)
    ('870.50', '1234.50', '12\u202f345')
    """
    place = Decimal(1).scaleb(-places)
    shown = f"{Decimal(str(float(value))).quantize(place, ROUND_HALF_UP):f}"
    whole, point, rest = shown.partition(".")
    if len(whole) > ENOUGH_DIGITS:
        whole = f"{int(whole):,}".replace(",", THIN)
    return f"{whole}{word('number.point') if point else ''}{rest}"


def price(value: float, choices: Mapping[str, Any]) -> str:
    """Return a sum of money with its currency, as the choices have it; empty where it has none."""
    places = (choices.get("money") or {}).get("decimals", 2)
    return f"{money(value, int(places))} {currency(choices)}".strip()


def day(value: Any) -> str:
    """Return a date in words, or the text as it is when it is no ISO date.

    Examples
    --------
    >>> day("2027-03-22")
    'Monday 22 March 2027'
    """
    if missing(value):
        return ""
    if isinstance(value, dt.datetime):
        value = value.date()
    if not isinstance(value, dt.date):
        try:
            value = dt.date.fromisoformat(str(value))
        except ValueError:
            return str(value)
    return word(
        "date.long",
        weekday=word(f"weekday.{value.isoweekday()}"),
        day=value.day,
        month=word(f"month.{value.month}"),
        year=value.year,
    )


def _scaled(value: float, unit: str, largest: float) -> tuple[float, str]:
    """Return value and unit as the largest of a range is best read: kg, l, or minutes."""
    if unit in LARGER and abs(largest) >= THOUSAND:
        return value / 1000, LARGER[unit]
    if unit.removesuffix(BULK) == "l" and abs(largest) >= LITRES_READ:
        return value / 1000, "m³"
    if unit == "h" and 0 < largest < 1:
        return value * MINUTES, "min"
    return value, unit


def _decimals(value: float, unit: str) -> int:
    """Return how many decimals of a metric figure an estimate deserves."""
    if unit in {"h", "mm"}:
        return 1 if value < 10 else 0  # noqa: PLR2004 - a tenth
    return 0 if unit in {"min", "g", "ml", "%"} else decimals_of(value)


def decimals_of(value: float) -> int:
    """Return the decimals that show about three digits that count."""
    size = abs(value)
    return next((d for edge, d in ((100, 0), (10, 1), (0.1, 2)) if size >= edge), 3)


def _read(value: float, places: int, read: Unit) -> tuple[str, str]:
    """Return a metric figure of so many decimals as it is read in a unit, and the unit's name."""
    if read.size == 1:
        return number(value, places), read.name
    return number(value / read.size, decimals(places, read.size)), read.name


def _with_unit(figure: str, unit: str) -> str:
    return f"{figure}{SPACE}{unit.replace(' ', SPACE, 1)}".strip()
