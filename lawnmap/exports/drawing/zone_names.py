"""Names of zones on a drawing, where a zone has room for its name below its number."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.exports.drawing.drawn import Drawing, rings
from lawnmap.exports.drawing.label_places import SEEN_THROUGH
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.pages.escape import Html, clean, tag
from lawnmap.paper import Paper

SIZE = 17  # of the letters [units of the drawing]
LETTER = 0.62  # width of a letter in sizes, as wide as common typefaces have it
LINE = 1.15  # from one line to the next, in sizes
BELOW = 17  # from the middle of the number to the top of the name
INK = "#1f2a24"


class Sheet(Protocol):
    """What is asked of a drawing: where metres fall on it, and how many units a metre has."""

    scale: float

    def place(self, metres: npt.NDArray[np.float64], /) -> npt.NDArray[np.float64]:
        """Return (n, 2) places of (n, 2) metres."""


def called(paper: Paper) -> list[str]:
    """Return what each zone is called, in the order of the plan's table."""
    return [zone_text.name(row, zone_id) for zone_id, row in zone_rows(paper.plan.zones)]


def names(drawing: Drawing, sheet: Sheet, called: Sequence[str]) -> list[Html]:
    """Return the names that have room inside their zones, in one line or in two.

    None lies over what has ground of its own there, such as paving.

    Parameters
    ----------
    drawing : Drawing
    sheet : Sheet
    called : sequence of str
        The name of each zone.
    """
    found = []
    shapely.prepare(drawing.zones)
    things = shapely.STRtree(
        [each.shape for each in drawing.features if _has_ground(each.kind, each.shape)]
    )
    for zone, at, name in zip(drawing.zones, drawing.points, called, strict=True):
        for lines in _splits(" ".join(clean(name).split())):
            box = _box(at, lines, sheet.scale)
            if shapely.covers(zone, box) and not len(things.query(box, predicate="intersects")):
                found += _written(sheet.place(at[None, :])[0], lines)
                break
    return found


def _has_ground(kind: str, shape: shapely.Geometry) -> bool:
    return kind not in SEEN_THROUGH and bool(rings(shape))


def _splits(name: str) -> list[list[str]]:
    """Return the name as one line, and as two at the space nearest to its middle."""
    spaces = [place for place, letter in enumerate(name) if letter == " "]
    if not name or not spaces:
        return [[name]] if name else []
    middle = min(spaces, key=lambda place: abs(2 * place - len(name)))
    return [[name], [name[:middle], name[middle + 1 :]]]


def _box(at: npt.NDArray[np.float64], lines: Sequence[str], scale: float) -> shapely.Polygon:
    """Return the ground that the lines would cover [m]."""
    half = max(map(len, lines)) * LETTER * SIZE / 2 / scale
    top, high = BELOW / scale, len(lines) * LINE * SIZE / scale
    box: shapely.Polygon = shapely.box(at[0] - half, at[1] - top - high, at[0] + half, at[1] - top)
    return box


def _written(at: npt.NDArray[np.float64], lines: Sequence[str]) -> list[Html]:
    """Return the lines with a white edge, so that they stand out from hatch and colour."""
    return [
        tag(
            "text",
            line,
            x=f"{at[0]:.1f}",
            y=f"{at[1] + BELOW + SIZE * (0.85 + LINE * place):.1f}",
            text_anchor="middle",
            font_size=SIZE,
            unicode_bidi="plaintext",
            fill=INK,
            stroke="#ffffff",
            stroke_width=4,
            stroke_linejoin="round",
            paint_order="stroke",
        )
        for place, line in enumerate(lines)
    ]
