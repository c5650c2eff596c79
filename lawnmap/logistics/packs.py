"""Whole packs to buy: the cheapest that are enough, then the least left over."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

CLOSE = 1e-9  # share by which sizes and prices may differ and still count as equal
MOST_PACKS = 40
MOST_TRIES = 200_000  # ends the search for absurd sizes; then the purchase is not proven


@dataclass(frozen=True)
class Purchase:
    """What to buy.

    Attributes
    ----------
    counts : tuple of int
        Number of each pack, in the order the packs were given.
    bought, left_over : float
        In the unit of the packs; what is left counts the stock that was there.
    cost : float or None
        None when a pack that is bought has no price.
    proven : bool
        Whether nothing better can be bought. False when the search ended at its limit: then it is
        enough, and the best that was found.
    """

    counts: tuple[int, ...]
    bought: float
    left_over: float
    cost: float | None
    proven: bool = True


def purchase(
    amount: float, packs: Sequence[tuple[float, float | None]], *, stock: float = 0.0
) -> Purchase:
    """Return the whole packs that cover an amount.

    Parameters
    ----------
    amount : float
        What is needed.
    packs : sequence of (size, price)
        Sizes in the unit of `amount`. When any price is missing the least left over decides.
    stock : float
        What is already in the shed.

    Raises
    ------
    ValueError
        When something must be bought and there is no pack, or a size is not above zero.

    Examples
    --------
    >>> purchase(9.0, [(5, 10.0), (3, 5.0), (1, 2.5)])
    Purchase(counts=(0, 3, 0), bought=9, left_over=0.0, cost=15.0, proven=True)
    """
    if not (math.isfinite(amount) and math.isfinite(stock)):
        raise ValueError("the amount to buy must be a finite number")
    if any(not size > 0 or (price is not None and price < 0) for size, price in packs):
        raise ValueError("a pack must hold something, and its price cannot be below zero")
    needed = max(amount - stock, 0.0)
    if needed <= CLOSE * amount:
        return Purchase((0,) * len(packs), 0.0, max(stock - max(amount, 0.0), 0.0), 0.0)
    if not 0 < len(packs) <= MOST_PACKS:
        raise ValueError(f"there must be from 1 to {MOST_PACKS} packs to choose from")
    priced = all(price is not None for _, price in packs)
    prices = [size if price is None or not priced else price for size, price in packs]
    counts, proven = _search(needed, [size for size, _ in packs], prices)
    bought = sum(number * size for number, (size, _) in zip(counts, packs, strict=True))
    cost = sum(number * price for number, price in zip(counts, prices, strict=True))
    left_over = max(stock + bought - amount, 0.0)
    return Purchase(counts, bought, left_over, cost if priced else None, proven)


def _search(
    needed: float, sizes: Sequence[float], prices: Sequence[float]
) -> tuple[tuple[int, ...], bool]:
    """Return the best counts (least price, then least bought, then the larger packs), and if so.

    The pack that is cheapest a unit is tried in every number from the most downwards, then the
    next; a number is given up when even the best of what follows cannot reach the best so far. It
    ends early only at what nothing can beat: all at the best price a unit, and nothing left over.
    """
    order = sorted(range(len(sizes)), key=lambda i: (prices[i] / sizes[i], -sizes[i]))
    best: tuple[float, float] = (math.inf, math.inf)
    chosen = [0] * len(sizes)
    counts = [0] * len(sizes)
    tries, proven = 0, True
    least = needed * prices[order[0]] / sizes[order[0]]

    def perfect() -> bool:
        return best[0] <= least * (1 + CLOSE) and best[1] <= CLOSE * needed

    def go(at: int, left: float, price: float) -> None:
        nonlocal best, chosen, tries, proven
        tries += 1
        pack = order[at]
        most = max(math.ceil(left / sizes[pack] - CLOSE), 0)
        if at == len(order) - 1:
            counts[pack] = most
            found = (price + most * prices[pack], most * sizes[pack] - left)
            if found[0] < best[0] * (1 - CLOSE) or (
                found[0] <= best[0] * (1 + CLOSE) and found[1] < best[1] - CLOSE * needed
            ):
                best, chosen = found, counts.copy()
            return
        following = order[at + 1]
        for number in range(most, -1, -1):
            rest = max(left - number * sizes[pack], 0.0)
            spent = price + number * prices[pack]
            bound = spent + rest * prices[following] / sizes[following]
            if number < most and (bound > best[0] * (1 + CLOSE) or perfect()):
                break
            if number < most and tries > MOST_TRIES:
                proven = False
                break
            counts[pack] = number
            go(at + 1, left - number * sizes[pack], spent)

    go(0, needed, 0.0)
    return tuple(chosen), proven
