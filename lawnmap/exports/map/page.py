"""The map: one HTML file that works from disk, asks nobody for anything, and prints to A4."""

from __future__ import annotations

import shapely

from lawnmap.exports.drawing import hatches, symbols
from lawnmap.exports.drawing.drawn import Drawing, drawing, points
from lawnmap.exports.drawing.layers import Layer
from lawnmap.exports.drawing.outline_svg import north_arrow, plan_svg
from lawnmap.exports.drawing.themes import Theme, themes
from lawnmap.exports.map import comments
from lawnmap.exports.map.block import map_block
from lawnmap.exports.map.chart import chart
from lawnmap.exports.parts import front
from lawnmap.exports.parts.days import days_table
from lawnmap.exports.parts.expected import expected
from lawnmap.exports.parts.tables import totals_table, zones_table
from lawnmap.exports.wording.amounts import currency
from lawnmap.exports.wording.step_text import steps
from lawnmap.pages import leaflet
from lawnmap.pages.escape import Html, block, escape, join, tag
from lawnmap.pages.page import asset, comment, filled, script, style
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

TITLE = "map of zones and work, one HTML file"
SUFFIX = ".html"
AUDIENCE = "client"

PAINTED_FROM = 1000  # zones; beyond this shapes are painted on a canvas, which redraws faster
SHEETS = ("base.css", "map/map.css", "map/print.css")
SCRIPTS = (
    "dom.js",
    "map/map.js",
    "map/layers.js",
    "map/panel.js",
    "map/paper.js",
    "reply.js",
    "map/comments.js",
    "map/start.js",
)


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; columns that are absent are not missed.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    drawn, shown = drawing(paper), themes(paper.plan.zones, paper.units)
    work = steps(paper.plan.steps, paper.units)
    placed = paper.plan.site.placed
    choices = paper.plan.specification.choices
    sheets = (leaflet.style(), *map(asset, SHEETS), front.running_head(paper))
    head = [style(*sheets), script(leaflet.script())]
    slots = {
        "title": escape(front.title(paper)),
        "notice": comment(asset("notice.txt").strip()),
        "head": join(head, "\n"),
        "patterns": hatches.definitions(),
        "heading": front.heading(paper),
        "glance": front.glance(paper),
        "chart": chart(flat=drawn.flat, canvas=len(drawn.zones) > PAINTED_FROM),
        "north": _north() if placed else Html(),
        "plan": plan_svg(drawn, _fills(shown, len(drawn.zones)), paper.units, placed=placed),
        "classes": _classes(shown),
        "kinds": _kinds(drawn),
        "layers": _layers(drawn),
        "zones": zones_table(paper, shown),
        "days": days_table(paper),
        "seen": _seen(paper),
        "totals": totals_table(paper.plan.totals, paper.units, money=currency(choices)),
        "cautions": front.cautions(paper),
        "comments": comments.section(paper),
        "notes": front.notes(paper),
        "block": block("lawnmap-data", map_block(paper, drawn, shown, work)),
        "scripts": script("(function () {\n'use strict';", *map(asset, SCRIPTS), "})();"),
    }
    slots |= {f"{name}_title": escape(word(f"title.{name}")) for name in TITLES}
    slots["no_script"] = escape(word("note.no_script"))
    return filled("map/map.html", slots).encode("utf-8")


TITLES = (
    "glance",
    "map",
    "chooser",
    "layers",
    "zones",
    "search",
    "days",
    "steps",
    "totals",
    "cautions",
)


def _north() -> Html:
    arrow = north_arrow(18, 28)
    return tag("svg", arrow, class_="north", viewBox="0 0 36 56", aria_hidden="true")


def _fills(shown: list[Theme], count: int) -> list[str]:
    return shown[0].fills if shown else ["#ffffff"] * count


def _classes(shown: list[Theme]) -> Html:
    """Return the legend of the first theme, which is what the still plan is coloured by."""
    if not shown:
        return Html()
    theme = shown[0]
    found = [(label, f"{theme.name}-{place}") for place, label in enumerate(theme.labels)]
    if theme.unknown:
        found.append((theme.unknown, f"{theme.name}-none"))
    return join(
        tag("li", hatches.swatch(f"url(#{name})"), tag("span", label)) for label, name in found
    )


def _kinds(drawn: Drawing) -> Html:
    """Return the legend of everything that is not lawn: each kind once, as it is drawn here."""
    found: dict[tuple[str, bool], None] = {}
    for each in drawn.features:
        found[each.kind, len(points(each.shape)) > 0] = None
    kinds = sorted(found, key=lambda pair: (known("feature", pair[0]), pair[1]))
    items = [
        tag("li", symbols.sample(kind, point=point), tag("span", known("feature", kind)))
        for kind, point in kinds
    ]
    return join(items)


def _layers(drawn: Drawing) -> Html:
    """Return what the visitor switches: with scripts blocked, the legend of what is shown."""
    items = []
    for place, layer in enumerate(drawn.layers):
        sample = "" if layer.key else symbols.sample(layer.look, point=_of_points(layer))
        box = tag("input", type="checkbox", checked=layer.shown or None, data_layer=place)
        steps = [
            tag("li", tag("span", hatches.swatch(each.colour), each.label)) for each in layer.key
        ]
        shades = tag("ul", *steps, class_="key") if steps else ""
        items.append(tag("li", tag("label", box, sample, tag("span", layer.label)), shades))
    return join(items)


def _of_points(layer: Layer) -> bool:
    return bool(len(points(shapely.GeometryCollection(layer.shapes))))


def _seen(paper: Paper) -> Html:
    shown = expected(paper)
    return tag("section", tag("h2", word("title.seen")), shown) if shown else Html()
