"""How everything that is not lawn is drawn: alike on the map, the still plan and the legend."""

from __future__ import annotations

from typing import Any, NamedTuple

from lawnmap.pages.escape import Html, join, tag
from lawnmap.pages.words import known


class Look(NamedTuple):
    """Fill and stroke of one kind; ``fill`` empty draws an outline only.

    ``veil`` is the opacity of the fill; what is veiled lets a tap through to the lawn under it.
    ``ground`` is the most that a line covers of the ground [m]; 0 is a line as wide at any scale.
    """

    fill: str
    stroke: str
    width: float = 1.2
    dash: str = ""
    veil: float = 1.0
    ground: float = 0.0


LOOKS = {
    "paving": Look("#e3ddd3", "#8b8377"),
    "bed": Look("#d9c6cf", "#7c5a6b", dash="2 2"),
    "building": Look("#8f8a83", "#3f3b36"),
    "water": Look("#a9cfe3", "#1f5f85", 1.6),
    "hedge": Look("", "#5f7a4f", 5),
    "fence": Look("", "#4b4742", 1.6, "1 4"),
    "tree": Look("#ffffff", "#24302a", 1.4, "4 3", veil=0.4),
    "drain": Look("", "#1f5f85", 2.2, "6 3"),
    "hidden": Look("", "#a3341f", 2, "7 3 2 3"),
    "access": Look("", "#1f2a24", 4),
    "supply": Look("", "#1f2a24", 1.2),
}
# Worked-out layers; ``layer`` is for those nobody here knows. Told apart in black and white too.
LAYERS = {
    "layer": Look("#ffffff", "#8c2f1b", 1.2, "3 3", veil=0.55),
    "kept_clear untreated": Look("#ffffff", "#8c2f1b", 1.2, "3 3", veil=0.55),
    "kept_clear hand": Look("#ffffff", "#5b4a8a", 1.2, "8 3", veil=0.4),
    "bouts 1": Look("", "#1f2a24", 1.1, ground=0.1),
    "bouts 2": Look("", "#7a3fa0", 1.1, "5 4", ground=0.1),
    "load_areas": Look("#ffffff", "#0b4f6c", 1.6, "9 3", veil=0.2),
    "refills": Look("", "#0b4f6c", 1.6),
    "core_places": Look("", "#8a4b08", 1.6),
    "walk": Look("", "#1f5f85", 2.4, "2 6"),
}
OTHER = Look("", "#6b6660", 1.2, "2 3")
ORDER = tuple(LOOKS)  # from the ground up
BADGE = 15  # side of the box a point is marked by [px]
CASING = 2.6  # white beside a line, so that it shows on dark lawn [px]


def look(kind: str) -> Look:
    """Return how a kind or layer is drawn; one nobody knows as a thin broken line."""
    return LOOKS.get(kind) or LAYERS.get(kind, OTHER)


def badge(kind: str) -> str:
    """Return the letter a point is marked by."""
    return known("letter", kind)[:1].upper()


def strokes(kind: str, *, filled: bool) -> dict[str, Any]:
    """Return SVG attributes for a shape; only what encloses ground is filled."""
    each = look(kind)
    return {
        "fill": each.fill if filled and each.fill else "none",
        "stroke": each.stroke,
        "stroke_width": each.width,
        "stroke_dasharray": each.dash or None,
        "fill_opacity": None if each.veil == 1 else each.veil,
    }


def casing(kind: str) -> dict[str, Any]:
    """Return SVG attributes for the white under a line."""
    return {
        "fill": "none",
        "stroke": "#ffffff",
        "stroke_width": round(look(kind).width + CASING, 1),
        "stroke_opacity": 0.85,
    }


def options(kind: str) -> dict[str, Any]:
    """Return how a kind is drawn in the words of Leaflet's path options."""
    each = look(kind)
    return {
        "color": each.stroke,
        "weight": each.width,
        "dashArray": each.dash or None,
        "fill": bool(each.fill),
        "fillColor": each.fill or None,
        "fillOpacity": each.veil,
        "interactive": each.veil == 1,
    } | ({"ground": each.ground} if each.ground else {})


def mark(kind: str, x: float, y: float, *, size: float = BADGE) -> Html:
    """Return a point's box and letter, centred at (x, y) of a drawing."""
    half = size / 2
    box = tag(
        "rect",
        x=f"{x - half:.1f}",
        y=f"{y - half:.1f}",
        width=size,
        height=size,
        rx=3,
        fill="#ffffff",
        stroke=look(kind).stroke,
        stroke_width=1.5,
    )
    letter = tag(
        "text",
        badge(kind),
        x=f"{x:.1f}",
        y=f"{y + size * 0.26:.1f}",
        font_size=f"{size * 0.72:.1f}",
        font_weight="bold",
        text_anchor="middle",
        fill=look(kind).stroke,
    )
    return join([box, letter])


def sample(kind: str, *, point: bool) -> Html:
    """Return the legend's small drawing of a kind."""
    if point:
        inside = mark(kind, 14, 9)
    elif kind == "tree":
        inside = tag("circle", cx=14, cy=9, r=7.5, **strokes(kind, filled=True))
    elif look(kind).fill:
        inside = tag("rect", x=2, y=2, width=24, height=14, rx=2, **strokes(kind, filled=True))
    else:
        inside = tag("path", d="M2 9h24", **strokes(kind, filled=False))
    return tag(
        "svg", inside, class_="swatch", viewBox="0 0 28 18", width=28, height=18, aria_hidden="true"
    )
