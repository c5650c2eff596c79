"""Bearings as people write them: 76, 306-31-00, N76E, S 36 30 E."""

from __future__ import annotations

import re
from typing import NamedTuple

from lawnmap.errors import InputRefused

FULL = 360.0
QUARTER = 90.0
SIXTY = 60.0

# Standard errors: a compass or a phone read to a degree, an instrument read to minutes.
# Common practice, no source.
COMPASS_DEG = 1.0
INSTRUMENT_DEG = 0.02

WORDS = {
    "n": 0.0, "e": 90.0, "s": 180.0, "w": 270.0,
    "north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0,
}  # fmt: skip
BETWEEN = r"[\s\-°ºd:'′m]\s*"
ANGLE = (
    r"(?P<degrees>\d{1,3}(?:\.\d{1,8})?)"
    rf"(?:{BETWEEN}(?P<minutes>\d{{1,2}}(?:\.\d{{1,8}})?)"
    rf"(?:{BETWEEN}(?P<seconds>\d{{1,2}}(?:\.\d{{1,8}})?))?)?"
    r"\s*(?:°|º|'|′|\"|″|'')?"
)
WHOLE = re.compile(ANGLE, re.ASCII | re.IGNORECASE)
QUADRANT = re.compile(rf"(?P<from>[NS])\s*{ANGLE}\s*(?P<to>[EW])", re.ASCII | re.IGNORECASE)


class Bearing(NamedTuple):
    """A direction clockwise from north and its standard error, both in degrees."""

    degrees: float
    sigma: float


def bearing(text: str) -> Bearing:
    """Return a bearing.

    Parameters
    ----------
    text : str
        Whole circle (0 to 360), quadrant (N76E) or a word (north); degrees with decimals, or
        degrees, minutes and seconds with blanks, hyphens or their signs between. Sixty seconds
        carry over, as old books print them.

    Raises
    ------
    InputRefused
        For anything else.

    Examples
    --------
    >>> bearing("S 36 30 E").degrees, round(bearing("227-09-60").degrees, 6)
    (143.5, 227.166667)
    """
    text = text.strip()
    word = WORDS.get(re.sub(r"^due\s+", "", text.lower()))
    if word is not None:
        return Bearing(word, COMPASS_DEG)
    quadrant = QUADRANT.fullmatch(text)
    found = quadrant or WHOLE.fullmatch(text)
    if found is None:
        raise _refusal(text, "is not a bearing")
    angle = _degrees(text, found)
    sigma = COMPASS_DEG if found["minutes"] is None else INSTRUMENT_DEG
    if quadrant is None:
        if angle > FULL:
            raise _refusal(text, "is more than a whole circle")
        return Bearing(angle % FULL, sigma)
    if angle > QUARTER:
        raise _refusal(text, "is more than a quarter of a circle from north or south")
    east, south = quadrant["to"].upper() == "E", quadrant["from"].upper() == "S"
    turned = FULL / 2 - angle if south else angle
    return Bearing(turned if east else (FULL - turned) % FULL, sigma)


def _degrees(text: str, found: re.Match[str]) -> float:
    parts = [found[name] for name in ("degrees", "minutes", "seconds")]
    given = [part for part in parts if part is not None]
    if any("." in part for part in given[:-1]):
        raise _refusal(text, "has a decimal point before its last part")
    numbers = [float(part) for part in given]
    if any(part > SIXTY for part in numbers[1:]):
        raise _refusal(text, "has more than sixty minutes or seconds")
    return sum(part / SIXTY**place for place, part in enumerate(numbers))


def _refusal(text: str, why: str) -> InputRefused:
    return InputRefused(
        f"{text[:20]!r} {why}", remedy="Write it as 76, 306-31-00, N76E or S 36 30 E."
    )
