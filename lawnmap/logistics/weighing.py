"""What scales or a measuring jug can really weigh out: never more than was asked for."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import NamedTuple

CLOSE = 1e-6  # of a step of the scales: areas are known no better, and 0.3 is three steps of 0.1
STEPS = (1, 2, 5)
FINE = 1e-14  # of the amount: more than a division in binary loses


class Weighed(NamedTuple):
    """What to weigh out, and the share (0 to 1) by which it falls short of what was asked for."""

    amount: float
    short_share: float


def weighed(amount: float, resolution: float) -> Weighed:
    """Return the largest reading of the scales that is not above `amount`.

    Down and never up: what goes on is then never more than the label allows.

    Parameters
    ----------
    amount : float
        What is asked for.
    resolution : float
        The smallest step of the scales or jug, in the same unit.

    Raises
    ------
    ValueError
        When either is not a finite number, the amount below zero or the resolution not above it.

    Examples
    --------
    >>> weighed(52, 5)
    Weighed(amount=50.0, short_share=0.038461538461538436)
    """
    if not (math.isfinite(amount) and math.isfinite(resolution) and amount >= 0 < resolution):
        raise ValueError("an amount from zero and a resolution above zero are needed")
    exact = amount / resolution
    steps = math.floor(exact + CLOSE + exact * FINE)
    reading = float(Decimal(str(resolution)) * steps)
    return Weighed(reading, max(1 - reading / amount, 0.0) if amount > 0 else 0.0)


def fine_enough(amount: float, share: float) -> float:
    """Return the coarsest step that never falls short of `amount` by more than `share`.

    Scales and jugs come in steps of 1, 2 or 5, and their tens and tenths.

    Examples
    --------
    >>> fine_enough(15.9, 0.05)
    0.5
    """
    most = Decimal(str(amount)) * Decimal(str(share))
    tens = Decimal(1).scaleb(most.adjusted())
    return float(max(each * tens for each in STEPS if each * tens <= most))
