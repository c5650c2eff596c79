"""The still plan: zones and features as one SVG drawing, for a page whose scripts are blocked.

Attributes only, no ``style``: the page's policy lets no inline style through.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.agronomy.unit_systems import METRIC, Unit, unit_for
from lawnmap.exports.drawing import letters, symbols
from lawnmap.exports.drawing.drawn import LONG_FROM, Drawing, Mapped, lines, points, rings
from lawnmap.exports.drawing.zone_names import names
from lawnmap.exports.wording.amounts import SPACE, number
from lawnmap.pages.escape import Html, join, tag
from lawnmap.pages.words import word

WIDTH = 640  # of the drawing: on a phone a unit is little more than half a pixel
TALLEST = 680
MARGIN = 16
FOOT = 60  # room for the scale bar and the arrow
NUMBERED_ALL = 60  # zones up to which every number is shown, however small the zone
PILL, FIGURE = 30, 21  # height of a number's ground, and of its letters
SMALLEST = 0.6  # of that, where two numbers stand close
INK = "#24302a"
METRES, KILOMETRES, MILES = Unit("m", 1.0), Unit("km", 1000.0), Unit("mi", 1609.344)
NEAR = 2  # units from the last corner below which one is left out of a rough outline

Numbers = npt.NDArray[np.float64]


class Sheet:
    """The fit of metres to the drawing: north up, the whole site inside the margins."""

    decimals = 1

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

    def rough(self, shape: shapely.Geometry) -> str:
        """Return the path data of a shape's polygons in whole units, near corners left out."""
        return "".join(self._whole(ring) for polygon in rings(shape) for ring in polygon)

    def _whole(self, metres: Numbers) -> str:
        places = np.rint(self.place(metres)).astype(int).tolist()
        kept = places[:1]
        for x, y in places[1:]:
            if abs(x - kept[-1][0]) + abs(y - kept[-1][1]) >= NEAR:
                kept.append([x, y])
        steps = [f"{x - a} {y - b}" for (a, b), (x, y) in itertools.pairwise(kept)]
        return f"M{kept[0][0]} {kept[0][1]}l{' '.join(steps) or '1 0'}z"

    def _run(self, metres: Numbers) -> str:
        return "M" + " ".join(
            f"{x:.{self.decimals}f} {y:.{self.decimals}f}" for x, y in self.place(metres)
        )


def plan_svg(
    drawing: Drawing,
    fills: list[str],
    units: str = METRIC,
    *,
    placed: bool,
    called: Sequence[str] = (),
) -> Html:
    """Return the plan with a number on each zone, and its name where there is room.

    Parameters
    ----------
    drawing : Drawing
    fills : list of str
        A colour or ``url(#pattern)`` for each zone.
    units : str
        Of the scale bar.
    placed : bool
        Whether north is known.
    called : sequence of str
        The name of each zone; without them the numbers stand alone.
    """
    sheet = Sheet(drawing.bounds)
    named = called if len(called) <= NUMBERED_ALL else ()
    window = tag("rect", width=WIDTH, height=f"{sheet.height - FOOT:.0f}")
    return tag(
        "svg",
        tag("title", word("plan.title")),
        tag("clipPath", window, id="plan-window"),
        tag("g", ground(drawing, fills, sheet), clip_path="url(#plan-window)"),
        join(names(drawing, sheet, named) if named else []),
        join(numbers(drawing, sheet)),
        scale_bar(sheet, units),
        north_arrow(WIDTH - 26, sheet.height - 31) if placed else "",
        class_="plan",
        viewBox=f"0 0 {WIDTH} {sheet.height:.0f}",
        role="img",
        font_family="sans-serif",
    )


def ground(drawing: Drawing, fills: list[str], sheet: Sheet) -> Html:
    """Return zones, the layers that are shown, and features, from the ground up."""
    many = len(drawing.zones) > LONG_FROM
    alike = [
        tag("path", d=data, fill=fill, fill_rule="evenodd", class_="zone")
        for fill, data in (_together if many else _alone)(drawing, fills, sheet)
    ]
    width = 0.6 if many else 1.5
    zones = tag("g", join(alike), stroke=INK, stroke_width=width, stroke_linejoin="round")
    layers = [
        tag("path", d=sheet.path(shape), **symbols.strokes(layer.look, filled=True))
        for layer in drawing.layers
        if layer.shown
        for shape in layer.shapes
    ]
    things = sorted(drawing.features, key=_height)
    features = [_feature(each, sheet) for each in things]
    marks = [
        (each.kind, float(x), float(y))
        for each in things
        for x, y in sheet.place(points(each.shape))
    ]
    return join(
        [
            zones,
            *layers,
            *features,
            letters.letters(marks, _taken(drawing, sheet), _window(drawing, sheet)),
        ]
    )


