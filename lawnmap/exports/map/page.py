"""The map: one HTML file that works from disk, asks nobody for anything, and prints to A4."""

from __future__ import annotations

from lawnmap.exports.drawing import hatches
from lawnmap.exports.drawing.drawn import LONG_FROM, drawing
from lawnmap.exports.drawing.outline_svg import north_arrow, plan_svg
from lawnmap.exports.drawing.themes import Theme, themes
from lawnmap.exports.drawing.zone_names import called
from lawnmap.exports.map import basemap, before, comments, legend
from lawnmap.exports.map.chart import chart
from lawnmap.exports.map.packing import data
from lawnmap.exports.parts import choosers, front
from lawnmap.exports.parts.days import days_table
from lawnmap.exports.parts.expected import expected
from lawnmap.exports.parts.glance import glance
from lawnmap.exports.parts.summary_text import sentences
from lawnmap.exports.parts.tables import totals_table, zones_table
from lawnmap.exports.wording.step_text import steps
from lawnmap.exports.wording.switched import first
from lawnmap.pages import leaflet
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, comment, filled, script, style
from lawnmap.pages.words import word
from lawnmap.paper import Paper

TITLE = "map of zones and work, one HTML file"
SUFFIX = ".html"
AUDIENCE = "client"
SWITCH = True  # its reader may switch the units

SHEETS = (
    "base.css",
    "looks.css",
    "map/map.css",
    "map/long.css",
    "map/units.css",
    "map/views.css",
    "paper.css",
    "map/before.css",
    "map/print.css",
)
SCRIPTS = (
    "dom.js",
    "map/units.js",
    "map/packed.js",
    "map/map.js",
    "map/under.js",
    "map/before.js",
    "map/canvas.js",
    "map/painted.js",
    "map/painted_marks.js",
    "map/marks.js",
    "map/whole.js",
    "map/layers.js",
    "map/list.js",
    "map/panel.js",
    "map/days.js",
    "map/views.js",
    "map/long_list.js",
    "map/hatched.js",
    "map/printed.js",
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
    head = [
        style(*sheets),
        script(asset("map/first.js"), asset("map/looks.js")),
        script(leaflet.script()),
    ]
    slots = {
        "title": escape(front.title(paper)),
        "notice": comment(asset("notice.txt").strip()),
        "head": join(head, "\n"),
        "patterns": hatches.definitions(),
        "heading": front.heading(paper),
        "looks": choosers.looks(),
        "units": choosers.units(paper.units),
        "units_shown": escape(first(paper.units)),
        "summary": tag("p", said(" ".join(sentences(paper))), class_="summary"),
        "glance": glance(paper),
        "chart": chart(flat=drawn.flat, canvas=len(drawn.zones) > LONG_FROM),
        "north": _north() if placed else Html(),
        "plan": plan_svg(
            drawn,
            _fills(shown, len(drawn.zones)),
            first(paper.units),
            placed=placed,
            called=called(paper),
        ),
        "classes": legend.classes(shown),
        "kinds": legend.kinds(drawn),
        "layers": legend.layers(drawn),
        "zones": zones_table(paper, shown),
        "before": before.section(paper),
        "days": days_table(paper),
        "seen": _seen(paper),
        "totals": totals_table(paper.plan.totals, paper.units, choices),
        "cautions": front.cautions(paper),
        "comments": comments.section(paper),
        "notes": join([front.notes(paper), basemap.note(paper)]),
        "block": data(paper, drawn, shown, work),
        "scripts": script("(function () {\n'use strict';", *map(asset, SCRIPTS), "})();"),
    }
    slots |= {f"{name}_title": escape(word(f"title.{name}")) for name in TITLES}
    slots["no_script"] = escape(word("note.no_script"))
    return filled("map/map.html", slots, images_from=basemap.asked(paper)).encode("utf-8")


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


def _seen(paper: Paper) -> Html:
    shown = expected(paper)
    return tag("section", tag("h2", word("title.seen")), shown) if shown else Html()
