"""How words and blocks look on paper: the few rules that stand for the pages' style sheets.

A rule is named after an element, or after a class with a dot before it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from lawnmap.exports.pdf.tree import Element

INK, QUIET, RULE = "#1f2a24", "#46514a", "#d9d5c8"
DEEP, STOP, CARE = "#295763", "#8c2f1b", "#5f4700"
STOP_GROUND, CARE_GROUND, OUT_GROUND = "#fbe8e2", "#fdf1cb", "#ecebe4"
POINT = 25.4 / 72  # [mm]


class Type(NamedTuple):
    """How words are set: size [pt], weight, colour, and what stands round or behind them."""

    size: float = 9.2
    bold: bool = False
    colour: str = INK
    ground: str = ""
    ring: bool = False
    leading: float = 1.36  # from line to line [size]

    @property
    def em(self) -> float:
        """Return the size [mm]."""
        return self.size * POINT


class Look(NamedTuple):
    """What a rule changes; None leaves it as it is round about."""

    times: float = 1.0
    bold: bool | None = None
    colour: str | None = None
    ground: str | None = None
    ring: bool | None = None
    leading: float | None = None


class Gap(NamedTuple):
    """Empty room above and below a block [em of the words round about it]."""

    above: float
    below: float


Rules = Mapping[str, Look]
Gaps = Mapping[str, Gap]

BADGE = Look(0.84, bold=True)
LOOKS: Rules = {
    "h1": Look(2.0, bold=True, leading=1.2),
    "h2": Look(1.3, bold=True, leading=1.25),
    "h3": Look(0.95, bold=True, colour=QUIET),
    "strong": Look(bold=True),
    "b": Look(bold=True),
    "small": Look(0.88, bold=False, colour=QUIET),
    "dt": Look(0.95, colour=QUIET),
    "caption": Look(bold=True),
    "summary": Look(bold=True),
    ".issue": Look(0.9, colour=DEEP),
    ".about": Look(0.95, colour=QUIET),
    ".note": Look(0.92, bold=False, colour=QUIET),
    ".shut": Look(bold=False),
    ".plain": Look(bold=False),
    ".called": Look(bold=True),
    ".weigh": Look(bold=True),
    ".flag": Look(bold=True, colour=STOP),
    ".open": Look(colour=STOP),
    ".cautions": Look(0.92),
    ".warning": Look(bold=True, colour=STOP),
    ".detail": Look(colour=QUIET),
    ".pill": Look(0.92, bold=True, ground="#ffffff", ring=True),
    ".badge": BADGE,
    ".stop": Look(colour=STOP, ground=STOP_GROUND),
    ".not-set": Look(colour=STOP, ground=STOP_GROUND),
    ".pricing": Look(colour=CARE, ground=CARE_GROUND),
    ".for-pricing-only": Look(colour=CARE, ground=CARE_GROUND),
}
# A notice is read from two steps away.
NOTICE: Rules = {
    **LOOKS,
    "h1": Look(2.5, bold=True, leading=1.15),
    "h2": Look(1.35, bold=True),
    ".keep": Look(2.2, bold=True, colour=STOP, leading=1.25),
    ".site": Look(colour=QUIET),
    ".work": Look(1.2),
    ".condition": Look(1.2, bold=True),
    ".closures": Look(1.05),
    ".checked": Look(0.8, bold=False),
    ".lift": Look(0.9, colour=QUIET),
}
GAPS: Gaps = {
    "h1": Gap(0.2, 0.3),
    "h2": Gap(1.7, 0.6),
    "h3": Gap(1.0, 0.4),
    "p": Gap(0.15, 0.45),
    "ul": Gap(0.2, 0.5),
    "ol": Gap(0.2, 0.5),
    "li": Gap(0.0, 0.32),
    "dl": Gap(0.3, 0.6),
    "table": Gap(0.3, 0.9),
    "svg": Gap(0.4, 0.8),
    "section": Gap(0.7, 0.4),
    "footer": Gap(1.5, 0.0),
    "hr": Gap(0.8, 0.8),
    ".keep": Gap(0.0, 1.2),
    ".site": Gap(0.0, 1.0),
    ".until": Gap(0.2, 1.2),
    ".condition": Gap(0.5, 0.1),
    ".closures": Gap(0.0, 1.0),
    ".lift": Gap(1.0, 0.0),
}
NONE = Gap(0.0, 0.0)


def typed(element: Element, around: Type, rules: Rules) -> Type:
    """Return how the words in an element are set, from those round about it."""
    made = around._replace(ground="", ring=False)
    for name in (element.name, *(f".{each}" for each in element.classes)):
        if name in rules:
            made = _changed(made, rules[name])
    if "badge" in element.classes and not made.ground:
        made = made._replace(ground=OUT_GROUND, colour=QUIET)
    return made


def gap(element: Element, around: Type) -> Gap:
    """Return the room above and below a block [mm]."""
    names = (*(f".{each}" for each in element.classes), element.name)
    above, below = next((GAPS[each] for each in names if each in GAPS), NONE)
    return Gap(above * around.em, below * around.em)


def _changed(made: Type, look: Look) -> Type:
    changes: dict[str, Any] = {
        name: value
        for name, value in look._asdict().items()
        if name != "times" and value is not None
    }
    return made._replace(size=made.size * look.times, **changes)
