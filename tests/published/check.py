"""One check: what a source was given, what it printed, and what lawnmap gives."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any

from lawnmap.agronomy.field_units import measured
from lawnmap.agronomy.label_units import amount

# The page docs/checks.md lists the subjects in this order.
SUBJECTS = (
    "units", "mixing", "iron", "seeding", "feeding", "dressing", "calibration", "work", "sampling",
    "areas", "places",
)  # fmt: skip


@dataclass(frozen=True)
class Check:
    """A figure that somebody printed, and how it is worked out here.

    Attributes
    ----------
    source : str
        Who printed it, and where.
    ask : callable
        Works it out by lawnmap; the first line of its docstring says what it is.
    given : tuple
        What the source starts from; text such as ``7.5 US fl oz`` names its unit.
    printed : str
        The figure, digit for digit.
    unit : str
        Unit of `printed`.
    within : float, optional
        How far off it may be: half of the last printed digit unless `note` says why more.
    note : str
        What is odd about the print.
    by_hand : bool
        The source prints what goes in, and the figure was worked from it by hand.
    """

    source: str
    ask: Callable[..., float]
    given: tuple[Any, ...]
    printed: str
    unit: str = ""
    within: float | None = None
    note: str = ""
    by_hand: bool = False

    @property
    def number(self) -> float:
        """The printed figure."""
        return float(self.printed.replace(",", ""))

    @property
    def allowed(self) -> float:
        """How far off it may be."""
        decimals = len(self.printed.partition(".")[2])
        return 0.5 * 10**-decimals * (1 + 1e-9) if self.within is None else self.within

    def found(self) -> float:
        """Return what lawnmap gives."""
        return float(self.ask(*self.given))

    def off(self) -> float:
        """Return how far the two are apart."""
        return abs(self.found() - self.number)

    def swapped(self, old: str, new: str) -> Check:
        """Return this check with one unit taken for another in what is given."""
        return replace(
            self,
            given=tuple(
                each.replace(old, new) if isinstance(each, str) else each for each in self.given
            ),
        )

    def __str__(self) -> str:
        """Name the check in a test report."""
        return f"{self.ask.__name__} {self.printed} {self.unit}".strip()


def subject(name: str) -> tuple[str, list[Check]]:
    """Return what a module of checks is about, and its checks."""
    module = import_module(f"tests.published.{name}")
    return (module.__doc__ or "").splitlines()[0], module.CHECKS


def checks() -> Iterator[Check]:
    """Return every check."""
    for name in SUBJECTS:
        yield from subject(name)[1]


def inside(text: str, kind: str, unit: str) -> float:
    """Return a measure in another unit."""
    return measured(text, kind) / measured(f"1 {unit}", kind)


def ground(text: str) -> float:
    """Return ground [m²] from a number and a unit of area."""
    number, _, unit = text.partition(" ")
    return amount(number, unit)[0]
