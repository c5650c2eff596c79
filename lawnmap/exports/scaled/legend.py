"""What stands below the plan: what the colours and signs mean, and what the numbers are called."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from lawnmap.exports.drawing import hatches, symbols
from lawnmap.exports.drawing.drawn import Drawing
from lawnmap.exports.drawing.kinds import kinds
from lawnmap.exports.drawing.themes import Theme
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import number
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.pages.escape import Html, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

WIDE = 60.0  # of a column [mm]
LINE = 4.8  # from one entry to the next [mm]
SIGN = 8.0  # room for the sign before a label [mm]
SIZE = 2.9  # of letters [mm]
MOST_NAMES = 60  # more zones have their names on another paper


class Entry(NamedTuple):
    """One line of the legend: a sign that was drawn 28 by 18, or a number, and its label."""

    label: str
    sign: Html = Html()
    number: str = ""


def entries(paper: Paper, drawn: Drawing, theme: Theme | None) -> list[Entry]:
    """Return what the plan shows, each once, and what its zones are called."""
    return [*_signs(drawn, theme), Entry(""), *zones(paper)]


def _signs(drawn: Drawing, theme: Theme | None) -> list[Entry]:
    """Return classes, kinds of feature and layers."""
    found = []
    if theme:
        named = [(label, f"{theme.name}-{at}") for at, label in enumerate(theme.labels)]
        if theme.unknown:
            named.append((theme.unknown, f"{theme.name}-none"))
        title = known("theme", theme.name)
        found = [Entry(f"{title}: {label}", hatches.swatch(f"url(#{x})")) for label, x in named]
    for each in kinds(drawn):
        found.append(Entry(each.label, symbols.sample(each.name, point=each.point)))
    for layer in drawn.layers:
        if layer.shown and layer.shapes:
            found.append(Entry(layer.label, symbols.sample(layer.look, point=False)))
    return found


def zones(paper: Paper) -> list[Entry]:
    """Return the number of each zone with its name and area; of many, how many there are."""
    table = paper.plan.zones
    if len(table) > MOST_NAMES:
        return [Entry(word("scaled.many", count=number(len(table))))]
    found = []
    for place, (zone_id, row) in enumerate(zone_rows(table), start=1):
        area = zone_text.ground(row, paper.units)
        label = ", ".join(part for part in (zone_text.name(row, zone_id), area) if part)
        found.append(Entry(label, number=str(place)))
    return found


def block(found: Sequence[Entry], left: float, top: float, down: int, wide: float) -> list[Html]:
    """Return the entries in columns of `down` lines from a corner of the paper on [mm].

    What is longer than its column is cut: it stands in full on other papers.
    """
    return [
        _line(each, left + at // down * wide, top + at % down * LINE, wide)
        for at, each in enumerate(found)
    ]


def _line(entry: Entry, left: float, top: float, wide: float) -> Html:
    sign = (
        tag("text", entry.number, x=6, y=3.2, font_size=SIZE, font_weight="bold", text_anchor="end")
        if entry.number
        else tag("g", entry.sign, transform="scale(0.21)")
    )
    label = tag("text", entry.label, y=3.2, font_size=SIZE)
    # A drawing within a drawing shows nothing beyond its edge.
    cut = tag("svg", label, x=SIGN, width=f"{wide - SIGN - 2:.2f}", height=LINE)
    return tag("g", sign, cut, transform=f"translate({left:.2f} {top:.2f})")
