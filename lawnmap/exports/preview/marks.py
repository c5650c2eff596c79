"""What is written on a preview: names, marks of points, the scale, north and the legend."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from PIL import Image, ImageDraw, ImageFont

from lawnmap.exports.drawing.symbols import Look
from lawnmap.exports.preview.view import INK, MARGIN, SHARP, WIDTH, View
from lawnmap.pages.words import known

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from lawnmap.exports.preview.view import Drawn

Font = ImageFont.FreeTypeFont | ImageFont.ImageFont

SPOT = 5 * SHARP  # radius of a single height
BADGE = 9 * SHARP  # half a side of a point's box
SIZES = (15, 12, 10)  # of names, the largest that fits
LONGEST_NAME = 40
MOST_NAMES = 300
ROW, SWATCH = 24, 14
BAR_SHARE = 0.25  # of the width: the most that the scale bar takes
LEGEND_X = 300  # where the legend begins, right of the scale bar
ROUND = (5, 2, 1)


class Entry(NamedTuple):
    """One kind of the legend; with its letter when it is drawn as points only."""

    kind: str
    look: Look
    letter: str = ""


def font(size: int) -> Font:
    """Return the font that Pillow brings, in pixels of the finished picture."""
    return ImageFont.load_default(size * SHARP)


def dot(pen: ImageDraw.ImageDraw, x: float, y: float, style: Look) -> None:
    """Draw one of very many points."""
    pen.ellipse((x - 4, y - 4, x + 4, y + 4), fill=style.stroke)


def badge(pen: ImageDraw.ImageDraw, x: float, y: float, style: Look, letter: str) -> None:
    """Draw a point as a box with the letter of its kind."""
    box = (x - BADGE, y - BADGE, x + BADGE, y + BADGE)
    pen.rounded_rectangle(box, radius=3 * SHARP, fill="#ffffff", outline=style.stroke, width=3)
    pen.text((x, y), letter, fill=style.stroke, font=font(12), anchor="mm")


def names(image: Image.Image, view: View, features: Sequence[Drawn]) -> None:
    """Write the name of each zone that has room for it, on one line or a word a line."""
    pen = ImageDraw.Draw(image)
    zones = [each for each in features if each.kind == "zone" and each.filled]
    others = [_hiding(view.flat(each.shape)) for each in features if each.kind != "zone"]
    tree = shapely.STRtree(others)
    for each in sorted(zones, key=lambda zone: -zone.shape.area)[:MOST_NAMES]:
        whole = view.flat(each.shape)
        near = tree.query(whole, predicate="intersects")
        free = whole.difference(shapely.union_all([others[index] for index in near]))
        if not _name(pen, free, each.name[:LONGEST_NAME]):
            _name(pen, whole, each.name[:LONGEST_NAME])


def _hiding(shape: BaseGeometry) -> BaseGeometry:
    """Return the ground of a drawing that no name should cover."""
    area = shape.geom_type.endswith("Polygon")
    return shape if area else shape.buffer(BADGE * 1.3 if shape.geom_type == "Point" else SHARP)


def _name(pen: ImageDraw.ImageDraw, room: BaseGeometry, name: str) -> bool:
    """Write a name as large as it fits into the room, and tell whether it did."""
    if not name or room.is_empty:
        return False
    spoke = shapely.maximum_inscribed_circle(np.array([room], dtype=object), 2.0)
    places = shapely.get_coordinates([shapely.centroid(room), *spoke])[:2].tolist()
    for text in dict.fromkeys((name, name.replace(" ", "\n"))):
        for size in SIZES:
            letters = font(size)
            for x, y in places:
                box = pen.textbbox((x, y), text, letters, anchor="mm", align="center")
                if room.contains(shapely.box(*box).buffer(SHARP)):
                    _write(pen, (x, y), text, letters)
                    return True
    return False


def _write(pen: ImageDraw.ImageDraw, at: tuple[float, float], text: str, letters: Font) -> None:
    """Write dark on a light rim, so that it can be read on anything."""
    rim = "#ffffff"
    pen.text(at, text, INK, letters, "mm", align="center", stroke_width=4, stroke_fill=rim)


def foot_px(legend: Sequence[str]) -> int:
    """Return how high the foot is, in pixels of the finished picture."""
    return ROW * max(2, len(_legend_rows(legend))) + 16


def foot(
    image: Image.Image, view: View, legend: Sequence[Entry], note: str, *, placed: bool
) -> None:
    """Draw scale bar, legend or note and, where up is north, the arrow that says so."""
    pen = ImageDraw.Draw(image)
    width, height = view.size
    top = height - view.foot
    pen.line((0, top, width, top), fill="#d8d4cc", width=2)
    _scale(pen, view, top, placed=placed)
    entries = {each.kind: each for each in legend}
    for number, row in enumerate(_legend_rows(list(entries))):
        for x, kind in row:
            _swatch(pen, x * SHARP, top + (8 + ROW * number) * SHARP, entries[kind])
    if not legend:
        pen.text((LEGEND_X * SHARP, top + 8 * SHARP), note, fill=INK, font=font(12), anchor="la")
    if placed:
        _north(pen, width - MARGIN * SHARP, MARGIN * SHARP // 2)


def bar_m(width_m: float) -> float:
    """Return the longest round length, 1, 2 or 5 and noughts, that is a quarter of the width.

    Examples
    --------
    >>> bar_m(100), bar_m(79), bar_m(1.9)
    (20.0, 10.0, 0.2)
    """
    most = BAR_SHARE * width_m
    ten = 10.0 ** np.floor(np.log10(most))
    return float(next(each * ten for each in ROUND if each * ten <= most))


def _scale(pen: ImageDraw.ImageDraw, view: View, top: int, *, placed: bool) -> None:
    """Draw a bar of two halves with its length."""
    length = bar_m(view.size[0] / view.scale)
    left, y = MARGIN * SHARP, top + 12 * SHARP
    half = length * view.scale / 2
    pen.rectangle((left, y, left + half, y + 5 * SHARP), fill=INK)
    pen.rectangle((left, y, left + 2 * half, y + 5 * SHARP), outline=INK, width=2)
    said = f"{length / 1000:g} km" if length >= 1000 else f"{length:g} m"  # noqa: PLR2004 - metres
    said += "" if placed else " · the plan's own axes"
    pen.text((left, y + 10 * SHARP), said, fill=INK, font=font(12), anchor="la")


def _north(pen: ImageDraw.ImageDraw, x: float, y: float) -> None:
    tip, wide = 26 * SHARP, 8 * SHARP
    pen.polygon([(x, y), (x + wide, y + tip), (x, y + 0.75 * tip)], fill=INK)
    pen.polygon([(x, y), (x - wide, y + tip), (x, y + 0.75 * tip)], fill="#ffffff", outline=INK)
    pen.text((x, y + tip + 2 * SHARP), "N", fill=INK, font=font(13), anchor="ma")


def _legend_rows(kinds: Sequence[str]) -> list[list[tuple[float, str]]]:
    """Return the kinds with the column where each begins, row by row."""
    rows: list[list[tuple[float, str]]] = [[]]
    x = float(LEGEND_X)
    for kind in kinds:
        length = SWATCH + 6 + font(12).getlength(_word(kind)) / SHARP + 18
        if x + length > WIDTH - MARGIN and rows[-1]:
            rows.append([])
            x = float(LEGEND_X)
        rows[-1].append((x, kind))
        x += length
    return rows


def _swatch(pen: ImageDraw.ImageDraw, x: float, y: float, each: Entry) -> None:
    """Draw one kind as it looks on the plan, and its word."""
    side, style = SWATCH * SHARP, each.look
    middle = y + side / 2
    if each.letter:
        badge(pen, x + side / 2, middle, style, each.letter)
    elif style.fill:
        pen.rectangle((x, y, x + side, y + side), style.fill, style.stroke, width=3)
    else:
        pen.line((x, middle, x + side, middle), style.stroke, width=round(style.width * SHARP))
    text = (x + side + 6 * SHARP, middle)
    pen.text(text, _word(each.kind), fill=INK, font=font(12), anchor="lm")


def _word(kind: str) -> str:
    return known("kind", kind)