def _alone(drawing: Drawing, fills: list[str], sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Return the fill and path data of each zone."""
    for shape, fill in zip(drawing.zones, fills, strict=True):
        yield fill, sheet.path(shape)


def _together(drawing: Drawing, fills: list[str], sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Return each fill and the rough outlines of all zones that have it, as one path."""
    found: dict[str, list[str]] = {}
    for shape, fill in zip(drawing.zones, fills, strict=True):
        found.setdefault(fill, []).append(sheet.rough(shape))
    for fill, data in found.items():
        yield fill, "".join(data)


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
    return drawn


def numbers(drawing: Drawing, sheet: Sheet) -> list[Html]:
    """Return the number of each zone; of many, those that have room."""
    found = []
    for label, x, y, half, size in _numbered(drawing, sheet):
        pill = tag(
            "rect",
            x=f"{x - half:.1f}",
            y=f"{y - PILL / 2 * size:.1f}",
            width=f"{2 * half:.1f}",
            height=f"{PILL * size:.1f}",
            rx=f"{PILL / 2 * size:.1f}",
            fill="#ffffff",
            stroke=INK,
        )
        figure = tag(
            "text",
            label,
            x=f"{x:.1f}",
            y=f"{y + FIGURE * 0.36 * size:.1f}",
            text_anchor="middle",
            font_size=f"{FIGURE * size:.1f}",
            font_weight="bold",
            fill=INK,
        )
        found.append(join([pill, figure]))
    return found


def _numbered(drawing: Drawing, sheet: Sheet) -> Iterator[tuple[str, float, float, float, float]]:
    """Yield each number that stands: label, place, half of its width, and how far it shrinks."""
    everyone = len(drawing.zones) <= NUMBERED_ALL
    places = sheet.place(drawing.points)
    size = _size(places) if everyone else 1.0
    for place, ((x, y), radius) in enumerate(zip(places, drawing.radii, strict=True), start=1):
        half = _half(str(place)) * size
        if everyone or radius * sheet.scale >= half:
            yield str(place), float(x), float(y), half, size


def _taken(drawing: Drawing, sheet: Sheet) -> list[letters.Box]:
    """Return the ground of each number that stands on the drawing."""
    return [
        letters.box(x, y, half, PILL / 2 * size)
        for _, x, y, half, size in _numbered(drawing, sheet)
    ]


def _window(drawing: Drawing, sheet: Sheet) -> letters.Box:
    """Return what is seen of a drawing: its bounds, and the margin round them."""
    west, south, east, north = drawing.bounds
    (left, top), (right, low) = sheet.place(np.array([[west, north], [east, south]])).tolist()
    return left - MARGIN, top - MARGIN, right + MARGIN, low + MARGIN


def _size(places: Numbers) -> float:
    """Return by how much numbers shrink so that the two closest do not lie on each other."""
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    closest = apart[np.triu_indices(len(places), 1)].min(initial=math.inf)
    return float(np.clip(closest / (2 * _half(str(len(places)))), SMALLEST, 1.0))


def _half(label: str) -> float:
    """Return half of the width of a number's ground."""
    return 9.0 + 6.0 * len(label)


def scale_bar(sheet: Sheet, units: str) -> Html:
    """Return a bar of a round length, about a fifth of the drawing's width."""
    near, far = (METRES, KILOMETRES) if units == METRIC else (unit_for(math.inf, "m", units), MILES)
    unit = far if WIDTH / 5 / sheet.scale >= far.size else near
    wanted = WIDTH / 5 / sheet.scale / unit.size
    step = 10 ** np.floor(np.log10(wanted))
    length = float(step * max(each for each in (1, 2, 5) if step * each <= wanted))
    long = length * unit.size * sheet.scale
    bar = tag("path", d=f"M0 0v10h{long:.1f}v-10", fill="none", stroke=INK, stroke_width=2)
    figure = tag(
        "text", f"{number(length, 2)}{SPACE}{unit.name}", x=f"{long + 10:.1f}", y=10, font_size=18
    )
    return tag("g", bar, figure, transform=f"translate({MARGIN} {sheet.height - 30:.0f})", fill=INK)
