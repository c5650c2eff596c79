"""The plan at true scale: one SVG in millimetres of paper, to print, measure in and build on."""

from __future__ import annotations

import math

import numpy as np

from lawnmap.agronomy.unit_systems import METRIC, Unit, unit_for
from lawnmap.exports.drawing import hatches
from lawnmap.exports.drawing.drawn import Drawing, drawing
from lawnmap.exports.drawing.outline_svg import INK, Sheet, ground, north_arrow, numbers
from lawnmap.exports.drawing.themes import Theme, themes
from lawnmap.exports.parts.front import title
from lawnmap.exports.scaled import legend
from lawnmap.exports.scaled.sizes import HEAD, MARGIN, SIZES, Layout, Size, fit, sheets
from lawnmap.exports.wording.amounts import day, number
from lawnmap.pages.escape import Html, clean, join, tag
from lawnmap.pages.words import word
from lawnmap.paper import Paper

TITLE = "plan at true scale, in millimetres of paper (SVG)"
SUFFIX = ".svg"
AUDIENCE = "client"

FINE = 6  # signs, strokes and hatches are drawn in sixths of a millimetre
GAP = 6.0  # between the plan and what stands beside it [mm]
BAR = 13.0  # height of the scale bar with its figures [mm]
LONGEST_BAR = 60.0  # [mm]
PARTS = 4  # of the bar, black and white in turn
DECLARED = '<?xml version="1.0" encoding="UTF-8"?>\n'


class Scaled(Sheet):
    """The fit of metres to a sheet of paper at a scale, in the fine units of the drawing."""

    decimals = 2
    rough = Sheet.path  # however many zones: people measure on it

    def __init__(
        self, bounds: tuple[float, float, float, float], layout: Layout, scale: int
    ) -> None:
        west, south, east, north = bounds
        left, top, width, height = (FINE * each for each in layout.window)
        self.scale = FINE * 1000 / scale
        self.west = (west + east - width / self.scale) / 2 - left / self.scale
        self.north = (south + north + height / self.scale) / 2 + top / self.scale

    def place(self, metres: np.ndarray) -> np.ndarray:
        """Return (n, 2) places on the paper of (n, 2) metres."""
        return (metres - [self.west, self.north]) * [self.scale, -self.scale]


def render(paper: Paper) -> bytes:
    """Return the drawing: north up, coloured by what is coloured first on the map.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience. Of a schematic the shape shows and no position.

    Returns
    -------
    bytes
        UTF-8; one unit is a millimetre of paper. No style, no script, no address, and the same
        paper gives the same bytes.

    Raises
    ------
    UsageProblem
        For a size of paper that is none.
    InputRefused
        When the site does not fit; the scale that fits is told.
    """
    drawn = drawing(paper)
    theme = next(iter(themes(paper.plan.zones, paper.units)), None)
    west, south, east, north = drawn.bounds
    entries = legend.entries(paper, drawn, theme)
    layout, scale = fit(
        (east - west, north - south),
        _layouts(paper.sheet, len(entries)),
        paper.scale,
        others={name: _layouts(name, len(entries)) for name in SIZES},
    )
    width, height = layout.size
    said = word(
        "scaled.scale", scale=f"1:{scale}", width=number(width, 1), height=number(height, 1)
    )
    return (
        DECLARED
        + tag(
            "svg",
            tag("title", title(paper)),
            tag("desc", said),
            hatches.definitions(),
            tag("rect", width=width, height=height, fill="#ffffff"),
            _plan(drawn, theme, Scaled(drawn.bounds, layout, scale), layout),
            _head(paper, layout),
            _measure(paper, layout, scale, said),
            *_legend(entries, layout),
            xmlns="http://www.w3.org/2000/svg",
            width=f"{width:g}mm",
            height=f"{height:g}mm",
            viewBox=f"0 0 {width:g} {height:g}",
            font_family="sans-serif",
            fill=INK,
            role="img",
        )
        + "\n"
    ).encode("utf-8")


