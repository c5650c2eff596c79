"""A small picture of what a site plan holds, to look at before it is read: PNG, drawn by Pillow."""

from __future__ import annotations

import io
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, PngImagePlugin
from shapely.geometry.base import BaseGeometry

from lawnmap.exports.drawing.drawn import lines, points, rings
from lawnmap.exports.drawing.symbols import ORDER, Look, badge, look
from lawnmap.exports.preview import marks
from lawnmap.exports.preview.view import SHARP, Drawn, View, view_of
from lawnmap.found import Heights
from lawnmap.geometry.grid import Box

Floats = npt.NDArray[np.float64]

SIGNATURE = b"\x89PNG\r\n\x1a\n"  # ISO/IEC 15948, 5.2
MADE_BY = "lawnmap preview"  # in the file's text, by which an earlier preview is known
HEAD = 120  # bytes of a preview within which these stand
LAWN = Look("#b3cb86", "#3f6b34", 1.8)
LOW, HIGH = (247, 238, 214), (92, 56, 22)  # of heights: light to dark, one hue
PAPER = "#ffffff"
GONE = "#8a857d"
MOST_BADGES = 200  # points with a letter; more are dots


class Scene(NamedTuple):
    """What is drawn.

    Attributes
    ----------
    features : tuple of Drawn
    picture : (bytes, bounds) or None
        A plan picture as WebP, even in Web Mercator between its bounds [°].
    heights : Heights or None
        Longitude, latitude [°] and metres.
    placed : bool
        Whether up is north.
    """

    features: tuple[Drawn, ...]
    picture: tuple[bytes, Box] | None = None
    heights: Heights | None = None
    placed: bool = True


def is_preview(head: bytes) -> bool:
    """Tell whether a file that begins like this is a preview drawn here."""
    return head.startswith(SIGNATURE) and MADE_BY.encode("ascii") in head[:HEAD]


def preview(scene: Scene) -> bytes:
    """Return the scene as a PNG 800 pixels wide, the same bytes for the same scene."""
    legend = _legend(tuple(each for each in scene.features if each.filled))
    view = view_of(_bounds(scene), foot=marks.foot_px([each.kind for each in legend]))
    image = Image.new("RGB", view.size, PAPER)
    note = ""
    if scene.picture is not None:
        _picture(image, view, *scene.picture)
    if scene.heights is not None:
        note = _heights(image, view, scene.heights.points)
    _features(image, view, scene.features)
    marks.names(image, view, scene.features)
    marks.foot(image, view, legend, note, placed=scene.placed)
    said = PngImagePlugin.PngInfo()
    said.add_text("Software", MADE_BY)
    stream = io.BytesIO()
    image.reduce(SHARP).save(stream, "PNG", optimize=True, pnginfo=said)
    return stream.getvalue()


def _legend(features: tuple[Drawn, ...]) -> list[marks.Entry]:
    """Return the kinds that are drawn, the lawn first, then from the ground up."""
    kinds = dict.fromkeys(("zone", *ORDER, *sorted({each.kind for each in features})))
    entries = []
    for kind in kinds:
        sorts = {each.shape.geom_type for each in features if each.kind == kind}
        if sorts:
            entries.append(marks.Entry(kind, _look(kind), badge(kind) * (sorts == {"Point"})))
    return entries


def _bounds(scene: Scene) -> Box:
    """Return west, south, east and north edge of everything [°]."""
    boxes = [each.shape.bounds for each in scene.features]
    if scene.picture is not None:
        boxes.append(scene.picture[1])
    if scene.heights is not None:
        known = scene.heights.points[np.isfinite(scene.heights.points).all(axis=1), :2]
        boxes.append((*known.min(axis=0).tolist(), *known.max(axis=0).tolist()))
    west, south, east, north = np.array(boxes, dtype=float).T
    return float(west.min()), float(south.min()), float(east.max()), float(north.max())


def _look(kind: str) -> Look:
    return LAWN if kind == "zone" else look(kind)


