"""Units as labels spell them, and numbers as labels print them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from lawnmap.errors import InputRefused

# Exact definitions: international yard and pound, imperial and US gallon.
GALLON_ML = {"imperial": 4546.09, "US": 3785.411784}
# Unit: what it measures (g, ml or m2) and how many of that.
UNITS: dict[str, tuple[str, float]] = {
    "g": ("g", 1.0),
    "kg": ("g", 1000.0),
    "ml": ("ml", 1.0),
    "l": ("ml", 1000.0),
    "m2": ("m2", 1.0),
    "ha": ("m2", 10_000.0),
    "oz": ("g", 28.349523125),
    "lb": ("g", 453.59237),
    "imperial gal": ("ml", GALLON_ML["imperial"]),
    "US gal": ("ml", GALLON_ML["US"]),
    "ft2": ("m2", 0.09290304),
    "yd2": ("m2", 0.83612736),
    "acre": ("m2", 4046.8564224),
}
SPELLINGS = {
    "g": "g|gm|gms|gram|grams|gramme|grammes",
    "kg": "kg|kgs|kilo|kilos|kilogram|kilograms",
    "ml": "ml|millilitre|millilitres|milliliter|milliliters",
    "l": "l|lt|ltr|ltrs|litre|litres|liter|liters",
    "m2": "m2|sqm|sq m|sq metre|sq metres|square metre|square metres|square meter|square meters",
    "ha": "ha|hectare|hectares",
    "oz": "oz|ozs|ounce|ounces",
    "lb": "lb|lbs|pound|pounds",
    "imperial gal": "imp gal|imp gals|imp gallon|imp gallons|imperial gal|imperial gallon"
    "|imperial gallons|uk gal|uk gallon|uk gallons",
    "US gal": "us gal|us gals|us gallon|us gallons",
    "gal": "gal|gals|gallon|gallons",
    "ft2": "ft2|sqft|sq ft|square foot|square feet",
    "yd2": "yd2|sqyd|sq yd|sq yds|square yard|square yards",
    "acre": "acre|acres|ac",
}
UNIT_OF = {word: unit for unit, words in SPELLINGS.items() for word in words.split("|")}
AREAS = frozenset(unit for unit, (measures, _) in UNITS.items() if measures == "m2")

_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|\d{1,3}(?:,\d{3})+(?![\d,])|\d+(?:\.\d+)?|\.\d+"
_UNIT = "|".join(re.escape(word) for word in sorted(UNIT_OF, key=len, reverse=True))
_TOKEN = re.compile(
    rf"(?P<number>{_NUMBER})|(?P<unit>(?:{_UNIT})(?![a-z0-9]))|(?P<word>[a-z]+\d?)|(?P<mark>\S)",
    re.ASCII,
)
_VULGAR = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "㎡": "m2"}


class Token(NamedTuple):
    """A piece of the text: ``kind`` is number, unit, word or mark."""

    kind: str
    text: str


def tokens(printed: str) -> list[Token]:
    """Cut the text of a label into numbers, units, words and marks."""
    text = printed.lower()
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, plain)
    text = re.sub(r"(?<=[a-z])²", "2", text)
    text = re.sub(r"(?<=[a-z0-9])\.(?!\d)", "", text)
    if re.search(r"\d,\d{1,2}(?!\d)", text):
        raise InputRefused(f"{printed!r} has a decimal comma", remedy="Write a point: 2.5.")
    found = []
    for match in _TOKEN.finditer(re.sub(r"[ \t]+", " ", text)):
        kind = str(match.lastgroup)
        piece = UNIT_OF[match.group()] if kind == "unit" else match.group()
        found.append(Token(kind, piece))
    return found


def amount(number: str, unit: str, *, gallon: str = "") -> tuple[float, str]:
    """Return a number of a unit in g, ml or m², and which of the three it is.

    Raises
    ------
    InputRefused
        For a gallon of no country, a comma that may be a decimal one, or nothing at all.
    """
    if unit == "gal":
        if gallon not in GALLON_ML:
            raise InputRefused(
                "an imperial gallon is 4.546 l and a US gallon 3.785 l, and this says only gallon",
                remedy="Write 'imperial gal' or 'US gal'.",
            )
        unit = f"{gallon} gal"
    if "," in number and unit not in AREAS:
        raise InputRefused(
            f"{number} {unit} may mean a thousand times more or less",
            remedy="Write the number without a comma.",
        )
    measures, factor = UNITS[unit]
    try:
        value = float(sum(Fraction(part) for part in number.replace(",", "").split()))
    except ZeroDivisionError:
        value = 0.0
    if value <= 0:
        raise InputRefused(f"{number} {unit} is no amount")
    return value * factor, measures
