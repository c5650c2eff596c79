"""Drawings: our own SVG, shape by shape, with the hatches of the page as true lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field

from lawnmap.exports.pdf.document import Document, Pen, Step, box
from lawnmap.exports.pdf.looks import INK, POINT, Type
from lawnmap.exports.pdf.path import Fit, ellipse, numbers, path, transform
from lawnmap.exports.pdf.tree import Element

LINK = re.compile(r"url\(#(.+)\)")
HEAVY = frozenset({"bold", "600", "700", "800", "900"})
APART = frozenset({"title", "desc", "defs", "pattern", "clippath", "metadata", "style"})
BEHIND = 0.75  # opacity of the white behind words that have a white edge on the page
HANDED_DOWN = frozenset(
    {"fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap", "fill-rule",
     "fill-opacity", "stroke-opacity", "font-size", "font-weight", "text-anchor"}
)  # fmt: skip

Looks = Mapping[str, str]


@dataclass(frozen=True)
class Drawing:
    """An SVG element, and what its shapes name elsewhere on the page, such as hatches."""

    svg: Element
    named: Mapping[str, Element] = field(repr=False)

    @property
    def view(self) -> tuple[float, float, float, float]:
        """Return left, top, width and height of what it shows, in its own measure."""
        found = numbers(self.svg.attributes.get("viewbox", "")) or [0.0, 0.0, 1.0, 1.0]
        left, top, wide, high = (*found, 1.0, 1.0, 1.0, 1.0)[:4]
        return left, top, max(wide, 1e-6), max(high, 1e-6)

    @property
    def proportions(self) -> float:
        """Return the height [width]."""
        _, _, wide, high = self.view
        return high / wide

    def draw(self, document: Document, x: float, y: float, width: float) -> None:
        """Draw it so wide [mm] from its top left corner."""
        left, top, wide, _ = self.view
        scale = width / wide
        fit = Fit(scale, 0.0, 0.0, scale, x - left * scale, y - top * scale)
        looks = {k: v for k, v in self.svg.attributes.items() if k in HANDED_DOWN}
        pencil = _Pencil(document, self.named)
        for each in self.svg.elements:
            pencil.element(each, fit, looks)


@dataclass(frozen=True)
class _Pencil:
    document: Document
    named: Mapping[str, Element]

    def element(self, element: Element, fit: Fit, around: Looks) -> None:
        """Draw an element and all in it."""
        if element.name in APART:
            return
        own = element.attributes
        looks = {**around, **{k: v for k, v in own.items() if k in HANDED_DOWN}}
        if "transform" in own:
            fit = fit.of(transform(own["transform"]))
        with ExitStack() as stack:
            window = self._named(own.get("clip-path", ""))
            if window is not None:
                shown = [step for each in window.elements for step in outline(each)]
                stack.enter_context(self.document.inside(fit.steps(shown)))
            if element.name == "text":
                self._text(element, fit, looks)
            elif steps := outline(element):
                self._shape(fit.steps(steps), fit, looks)
            for each in element.elements:
                self.element(each, fit, looks)

    def _shape(self, steps: list[Step], fit: Fit, looks: Looks) -> None:
        pen = pen_of(looks, fit.scale)
        hatch = self._named(looks.get("fill", ""))
        if hatch is None:
            self.document.shape(steps, pen)
            return
        self.document.shape(steps, pen._replace(fill=_ground(hatch), stroke=""))
        with self.document.inside(steps, even_odd=pen.even_odd):
            self._hatch(hatch, steps, fit)
        self.document.shape(steps, pen._replace(fill=""))

    def _hatch(self, hatch: Element, steps: list[Step], fit: Fit) -> None:
        """Draw the strokes of a hatch over all tiles that a shape touches, as one path."""
        side = float(hatch.attributes.get("width", 1)) * fit.scale
        strokes = [each for each in hatch.elements if each.name == "path"]
        tiles = list(_tiles(steps, fit, side)) if strokes else []
        for each in strokes:
            own = outline(each)
            drawn = [step for x, y in tiles for step in Fit(fit.a, 0, 0, fit.d, x, y).steps(own)]
            pen = pen_of(each.attributes, fit.scale)
            ink = _mixed(pen.stroke, _ground(hatch), pen.ink)
            self.document.shape(drawn, pen._replace(stroke=ink, ink=1.0))

    def _text(self, element: Element, fit: Fit, looks: Looks) -> None:
        text = " ".join(element.text().split())
        size = float(looks.get("font-size", 16)) * fit.scale / POINT
        colour = looks.get("fill", INK)
        how = Type(size, bold=looks.get("font-weight", "") in HEAVY, colour=colour)
        x, y = fit.at(*(float(element.attributes.get(each, 0)) for each in ("x", "y")))
        wide = self.document.breadth(text, how.bold) * how.em
        x -= {"middle": wide / 2, "end": wide}.get(looks.get("text-anchor", ""), 0.0)
        if _colour(looks.get("stroke", "")):
            ground = box(
                x - how.em * 0.15, y - how.em * 0.85, wide + how.em * 0.3, how.em * 1.1, 0.6
            )
            self.document.shape(ground, Pen("#ffffff", veil=BEHIND))
        self.document.say(x, y, text, how)

    def _named(self, link: str) -> Element | None:
        found = LINK.fullmatch(link.strip())
        return self.named.get(found[1]) if found else None


def outline(element: Element) -> list[Step]:
    """Return the path of a shape in the measure of its drawing; none of what is no shape."""
    own = element.attributes

    def of(*names: str) -> list[float]:
        return [float(own.get(each) or 0) for each in names]

    if element.name == "path":
        return path(own.get("d", ""))
    if element.name == "rect":
        return box(*of("x", "y", "width", "height", "rx"))
    if element.name == "circle":
        x, y, radius = of("cx", "cy", "r")
        return ellipse(x, y, radius, radius)
    if element.name == "ellipse":
        return ellipse(*of("cx", "cy", "rx", "ry"))
    if element.name == "line":
        x, y, to_x, to_y = of("x1", "y1", "x2", "y2")
        return [("m", (x, y)), ("l", (to_x, to_y))]
    if element.name in ("polyline", "polygon"):
        return path(f"M{own.get('points', '')}{'z' if element.name == 'polygon' else ''}")
    return []


def pen_of(looks: Looks, scale: float) -> Pen:
    """Return how a shape is painted, from its attributes and those handed down to it."""
    fill, stroke = looks.get("fill", "#000000"), looks.get("stroke", "none")
    dash = tuple(each * scale for each in numbers(looks.get("stroke-dasharray", "")))
    return Pen(
        fill=_colour(fill),
        stroke=_colour(stroke),
        width=float(looks.get("stroke-width", 1)) * scale,
        dash=dash,
        even_odd=looks.get("fill-rule") == "evenodd",
        veil=float(looks.get("fill-opacity", 1)),
        ink=float(looks.get("stroke-opacity", 1)),
        round=looks.get("stroke-linecap") == "round",
    )


def _colour(text: str) -> str:
    """Return a colour as ``#rrggbb``; empty for none, and for what is no colour of ours."""
    if re.fullmatch("#[0-9a-fA-F]{3}", text):
        return "#" + "".join(each * 2 for each in text[1:])
    return text if re.fullmatch("#[0-9a-fA-F]{6}", text) else ""


def _ground(hatch: Element) -> str:
    return next((each.attributes.get("fill", "") for each in hatch.elements), "")


def _mixed(ink: str, ground: str, share: float) -> str:
    """Return the colour of ink that lets some of its ground through: lines may cross unseen."""
    pairs = [(int(ink[at : at + 2], 16), int(ground[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(up * share + low * (1 - share)):02x}" for up, low in pairs)


def _tiles(steps: list[Step], fit: Fit, side: float) -> Iterator[tuple[float, float]]:
    """Yield the corner of each tile that the box round a shape touches, from one fixed corner."""
    xs = [each for _, places in steps for each in places[::2]]
    ys = [each for _, places in steps for each in places[1::2]]
    if not xs:
        return
    for row in range(int((min(ys) - fit.f) // side), int((max(ys) - fit.f) // side) + 1):
        for column in range(int((min(xs) - fit.e) // side), int((max(xs) - fit.e) // side) + 1):
            yield fit.e + column * side, fit.f + row * side
