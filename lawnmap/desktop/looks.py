"""How each result is drawn: colours, hatches and dashes as on lawnmap's own map.

Plain facts, no part of the GIS. Each palette runs from light to dark, and a hatch that grows denser
says it a second time, so that people who do not tell hues apart and a black-and-white print see it.
tests/desktop/plain/test_looks.py holds them against lawnmap's own.
"""

from __future__ import annotations

from typing import NamedTuple

PALETTES = {
    "moss": ("#fcf8e3", "#dde5b6", "#b3cb86", "#80a75a", "#4d7d40", "#23502c"),
    "thatch": ("#fdf6e4", "#eed7a9", "#d3a968", "#a5713c", "#663b1e"),
    "sun": ("#34386b", "#6771a6", "#a3b1cf", "#f8e491"),
    "work": ("#fbfaf4", "#b7d3d6", "#6c9fa9", "#295763"),
}
UNKNOWN = "#ffffff"
OUTLINE = "#333333"
VEIL = 0.85
MOSS = (
    "none",
    "a little (under 5 %)",
    "some (5 to 25 %)",
    "much (25 to 50 %)",
    "more moss than grass (50 to 75 %)",
    "nearly all moss (75 % or more)",
)
# General turf, then fine turf: a class of each, and how dark it is.
THATCH = (
    ("little (under 6 mm)", 0),
    ("helpful (6 to 13 mm)", 1),
    ("thick (13 to 19 mm)", 2),
    ("heavy (19 to 25 mm)", 3),
    ("too deep to take out (25 mm or more)", 4),
    ("good (under 5 mm)", 0),
    ("at its limit (5 to 10 mm)", 1),
    ("thick (10 to 15 mm)", 2),
    ("too deep to scarify out (15 mm or more)", 4),
)
WORK = ("leave it alone", "light work", "renovate", "staged")
SUN_H = (0, 2, 4, 6)
DOTS = -1.0  # in place of the angle of a hatch
WIDE, NARROW = 3.0, 1.5  # from a stroke of a hatch to the next [mm]
# The hatch of each step: angle [°] and distance [mm] of its strokes.
Hatch = tuple[tuple[float, float], ...]
HATCHES: tuple[Hatch, ...] = (
    (),
    ((DOTS, WIDE),),
    ((45.0, WIDE),),
    ((45.0, NARROW),),
    ((45.0, WIDE), (135.0, WIDE)),
    ((45.0, NARROW), (135.0, NARROW)),
)
NOT_KNOWN: Hatch = ((0.0, WIDE),)


class Look(NamedTuple):
    """One entry of a legend: what it is for, and how it is drawn; no test is all the rest.

    Widths and dashes are in pixels of a map at 96 dpi.
    """

    title: str
    test: str = ""
    fill: str = ""
    stroke: str = OUTLINE
    width: float = 0.8
    dash: str = ""
    veil: float = 1.0
    hatch: Hatch = ()


class Style(NamedTuple):
    """How a layer is drawn.

    Attributes
    ----------
    looks : tuple of Look
    label : str
        What is written on it, as an expression of the GIS.
    height : int
        How high it lies among the results.
    others : tuple of str
        Styles that the layer has besides, to choose from.
    by : str
        A column that parts the layer into kinds of work, each switched on and off by itself.
    shown : tuple of str
        The kinds that are shown at first; all of them when the layer has none of these.
    """

    looks: tuple[Look, ...]
    label: str = ""
    height: int = 0
    others: tuple[str, ...] = ()
    by: str = ""
    shown: tuple[str, ...] = ()


def _classes(column: str, palette: str, titles: list[tuple[str, str, int]]) -> tuple[Look, ...]:
    """Return looks by class: title, test and place in the palette."""
    colours = PALETTES[palette]
    found = []
    for title, test, place in titles:
        step = len(colours) - 1 - place if palette == "sun" else place
        fill, hatch = colours[place], HATCHES[step]
        found.append(Look(title, test, fill, veil=VEIL, hatch=hatch))
    rest = Look("not known", "", UNKNOWN, veil=VEIL, hatch=NOT_KNOWN)
    del column
    return (*found, rest)


