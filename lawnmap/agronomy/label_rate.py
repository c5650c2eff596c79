"""Read an application rate as a label prints it, and say back what was understood.

Taken: "50 g in 10 l over 16 m²", "covers 150 m²" (with the pack), "25 kg/ha in 400 l/ha",
"5 g/l at 1 l/m²", "2 oz in 2 imperial gal over 20 yd²", and two unit systems side by side when they
agree. Anything without an area is not a rate and is refused; nothing is guessed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

from lawnmap.agronomy.label_units import AREAS, Token, amount, tokens
from lawnmap.errors import InputRefused

AGREE = 0.02  # two unit systems may differ by the rounding of a label, and no more
LONGEST = 200
_JOINED_BY = {
    "/": "/ per a an each",
    "in": "in into with",
    "over": "over on for cover covers covering treats do does , :",
    "at": "at",
}
JOINERS = {word: joiner for joiner, words in _JOINED_BY.items() for word in words.split()}
ALTERNATIVES = ("or", ";", "=")
RANGES = ("-", "–", "—", "to")
SKIPPED = frozenset(
    {"of", "the", "water", "product", "granules", "powder", "use", "apply", "rate", "dose"}
)
PACKS = frozenset({"box", "bag", "pack", "bottle", "tub", "sack"})


class Item(NamedTuple):
    """A quantity: what joins it to the one before, how much, and of what (g, ml or m2)."""

    joiner: str
    value: float
    measures: str


@dataclass(frozen=True)
class Rate:
    """An application rate.

    Attributes
    ----------
    per_m2 : float
        Product on one m² [`unit`/m²].
    unit : str
        ``g`` or ``ml``.
    water_l_m2 : float or None
        Water on one m² [l/m²], when the label prints it.
    area_m2 : float
        The area the label speaks of [m²].
    read_back : str
        What was understood, for the person who typed it.
    """

    per_m2: float
    unit: str
    water_l_m2: float | None
    area_m2: float
    read_back: str


def parse(printed: str, *, gallon: str = "", pack: tuple[float, str] | None = None) -> Rate:
    """Return the rate that a label prints.

    Parameters
    ----------
    printed : str
        The words of the label.
    gallon : str
        ``imperial`` or ``US`` when the text says only "gal" or "gallon".
    pack : (float, str), optional
        Size of a pack and ``g`` or ``ml``, for labels that say only what a pack covers.

    Raises
    ------
    InputRefused
        When there is no area, a word or unit is not known, a gallon is of no country, or two unit
        systems differ by more than 2 %. The message says which.

    Examples
    --------
    >>> rate = parse("50 g in 10 l over 16 m²")
    >>> rate.per_m2, rate.unit, rate.water_l_m2
    (3.125, 'g', 0.625)
    """
    if len(printed) > LONGEST:
        raise InputRefused(f"a rate of more than {LONGEST} characters is not read")
    found = tokens(printed)
    if not any(token.kind == "unit" and token.text in AREAS for token in found):
        raise InputRefused(
            f"{printed!r} names no area, and a recipe without an area is not a rate",
            remedy="Copy from the label what it covers, as in '50 g in 10 l over 16 m²'.",
        )
    rates = []
    for part in _split(found):
        recipe = _Recipe(printed, gallon)
        for token in part:
            recipe.take(token)
        for items in recipe.readings():
            rate = _rate(items, printed, pack)
            if rate not in rates:
                rates.append(rate)
    _agree(rates, printed)
    return rates[0]


def _split(found: list[Token]) -> list[list[Token]]:
    """Cut the tokens where the label says the same again in other units."""
    parts: list[list[Token]] = [[]]
    for token in found:
        if token.text in ALTERNATIVES:
            parts.append([])
        else:
            parts[-1].append(token)
    return [part for part in parts if part]


class _Recipe:
    """The quantities of one recipe, taken in token by token, each with its twin in brackets."""

    def __init__(self, printed: str, gallon: str) -> None:
        self.printed = printed
        self.gallon = gallon
        self.items: list[tuple[Item, Item | None]] = []
        self.joiner = ""
        self.number = ""
        self.in_brackets = False

    def take(self, token: Token) -> None:
        """Take in the next token."""
        if token.kind == "unit":
            self._quantity(token.text)
        elif token.kind == "number" and not self.number:
            self.number = token.text
        elif self.number:
            self._after_number(token.text)
        elif token.text in "()":
            self.in_brackets = token.text == "("
        elif token.text in JOINERS:
            self.joiner = JOINERS[token.text]
        elif token.text not in SKIPPED:
            raise self._unreadable(token.text)

    def _quantity(self, unit: str) -> None:
        """Finish a quantity at its unit; "per m²" leaves out the 1."""
        if not self.number and self.joiner != "/":
            raise InputRefused(f"there is no number before {unit!r} in {self.printed!r}")
        value, measures = amount(self.number or "1", unit, gallon=self.gallon)
        if self.in_brackets and self.items and self.items[-1][0].measures == measures:
            before = self.items[-1][0]
            self.items[-1] = (before, Item(before.joiner, value, measures))
        else:
            self.items.append((Item(self.joiner, value, measures), None))
        self.joiner = self.number = ""

    def _after_number(self, text: str) -> None:
        """Tell a range and "1 box" from what cannot be read."""
        if text in RANGES:
            raise InputRefused(
                f"{self.printed!r} prints a range", remedy="Type the one rate you mean to put on."
            )
        if text not in PACKS or self.number != "1":
            raise self._unreadable(f"{self.number} {text}")
        self.number = ""

    def _unreadable(self, text: str) -> InputRefused:
        return InputRefused(
            f"{text!r} in the rate {self.printed!r} cannot be read",
            remedy="Write weights, litres and areas only: a spoon or a handful is not a weight.",
        )

    def readings(self) -> list[list[Item]]:
        """Return the recipe as printed and, when there are brackets, the one in them."""
        if self.number:
            raise self._unreadable(self.number)
        plain = [item for item, _ in self.items]
        twin = [other or item for item, other in self.items]
        return [plain] if twin == plain else [plain, twin]


def _rate(items: list[Item], printed: str, pack: tuple[float, str] | None) -> Rate:
    """Work out one recipe from the pattern of its quantities."""
    values = [item.value for item in items]
    pattern = " ".join(item.joiner + item.measures for item in items)
    if pattern == "overm2" and pack is not None:
        return _made(pack[0], pack[1], None, values[0], printed)
    product = items[0].measures if items else ""
    # An area may be joined by "per", "over", a comma or nothing at all: all mean the same.
    rest = [item.measures if item.measures == "m2" else item.joiner + "ml" for item in items[1:]]
    if product in ("g", "ml") and all(item.measures != "g" for item in items[1:]):
        match rest:
            case ["m2"]:
                return _made(values[0], product, None, values[1], printed)
            case ["inml", "m2"]:
                return _made(values[0], product, values[1], values[2], printed)
            case ["m2", "inml", "m2"]:
                water = values[2] / values[3] * values[1]
                return _made(values[0], product, water, values[1], printed)
            case ["/ml" | "inml", "atml", "m2"]:
                dose = values[0] / values[1] * values[2]
                return _made(dose, product, values[2], values[3], printed)
    raise InputRefused(
        f"{printed!r} is not understood as a rate",
        remedy="Write it as '50 g in 10 l over 16 m²', '25 kg/ha in 400 l/ha', '35 g/m²' or, with "
        "the size of the pack, 'covers 150 m²'.",
    )


def _made(product: float, unit: str, water_ml: float | None, area_m2: float, printed: str) -> Rate:
    """Return the rate with the words that read it back."""
    water = None if water_ml is None else water_ml / 1000 / area_m2
    rate = Rate(product / area_m2, unit, water, area_m2, "")
    if not all(0 < number < math.inf for number in (rate.per_m2, water or 1.0)):
        raise InputRefused(f"{printed!r} is not a possible rate")
    return replace(rate, read_back=f"{printed.strip()}: {_told(rate)}")


def _agree(rates: list[Rate], printed: str) -> None:
    """Refuse a label whose two halves say different things."""
    first = rates[0]
    for other in rates[1:]:
        if (
            other.unit != first.unit
            or _apart(first.per_m2, other.per_m2) > AGREE
            or _apart(first.water_l_m2, other.water_l_m2) > AGREE
        ):
            raise InputRefused(
                f"{printed!r} says two things: {_told(first)} and {_told(other)}",
                remedy="Type the one you mean, in one system of units.",
            )


def _apart(one: float | None, other: float | None) -> float:
    """Return by which share the larger exceeds the smaller; nothing when only one is said."""
    return 0.0 if one is None or other is None else max(one, other) / min(one, other) - 1


def _told(rate: Rate) -> str:
    """Return the numbers of a rate in words."""
    water = "" if rate.water_l_m2 is None else f" in {rate.water_l_m2:.4g} l of water"
    return f"{rate.per_m2:.4g} {rate.unit} on each m²{water}"
