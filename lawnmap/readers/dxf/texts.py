"""Texts of a drawing, and which outline each of them names."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely
from ezdxf.lldxf.encoding import decode_dxf_unicode
from shapely.geometry.base import BaseGeometry

from lawnmap.readers import attributes
from lawnmap.readers.dxf.walk import Placed

KINDS = {"TEXT", "MTEXT", "ATTRIB"}
SAME = 1e-4  # of an area: outlines drawn over each other on two layers have one name


class Text(NamedTuple):
    """What is written, where its insertion point lies, and how tall it is."""

    words: str
    x: float
    y: float
    height: float


def read(placed: Placed) -> Text | None:
    """Return a text entity in the coordinates of the drawing; None when nothing is written."""
    entity = placed.entity
    words = attributes.one_line(_plain(entity))
    if not words:
        return None
    if entity.dxftype() == "MTEXT":
        height, point = float(entity.dxf.char_height), entity.dxf.insert
    else:
        height = float(entity.dxf.height)
        point = entity.ocs().to_wcs(_anchor(entity))
    x, y, _ = np.array(point.xyz) @ placed.matrix[:3, :3] + placed.matrix[3, :3]
    scale = float(np.abs(np.linalg.det(placed.matrix[:2, :2]))) ** 0.5
    return Text(words, float(x), float(y), height * scale)


def _plain(entity: Any) -> str:
    # Older releases spell letters that are not in their code page as \\U+010C.
    words = decode_dxf_unicode(str(entity.plain_text()))
    return words.encode("utf-8", "replace").decode("utf-8")  # no half surrogate pairs


def _anchor(entity: Any) -> Any:
    """Return the point that the person placed: for a text that is not set left, the second."""
    aligned = entity.dxf.get("halign", 0) or entity.dxf.get("valign", 0)
    if aligned and entity.dxf.hasattr("align_point"):
        return entity.dxf.align_point
    return entity.dxf.insert


def name_all(
    outlines: Sequence[BaseGeometry], texts: Sequence[Text]
) -> tuple[list[str], list[list[str]]]:
    """Return the name of each outline ("" for none), and what else is written in it.

    A text names the smallest outline that it lies in. Of several the tallest is the name, and the
    first of those.
    """
    inside: list[list[Text]] = [[] for _ in outlines]
    if outlines and texts:
        points = shapely.points([(text.x, text.y) for text in texts])
        pairs = shapely.STRtree(list(outlines)).query(points, predicate="within")
        around: dict[int, list[int]] = {}
        for text, outline in pairs.T.tolist():
            around.setdefault(text, []).append(outline)
        for text, those in sorted(around.items()):
            least = min(outlines[n].area for n in those)
            for n in those:
                if outlines[n].area <= least * (1 + SAME):
                    inside[n].append(texts[text])
    names, others = [], []
    for those_in in inside:
        ranked = [text.words for text in sorted(those_in, key=lambda text: -text.height)]
        names.append(ranked[0] if ranked else "")
        others.append([words for words in dict.fromkeys(ranked[1:]) if words != ranked[0]])
    return names, others
