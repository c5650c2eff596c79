"""Sizes of paper, and the scales at which a site fits on one."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from lawnmap.errors import InputRefused, UsageProblem

# Shorter side first [mm]. ISO 216 for the A sizes, ANSI/ASME Y14.1 for Letter and Tabloid, of
# 8.5 by 11 and 11 by 17 inches.
SIZES = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
# ISO 5455 has 1, 2 and 5 with their tens; builders' plans are drawn at 1:250, 1:1250, 1:2500 too.
SCALES = (
    10, 20, 50, 100, 200, 250, 500, 1000, 1250, 2000, 2500, 5000, 10_000, 20_000, 50_000, 100_000,
)  # fmt: skip
OWN = re.compile(r"(\d{2,4})\s*[x×]\s*(\d{2,4})")
LEAST, MOST = 100, 5000  # side of a paper of one's own [mm]
MARGIN = 10.0  # what printers leave white, and a hand needs [mm]
HEAD = 17.0  # title, and what the plan is of [mm]


class Size(NamedTuple):
    """Width and height of a sheet of paper [mm]."""

    width: float
    height: float


class Layout(NamedTuple):
    """A sheet, and how much of it is taken right of the plan and below it [mm]."""

    size: Size
    beside: float
    below: float

    @property
    def window(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of the room for the plan [mm]."""
        width, height = self.size
        room = width - 2 * MARGIN - self.beside, height - 2 * MARGIN - HEAD - self.below
        return MARGIN, MARGIN + HEAD, *room

    def holds(self, extent: tuple[float, float], scale: float) -> bool:
        """Tell whether a site of some metres each way fits at a scale."""
        *_, width, height = self.window
        wide, high = (1000 * side / scale for side in extent)
        return wide <= width and high <= height


def sheets(name: str) -> list[Size]:
    """Return a size by its name both ways round, landscape first; one of one's own as it is.

    Raises
    ------
    UsageProblem
        For a name that is none.
    """
    own = OWN.fullmatch(name.strip())
    if own:
        sides = Size(float(own[1]), float(own[2]))
        if LEAST <= min(sides) and max(sides) <= MOST:
            return [sides]
    known = {each.casefold(): sides for each, sides in SIZES.items()}
    if name.strip().casefold() not in known:
        raise UsageProblem(
            f"the paper size {name!r} is not known",
            remedy=f"It can be: {', '.join(SIZES)}, or width and height in millimetres such as "
            f"600x400, from {LEAST} to {MOST}.",
        )
    short, long = known[name.strip().casefold()]
    return [Size(long, short), Size(short, long)]


def fit(
    extent: tuple[float, float],
    layouts: Sequence[Layout],
    scale: int = 0,
    *,
    others: Mapping[str, Sequence[Layout]],
) -> tuple[Layout, int]:
    """Return the layout that takes a site, and the scale.

    Parameters
    ----------
    extent : (float, float)
        What the site measures from west to east and from south to north [m].
    layouts : sequence of Layout
        The better ones first.
    scale : int
        Metres on the ground for a metre of paper; 0 is the largest that fits.
    others : mapping of str to sequence of Layout
        Other sizes of paper by name, the smaller ones first.

    Raises
    ------
    InputRefused
        When the site does not fit at that scale; the largest that fits is told, and the paper that
        would take it.
    """
    largest = next((x for x in SCALES if any(each.holds(extent, x) for each in layouts)), 0)
    wanted = scale or largest or SCALES[-1]
    for each in layouts:
        if each.holds(extent, wanted):
            return each, wanted
    wide, high = (1000 * side / wanted for side in extent)
    *_, width, height = min(
        (each.window for each in layouts),
        key=lambda room: max(wide / max(room[2], 1), high / max(room[3], 1)),
    )
    paper = [name for name, own in others.items() if any(x.holds(extent, wanted) for x in own)]
    ways = [f"1:{largest} fits here" if largest else "", f"{paper[0]} would do" if paper else ""]
    raise InputRefused(
        f"at 1:{wanted} the site needs {wide:.0f} × {high:.0f} mm, and beside title and legend "
        f"there is room for {width:.0f} × {height:.0f} mm",
        done="Nothing was written.",
        remedy=f"{'; '.join(each for each in ways if each) or 'Take larger paper'}.",
    )
