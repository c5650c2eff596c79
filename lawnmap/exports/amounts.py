"""Numbers as people read them: one number of digits that the number deserves, unit behind."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from lawnmap.pages.words import word

# International yard and pound agreement of 1959: 1 ft = 0.3048 m exactly.
SQUARE_FOOT_M2 = 0.3048**2
SQUARE_YARD_M2 = 9 * SQUARE_FOOT_M2
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


def number(value: float, decimals: int = 0) -> str:
    """Return a number with at most `decimals` places and grouped thousands.

    Examples
    --------
    >>> number(2.50, 2), number(412.3), number(1234.5, 1)
    ('2.5', '412', '1234.5')
    """
    exact = Decimal(str(float(value)))  # a half goes up, as on paper
    shown = f"{exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP):f}"
    whole, point, rest = shown.partition(".")
    rest = rest.rstrip("0")
    sign, digits = ("\u2212", whole[1:]) if whole.startswith("-") else ("", whole)
    if len(digits) > ENOUGH_DIGITS:
        digits = f"{int(digits):,}".replace(",", THIN)
    if not rest and not digits.strip("0"):
        sign = ""
    return f"{sign}{digits}{point if rest else ''}{rest}"


def plain(value: float) -> str:
    """Return a number with about three digits that count.

    Examples
    --------
    >>> plain(3.125), plain(62.5), plain(412.7), plain(0.0623)
    ('3.13', '62.5', '413', '0.062')
    """
    size = abs(value)
    return number(value, next((d for edge, d in ((100, 0), (10, 1), (0.1, 2)) if size >= edge), 3))


def quantity(value: float, unit: str) -> str:
    """Return one amount with its unit: to the gram or millilitre, from a thousand on as kg or l.

    Examples
    --------
    >>> quantity(562.5, "g").replace(SPACE, " "), quantity(2312.6, "g").replace(SPACE, " ")
    ('563 g', '2.313 kg')
    """
    if unit in LARGER:
        large = abs(value) >= THOUSAND
        figure = number(value / 1000, 3) if large else number(value)
        return f"{figure}{SPACE}{LARGER[unit] if large else unit}"
    value, unit = _scaled(value, unit, value)
    return f"{_rounded(value, unit)}{SPACE}{unit}".strip()


def span(low: Any, high: Any, unit: str) -> str:
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
        return quantity(float(high if missing(low) else low), unit)
    low, high = float(low), float(high)
    if math.isinf(high):
        return word("span.over", low=quantity(low, unit))
    if low == high:
        return quantity(high, unit)
    low, _ = _scaled(low, unit, high)
    high, unit = _scaled(high, unit, high)
    first, last = _rounded(low, unit), _rounded(high, unit)
    shown = f"{last}{SPACE}{unit}".strip()
    return shown if first == last else word("span.range", low=first, high=shown)


def area(square_metres: float, *, units: str = "metric", sigma: Any = None) -> str:
    """Return an area, with its standard error where there is one, and in feet and yards if asked.

    Examples
    --------
    >>> area(412.34, sigma=3.2).replace(SPACE, " ")
    '412 ± 3 m²'
    >>> area(100.0, units="imperial").replace(SPACE, " ")
    '100 m² (1076 ft², 120 yd²)'
    """
    error = None if missing(sigma) or float(sigma) <= 0 else float(sigma)
    fine = square_metres < 10 or (error is not None and error < 1)  # noqa: PLR2004 - one digit
    decimals = 1 if fine else 0
    shown = number(square_metres, decimals)
    if error is not None:
        least = 10.0**-decimals
        shown += f"{SPACE}±{SPACE}{number(max(error, least), decimals)}"
    shown += f"{SPACE}m²"
    if units == "imperial":
        feet = number(square_metres / SQUARE_FOOT_M2)
        yards = number(square_metres / SQUARE_YARD_M2)
        shown += f" ({feet}{SPACE}ft², {yards}{SPACE}yd²)"
    return shown


def money(value: float, decimals: int = 2) -> str:
    r"""Return a sum of money with every place of its currency, grouped from five digits on.

    Examples
    --------
    >>> money(870.5), money(1234.5), money(12345.0, 0)
    ('870.50', '1234.50', '12\u202f345')
    """
    place = Decimal(1).scaleb(-decimals)
    shown = f"{Decimal(str(float(value))).quantize(place, ROUND_HALF_UP):f}"
    whole, point, rest = shown.partition(".")
    if len(whole) > ENOUGH_DIGITS:
        whole = f"{int(whole):,}".replace(",", THIN)
    return f"{whole}{point}{rest}"


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
    weekday = word(f"weekday.{value.isoweekday()}")
    return f"{weekday} {value.day} {word(f'month.{value.month}')} {value.year}"


def _scaled(value: float, unit: str, largest: float) -> tuple[float, str]:
    """Return value and unit as the largest of a range is best read: kg, l, or minutes."""
    if unit in LARGER and abs(largest) >= THOUSAND:
        return value / 1000, LARGER[unit]
    if unit == "l" and abs(largest) >= LITRES_READ:
        return value / 1000, "m³"
    if unit == "h" and 0 < largest < 1:
        return value * MINUTES, "min"
    return value, unit


def _rounded(value: float, unit: str) -> str:
    """Return a figure with as many digits as an estimate deserves."""
    if unit == "h":
        return number(value, 1 if value < 10 else 0)  # noqa: PLR2004 - a tenth of an hour
    if unit == "mm":
        return number(value, 1 if value < 10 else 0)  # noqa: PLR2004 - a tenth of a millimetre
    return number(value) if unit in {"min", "g", "ml", "%"} else plain(value)