def _picture(image: Image.Image, view: View, data: bytes, bounds: Box) -> None:
    west, south, east, north = bounds
    (left, bottom), (right, top) = np.round(view.pixels(np.array([[west, south], [east, north]])))
    with Image.open(io.BytesIO(data), formats=["WEBP"]) as stored:
        size = (max(1, int(right - left)), max(1, int(bottom - top)))
        small = stored.convert("RGBA").resize(size, Image.Resampling.LANCZOS)
    image.paste(small, (int(left), int(top)), small)


def _heights(image: Image.Image, view: View, given: Floats) -> str:
    """Draw every height as a spot, the darker the higher, and return the words for that."""
    known = given[np.isfinite(given).all(axis=1)]
    low, high = known[:, 2].min(), known[:, 2].max()
    share = (known[:, 2] - low) / (high - low or 1.0)
    colours = np.round(np.outer(1 - share, LOW) + np.outer(share, HIGH)).astype(int).tolist()
    at = view.pixels(known[:, :2])
    room = np.sqrt(np.prod(np.ptp(at, axis=0)) / len(at)) if len(at) > 1 else marks.SPOT
    radius = float(np.clip(0.55 * room, 1.5, marks.SPOT))
    pen = ImageDraw.Draw(image)
    for (x, y), colour in zip(at.tolist(), colours, strict=True):
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=tuple(colour))
    return f"heights {low:,.1f} to {high:,.1f} m, darker is higher"


def _features(image: Image.Image, view: View, features: tuple[Drawn, ...]) -> None:
    """Draw the lawn, then what stands on it from the ground up, then points."""
    rank = {kind: number for number, kind in enumerate(("zone", *ORDER))}
    order = sorted(features, key=lambda each: rank.get(each.kind, len(rank)))
    shapes = [view.flat(each.shape) for each in order]
    for each, shape in zip(order, shapes, strict=True):
        _areas(image, each, shape)
        _lines(image, each, shape)
    spots = [
        (each, place) for each, flat in zip(order, shapes, strict=True) for place in points(flat)
    ]
    pen = ImageDraw.Draw(image)
    for each, (x, y) in spots:
        if len(spots) > MOST_BADGES:
            marks.dot(pen, x, y, _look(each.kind))
        else:
            marks.badge(pen, x, y, _look(each.kind), badge(each.kind))


def _areas(image: Image.Image, each: Drawn, shape: BaseGeometry) -> None:
    """Fill and edge the outlines of a feature, its holes left open."""
    style = _look(each.kind)
    edge = style.stroke if each.filled else GONE
    for polygon in rings(shape):
        if each.filled and style.fill:
            _fill(image, polygon, style)
        for ring in polygon:
            _stroke(image, np.vstack([ring, ring[:1]]), edge, max(style.width, 1.4))


def _fill(image: Image.Image, polygon: list[Floats], style: Look) -> None:
    corners = np.vstack(polygon)
    left, top = np.floor(corners.min(axis=0)).astype(int).tolist()
    right, bottom = np.ceil(corners.max(axis=0)).astype(int).tolist()
    mask = Image.new("L", (right - left + 1, bottom - top + 1))
    pen = ImageDraw.Draw(mask)
    for number, ring in enumerate(polygon):
        pen.polygon(_corners(ring - [left, top]), fill=0 if number else round(255 * style.veil))
    image.paste(style.fill, (left, top), mask)


def _lines(image: Image.Image, each: Drawn, shape: BaseGeometry) -> None:
    style = _look(each.kind)
    for line in lines(shape):
        _stroke(image, line, style.stroke if each.filled else GONE, max(style.width, 1.4))


def _stroke(image: Image.Image, places: Floats, colour: str, width: float) -> None:
    ImageDraw.Draw(image).line(
        _corners(places), fill=colour, width=round(width * SHARP), joint="curve"
    )


def _corners(places: Floats) -> list[tuple[float, float]]:
    return [(x, y) for x, y in places.tolist()]