def _is(column: str, value: str) -> str:
    return f"\"{column}\" = '{value}'"


def _hours(column: str) -> list[tuple[str, str, int]]:
    found = []
    for place, (low, high) in enumerate(zip(SUN_H, (*SUN_H[1:], 24))):
        last = place == len(SUN_H) - 1
        title = f"{low} h and more" if last else f"{low} to {high} h"
        test = f'"{column}" >= {low}' + ("" if last else f' AND "{column}" < {high}')
        found.append((title, test, place))
    return found


NAMED = 'coalesce("name", "zone_id")'
WITH_AREA = f"concat({NAMED}, '\\n', format_number(\"ground_area_m2\", 1), ' m²')"
WITH_SUN = f"concat({NAMED}, '\\n', format_number(\"sun_hours\", 1), ' h')"
OF_LOAD = (
    "concat('load ', \"load\", '\\n', format_number(\"amount\", 1), ' ', \"unit\", "
    "if(\"water_l\" is null, '', concat(', ', format_number(\"water_l\", 1), ' l')))"
)
STRIPS_SHOWN = ("spray", "granules")  # as on the map
LOW, MIDDLE, HIGH, TOP = 1, 2, 3, 4
STYLES: dict[str, Style] = {
    "measured": Style((Look("zone", fill="#dde5b6", veil=0.6),), WITH_AREA, LOW),
    "moss": Style(
        _classes("moss_class", "moss", [(x, _is("moss_class", x), i) for i, x in enumerate(MOSS)]),
        NAMED,
        LOW,
        ("thatch", "work"),
    ),
    "thatch": Style(
        _classes("thatch_class", "thatch", [(x, _is("thatch_class", x), i) for x, i in THATCH]),
        NAMED,
    ),
    "work": Style(
        _classes("verdict", "work", [(x, _is("verdict", x), i) for i, x in enumerate(WORK)]), NAMED
    ),
    "sun": Style(_classes("sun_hours", "sun", _hours("sun_hours")), WITH_SUN, LOW),
    "sun_points": Style(_classes("sun_hours", "sun", _hours("sun_hours")), "", HIGH),
    "treatable": Style(
        (Look("may be treated", fill="#b3cb86", stroke="#4d7d40", veil=0.5),),
        height=LOW, by="kind", shown=STRIPS_SHOWN,
    ),
    "kept_clear": Style(
        (
            Look(
                "kept clear: untreated", _is("strip", "untreated"), "#ffffff", "#8c2f1b", 1.2,
                "3 3", 0.55, ((45.0, WIDE),),
            ),
            Look(
                "kept clear: by hand only", _is("strip", "hand"), "#ffffff", "#5b4a8a", 1.2, "8 3",
                0.4, ((0.0, NARROW),),
            ),
            Look("kept clear", "", "#ffffff", "#8c2f1b", 1.2, "3 3", 0.55),
        ),
        height=HIGH, by="kind", shown=STRIPS_SHOWN,
    ),
    "bouts": Style(
        (
            Look("first pass", '"pass" = 1', "", "#1f2a24", 1.1),
            Look("crossing pass", '"pass" = 2', "", "#7a3fa0", 1.1, "5 4"),
            Look("further pass", "", "", "#0b4f6c", 1.1, "2 3"),
        ),
        height=HIGH, by="operation", shown=("scarifying",),
    ),
    "load_areas": Style(
        (Look("ground of a load", "", "#ffffff", "#0b4f6c", 1.6, "9 3", 0.2),), OF_LOAD, MIDDLE,
        by="operation", shown=("iron_liquid", "iron_soluble", "lawn_sand"),
    ),
    "refills": Style((Look("fill up here", "", "#ffffff", "#0b4f6c", 1.6),), '"zone_id"', TOP),
}  # fmt: skip
