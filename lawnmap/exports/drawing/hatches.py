"""SVG patterns: the colour of a class with a hatch on it that is denser the higher the class."""

from __future__ import annotations

from lawnmap.exports.drawing.themes import PALETTES, UNKNOWN
from lawnmap.pages.escape import Html, join, tag

SIDE = 12  # of a pattern's tile [px on the map, 1/1000 of the width on the still plan]
DARK, LIGHT = "#24302a", "#ffffff"
HALFWAY = 0.45  # relative luminance under which a hatch is drawn light

# Strokes of each step on a 12 × 12 tile. Diagonals run on over the corners, so that tiles join.
RISING = "M-3 3 3 -3M0 12 12 0M9 15 15 9"
RISING_TWICE = f"{RISING}M-3 9 9 -3M3 15 15 3"
FALLING = "M-3 9 3 15M0 0 12 12M9 -3 15 3"
STROKES = (
    "",
    "M3 3h.01M9 9h.01",
    RISING,
    RISING_TWICE,
    f"{RISING}{FALLING}",
    f"{RISING_TWICE}{FALLING}M-3 3 9 15M3 -3 15 9",
)
NOT_KNOWN = "M0 6h3M6 6h3"


def definitions() -> Html:
    """Return a drawing of no size that holds every pattern of the page."""
    patterns = [
        _pattern(f"{name}-{place}", colour, STROKES[_step(name, place)])
        for name, palette in PALETTES.items()
        for place, colour in enumerate(palette)
    ]
    patterns += [_pattern(f"{name}-none", UNKNOWN, NOT_KNOWN) for name in PALETTES]
    return tag(
        "svg", tag("defs", join(patterns)), class_="patterns", width=0, height=0, aria_hidden="true"
    )


def swatch(fill: str) -> Html:
    """Return a small box of a legend."""
    box = tag("rect", x=1, y=1, width=26, height=16, rx=2, fill=fill, stroke=DARK)
    return tag(
        "svg", box, class_="swatch", viewBox="0 0 28 18", width=28, height=18, aria_hidden="true"
    )


def luminance(colour: str) -> float:
    """Return the relative luminance of an sRGB colour (WCAG 2.2, section 8, "relative luminance").

    Examples
    --------
    >>> round(luminance("#ffffff"), 3), round(luminance("#000000"), 3)
    (1.0, 0.0)
    """
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4  # noqa: PLR2004
        for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _step(name: str, place: int) -> int:
    """Return the hatch of a class: denser as the colour darkens, little sun being the dark end."""
    return len(PALETTES[name]) - 1 - place if name == "sun" else place


def _pattern(identifier: str, colour: str, strokes: str) -> Html:
    ink = LIGHT if luminance(colour) < HALFWAY else DARK
    ground = tag("rect", width=SIDE, height=SIDE, fill=colour)
    hatch = tag(
        "path",
        d=strokes,
        fill="none",
        stroke=ink,
        stroke_width=1,
        stroke_opacity=0.4,
        stroke_linecap="round",
    )
    return tag(
        "pattern",
        ground,
        hatch if strokes else "",
        id=identifier,
        width=SIDE,
        height=SIDE,
        patternUnits="userSpaceOnUse",
    )
