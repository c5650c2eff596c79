"""What a job costs and what is asked for it, in plain numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from lawnmap.logistics.loads import trips

CLOSE = 1e-9  # hours and litres a hair over a day or a load are noise
WHOLE_PCT = 100


class Carried(NamedTuple):
    """Loads to carry off, and what fills a load first: ``volume`` or ``weight``."""

    loads: int
    full_by: str


class Binned(NamedTuple):
    """Fillings of the client's bins, and the weeks until the last of them is emptied."""

    fillings: int
    weeks: int


class Price(NamedTuple):
    """What is asked, every figure as it is printed: they add up exactly.

    Attributes
    ----------
    lines : tuple of Decimal
        One a cost, in order.
    made_up : Decimal
        What is added to reach the least charge.
    net, tax, total : Decimal
        Before tax, the tax, and both together.
    """

    lines: tuple[Decimal, ...]
    made_up: Decimal
    net: Decimal
    tax: Decimal
    total: Decimal


def days(hours: float, hours_a_day: float, *, least: int = 0) -> int:
    """Return whole days for some hours of work, and not fewer than `least` when there is any.

    Examples
    --------
    >>> days(15.0, 7.0), days(14.0, 7.0), days(2.0, 7.0, least=2), days(0.0, 7.0, least=2)
    (3, 2, 2, 0)
    """
    if not hours_a_day > 0:
        raise ValueError("a day must have hours")
    return max(math.ceil(hours / hours_a_day - CLOSE), least) if hours > 0 else 0


def hire(number: int, a_day: float, *, delivery: float = 0.0) -> float:
    """Return the price of some days of hire; nothing is delivered for none."""
    return number * a_day + delivery if number else 0.0


def carried(
    litres: float, kilograms: float, *, volume_l: float | None, payload_kg: float | None
) -> Carried:
    """Return the loads of a trailer or skip, by volume and by payload, whichever bites first.

    Parameters
    ----------
    litres, kilograms : float
        What is carried off.
    volume_l, payload_kg : float or None
        What one load may hold; None sets no limit.

    Raises
    ------
    ValueError
        When neither is known.

    Examples
    --------
    >>> carried(5400, 1250, volume_l=3000, payload_kg=500)
    Carried(loads=3, full_by='weight')
    """
    volume, payload = volume_l or math.inf, payload_kg or math.inf
    if math.isinf(volume) and math.isinf(payload):
        raise ValueError("what a load may hold is not known")
    number = trips(litres, kilograms, volume_l=volume, payload_kg=payload)
    heavy = kilograms / payload > litres / volume
    return Carried(int(number), "weight" if heavy else "volume")


def binned(litres: float, bin_l: float, *, bins: int = 1, weeks: int = 1) -> Binned:
    """Return fillings of `bins` wheeled bins of `bin_l`, emptied together every so many `weeks`.

    Examples
    --------
    >>> binned(1080, 240, weeks=2)
    Binned(fillings=5, weeks=10)
    """
    if not (bin_l > 0 and bins > 0 and weeks > 0):
        raise ValueError("a bin must hold something, and be emptied")
    fillings = max(math.ceil(litres / bin_l - CLOSE), 0)
    return Binned(fillings, math.ceil(fillings / bins) * weeks)


def priced(
    costs: Sequence[float],
    *,
    mark_up_pct: float = 0.0,
    least_charge: float = 0.0,
    tax_pct: float = 0.0,
    decimals: int = 2,
) -> Price:
    """Return what is asked for some costs.

    Each line is rounded as it is printed, half up, and all that follows is made of the rounded
    lines: what a client adds up is what stands at the foot.

    Parameters
    ----------
    costs : sequence of float
        Own cost of each line.
    mark_up_pct, tax_pct : float
        Added to each line, and to the sum [%].
    least_charge : float
        The least that is asked before tax.
    decimals : int
        Places of the currency.

    Raises
    ------
    ValueError
        When a figure is below zero or not finite.

    Examples
    --------
    >>> found = priced([10.0, 2.35], mark_up_pct=10, tax_pct=20)
    >>> [str(each) for each in (*found.lines, found.net, found.tax, found.total)]
    ['11.00', '2.59', '13.59', '2.72', '16.31']
    """
    given = [*costs, mark_up_pct, least_charge, tax_pct]
    if not all(math.isfinite(each) and each >= 0 for each in given):
        raise ValueError("a price is made of finite figures that are not below zero")
    place = Decimal(1).scaleb(-decimals)

    def rounded(figure: Decimal) -> Decimal:
        return figure.quantize(place, ROUND_HALF_UP)

    times = (WHOLE_PCT + exact(mark_up_pct)) / WHOLE_PCT
    lines = tuple(rounded(exact(cost) * times) for cost in costs)
    first = sum(lines, start=rounded(Decimal(0)))
    made_up = max(rounded(exact(least_charge)) - first, rounded(Decimal(0)))
    net = first + made_up
    tax = rounded(net * exact(tax_pct) / WHOLE_PCT)
    return Price(lines, made_up, net, tax, net + tax)


def rounded(figure: float, decimals: int) -> float:
    """Return a figure rounded half up, as it is printed; NaN stays.

    Examples
    --------
    >>> rounded(1.005, 2), rounded(2.5, 0)
    (1.01, 3.0)
    """
    if math.isnan(figure):
        return figure
    return float(exact(figure).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP))


def exact(figure: float) -> Decimal:
    """Return a figure as it is written, so that 0.1 is a tenth."""
    return Decimal(repr(float(figure)))