def _layouts(sheet: str, entries: int) -> list[Layout]:
    """Return a sheet each way round, with the legend beside the plan and below it."""
    found = []
    for size in sheets(sheet):
        high = size.height - 2 * MARGIN - HEAD
        beside = -(-entries // int(high // legend.LINE)) * legend.WIDE
        below = _down(size, entries) * legend.LINE
        found += [Layout(size, beside + GAP, BAR), Layout(size, 0, BAR + below)]
    return found


def _down(size: Size, entries: int) -> int:
    """Return how many lines the legend takes below the plan."""
    columns = max(1, int((size.width - 2 * MARGIN) // legend.WIDE))
    return -(-entries // columns)


def _plan(drawn: Drawing, theme: Theme | None, sheet: Scaled, layout: Layout) -> Html:
    left, top, width, height = (f"{FINE * each:g}" for each in layout.window)
    window = tag("rect", x=left, y=top, width=width, height=height)
    fills = theme.fills if theme else ["#ffffff"] * len(drawn.zones)
    return tag(
        "g",
        tag("clipPath", window, id="window"),
        tag("g", ground(drawn, fills, sheet), clip_path="url(#window)"),
        join(numbers(drawn, sheet)),
        transform=f"scale({1 / FINE:.9g})",
    )


def _head(paper: Paper, layout: Layout) -> Html:
    """Return the title, and below it the issue, whom it is for and the day."""
    issue = word("front.issued", issue=clean(paper.issued)) if paper.issued else word("front.trial")
    today = word("front.today", day=day(paper.plan.today))
    said = " · ".join([issue, word(f"audience.{paper.audience}"), today])
    lines = [
        tag("text", title(paper), y=6, font_size=6, font_weight="bold"),
        tag("text", said, y=12, font_size=3.4),
    ]
    room = f"{layout.size.width - 2 * MARGIN:.2f}"
    return tag("svg", *lines, x=MARGIN, y=MARGIN, width=room, height=HEAD - 3)


def _measure(paper: Paper, layout: Layout, scale: int, said: str) -> Html:
    """Return the scale as a bar and in words, and north, below the plan."""
    left, top, width, height = layout.window
    parts = [_bar(paper.units, scale), tag("text", said, y=10, font_size=3.2)]
    if paper.plan.site.placed:
        at = f"translate({width - 6:.2f} 0) scale({1 / FINE:.9g})"
        parts.append(tag("g", north_arrow(18, 28), transform=at))
    return tag("g", *parts, transform=f"translate({left:.2f} {top + height + 2:.2f})")


def _legend(entries: list[legend.Entry], layout: Layout) -> list[Html]:
    width, height = layout.size
    if layout.beside:
        down = int((height - 2 * MARGIN - HEAD) // legend.LINE)
        at = width - MARGIN - layout.beside + GAP, MARGIN + HEAD
        return legend.block(entries, *at, down, legend.WIDE)
    down = _down(layout.size, len(entries))
    columns = -(-len(entries) // down)
    top = height - MARGIN - down * legend.LINE
    return legend.block(entries, MARGIN, top, down, (width - 2 * MARGIN) / columns)


def _bar(units: str, scale: int) -> Html:
    """Return a bar of a round length with its figures."""
    unit = Unit("m", 1.0) if units == METRIC else unit_for(math.inf, "m", units)
    most = LONGEST_BAR * scale / 1000 / unit.size
    step = 10 ** math.floor(math.log10(most))
    length = step * max(each for each in (1, 2, 5) if step * each <= most)
    part = length * unit.size * 1000 / scale / PARTS
    boxes = [
        tag("rect", x=f"{at * part:.3f}", y=4, width=f"{part:.3f}", height=1.6,
            fill="#ffffff" if at % 2 else INK, stroke=INK, stroke_width=0.2)
        for at in range(PARTS)
    ]  # fmt: skip
    figures = [
        tag("text", number(length * at / PARTS, 3), x=f"{at * part:.3f}", y=3,
            font_size=2.6, text_anchor="middle" if at else "start")
        for at in (0, 2, PARTS)
    ]  # fmt: skip
    name = tag("text", unit.name, x=f"{PARTS * part + 3:.2f}", y=6, font_size=3.2)
    return join([*boxes, *figures, name])
