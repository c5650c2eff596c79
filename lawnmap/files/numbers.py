"""One grammar for numbers in text files, so that 51,5 is never 51 and 5."""

from __future__ import annotations

import math
import re

# ASCII: Python's \d and float() also take the digits of other scripts.
NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII)
LONGEST = 40


def number(text: str) -> float:
    """Return `text` as a finite number.

    Raises
    ------
    ValueError
        With the reason, for anything but digits, one point and an exponent.

    Examples
    --------
    >>> number(" -1.25e2 ")
    -125.0
    >>> number("51,5")
    Traceback (most recent call last):
    ...
    ValueError: '51,5' has a decimal comma: write a point
    """
    text = text.strip()
    if len(text) > LONGEST:
        raise ValueError(f"{text[:LONGEST]!r}… is too long for a number")
    if not NUMBER.fullmatch(text):
        if re.fullmatch(r"[-+]?\d+,\d+", text):
            raise ValueError(f"{text!r} has a decimal comma: write a point")
        raise ValueError(f"{text!r} is not a number")
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{text!r} is not a finite number")
    return value
