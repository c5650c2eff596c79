"""The still plan: zones and features as one SVG drawing, for a page whose scripts are blocked.

Attributes only, no ``style``: the page's policy lets no inline style through.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.agronomy.unit_systems import METRIC, Unit, unit_for
from lawnmap.exports.drawing import symbols
from lawnmap.exports.drawing.drawn import Drawing, Mapped, lines, points, rings
from lawnmap.exports.wording.amounts import SPACE, number
from lawnmap.pages.escape import Html, join, tag
from lawnmap.pages.words import word

WIDTH = 1000  # of the drawing; all else follows from the shape of the site
TALLEST = 1000
MARGIN = 24
FOOT = 44  # room for the scale bar
NUMBERED_ALL = 60  # zones up to which every number is shown, however small the zone
INK = "#24302a"

Numbers = npt.NDArray[np.float64]


class Sheet:
    """The fit of metres to the drawing: north up, the whole site inside the margins."""

    def __init__(self, bounds: tuple[float, float, float, float]) -> None:
        self.west, self.south, self.east, self.north = bounds
        wide = max(self.east - self.west, 0.1)
        high = max(self.north - self.south, 0.1)
        self.scale = min((WIDTH - 2 * MARGIN) / wide, (TALLEST - 2 * MARGIN) / high)
        self.height = high * self.scale + 2 * MARGIN + FOOT
        self.left = (WIDTH - wide * self.scale) / 2

    def place(self, metres: Numbers) -> Numbers:
        """Return (n, 2) places on the drawing of (n, 2) metres."""
        x = self.left + (metres[:, 0] - self.west) * self.scale
        y = MARGIN + (self.north - metres[:, 1]) * self.scale
        return np.column_stack([x, y])

    def path(self, shape: shapely.Geometry) -> str:
        """Return the path data of a shape's polygons and lines."""
        closed = [self._run(ring) + "z" for polygon in rings(shape) for ring in polygon]
        return "".join(closed + [self._run(line) for line in lines(shape)])

    def _run(self, metres: Numbers) -> str:
        return "M" + " ".join(f"{x:.1f} {y:.1f}" for x, y in self.place(metres))


def plan_svg(drawing: Drawing, fills: list[str], units: str = METRIC, *, placed: bool) -> Html:
    """Return the plan with a number on each zone.

    Parameters
    ----------
    drawing : Drawing
    fills : list of str
        A colour or ``url(#pattern)`` for each zone.
    units : str
        Of the scale bar.
    placed : bool
        Whether north is known.
    """
    sheet = Sheet(drawing.bounds)
    parts = [
        tag("path", d=sheet.path(shape), fill=fill, fill_rule="evenodd", class_="zone")
        for shape, fill in zip(drawing.zones, fills, strict=True)
    ]
    ground = tag("g", join(parts), stroke=INK, stroke_width=1.5, stroke_linejoin="round")
    layers = [
        tag("path", d=sheet.path(shape), **symbols.strokes(layer.look, filled=True))
        for layer in drawing.layers
        if layer.shown
        for shape in layer.shapes
    ]
    features = [_feature(each, sheet) for each in sorted(drawing.features, key=_height)]
    window = tag("rect", width=WIDTH, height=f"{sheet.height - FOOT:.0f}")
    return tag(
        "svg",
        tag("title", word("plan.title")),
        tag("clipPath", window, id="plan-window"),
        tag("g", ground, join(layers), join(features), clip_path="url(#plan-window)"),
        join(_numbers(drawing, sheet)),
        _scale_bar(sheet, units),
        north_arrow(WIDTH - 34, sheet.height - 40) if placed else "",
        class_="plan",
        viewBox=f"0 0 {WIDTH} {sheet.height:.0f}",
        role="img",
        font_family="sans-serif",
    )


def north_arrow(x: float, y: float) -> Html:
    """Return an arrow of 36 by 56, its middle at (x, y)."""
    needle = tag("path", d="M0 -28 11 10 0 3 -11 10z", fill=INK)
    letter = tag(
        "text", word("plan.north"), y=27, text_anchor="middle", font_size=16, font_weight="bold"
    )
    return tag("g", needle, letter, transform=f"translate({x:.0f} {y:.0f})", fill=INK)


def _height(feature: Mapped) -> int:
    order = symbols.ORDER
    return order.index(feature.kind) if feature.kind in order else len(order)


def _feature(feature: Mapped, sheet: Sheet) -> Html:
    data = sheet.path(feature.shape)
    filled = bool(rings(feature.shape))
    drawn = tag("path", d=data, **symbols.strokes(feature.kind, filled=filled)) if data else Html()
    if data and not filled:
        drawn = join([tag("path", d=data, **symbols.casing(feature.kind)), drawn])
    places = sheet.place(points(feature.shape))
    return join([drawn, *(symbols.mark(feature.kind, x, y, size=20) for x, y in places)])


def _numbers(drawing: Drawing, sheet: Sheet) -> list[Html]:
    found = []
    everyone = len(drawing.zones) <= NUMBERED_ALL
    places = sheet.place(drawing.points)
    for place, ((x, y), radius) in enumerate(zip(places, drawing.radii, strict=True), start=1):
        label = str(place)
        half = 9 + 6 * len(label)
        if not everyone and radius * sheet.scale < half:
            continue
        pill = tag(
            "rect",
            x=f"{x - half:.1f}",
            y=f"{y - 15:.1f}",
            width=2 * half,
            height=30,
            rx=15,
            fill="#ffffff",
            stroke=INK,
        )
        figure = tag(
            "text",
            label,
            x=f"{x:.1f}",
            y=f"{y + 7.5:.1f}",
            text_anchor="middle",
            font_size=21,
            font_weight="bold",
            fill=INK,
        )
        found.append(join([pill, figure]))
    return found


def _scale_bar(sheet: Sheet, units: str) -> Html:
    """Return a bar of a round length, about a fifth of the drawing's width."""
    unit = Unit("m", 1.0) if units == METRIC else unit_for(math.inf, "m", units)
    wanted = WIDTH / 5 / sheet.scale / unit.size
    step = 10 ** np.floor(np.log10(wanted))
    length = float(step * max(each for each in (1, 2, 5) if step * each <= wanted))
    long = length * unit.size * sheet.scale
    bar = tag("path", d=f"M0 0v10h{long:.1f}v-10", fill="none", stroke=INK, stroke_width=2)
    figure = tag(
        "text", f"{number(length, 2)}{SPACE}{unit.name}", x=f"{long + 10:.1f}", y=10, font_size=18
    )
    return tag("g", bar, figure, transform=f"translate({MARGIN} {sheet.height - 30:.0f})", fill=INK)
