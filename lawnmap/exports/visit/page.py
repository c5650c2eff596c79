"""The visit page: one HTML file for a phone, to rate, sketch and tick work with no network.

What is done on it stays on the phone until it is handed back as a reply, which ``read`` takes.
"""

from __future__ import annotations

from lawnmap.exports.drawing.drawn import LONG_FROM, drawing
from lawnmap.exports.map.chart import chart
from lawnmap.exports.parts import front
from lawnmap.exports.visit import paper as visit_paper
from lawnmap.exports.visit.block import visit_block
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.step_text import Step, steps, working
from lawnmap.exports.wording.zone_text import Row
from lawnmap.pages import leaflet
from lawnmap.pages.escape import Html, block, escape, join, said, tag
from lawnmap.pages.page import asset, comment, filled, script, style
from lawnmap.pages.words import word
from lawnmap.paper import Paper

TITLE = "visit page for a phone: rate, sketch, tick work, one HTML file"
SUFFIX = ".html"
AUDIENCE = "crew"  # facts and hours of work, but no private note and no price

SHEETS = ("base.css", "visit/visit.css", "visit/print.css")
PARTS = (
    "words", "keeping", "parts", "facts", "shapes", "drawing", "sketch", "places", "cores", "work",
    "zones", "answers", "handing", "start",
)  # fmt: skip
TWIN = False  # it is filled in on a phone, and says nothing on paper
SCRIPTS = (
    "dom.js",
    "map/units.js",
    "map/map.js",
    "map/under.js",
    "map/canvas.js",
    "map/painted.js",
    "map/painted_marks.js",
    "map/marks.js",
    "map/whole.js",
    "map/layers.js",
    "reply.js",
    *(f"visit/{part}.js" for part in PARTS),
)


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; a site without zones is a page to start one with.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    drawn = drawing(paper)
    drawn = drawn._replace(flat=paper.schematic)  # a site with no place lies about its anchor
    work = steps(paper.plan.steps, paper.units)
    sheets = (leaflet.style(), *map(asset, SHEETS), front.running_head(paper))
    head = [style(*sheets), script(leaflet.script())]
    slots = {
        "title": escape(f"{front.title(paper)}: {word('visit.page')}"),
        "notice": comment(asset("notice.txt").strip()),
        "head": join(head, "\n"),
        "heading": front.heading(paper),
        "paper_head": visit_paper.head(),
        "paper_foot": visit_paper.foot(),
        "no_script": escape(word("visit.no_script")),
        "still": _zones(paper, work),
        "cautions": _cautions(paper),
        "chart": chart(flat=drawn.flat, canvas=len(drawn.zones) > LONG_FROM),
        "block": block("lawnmap-data", visit_block(paper, drawn, work)),
        "scripts": script("(function () {\n'use strict';", *map(asset, SCRIPTS), "})();"),
    }
    return filled("visit/visit.html", slots).encode("utf-8")


def _zones(paper: Paper, work: dict[str, list[Step]]) -> Html:
    """Return the zones with their steps as plain text, for a phone that runs no script."""
    articles = [
        _zone(place, zone_id, row, paper.units, working(work.get(zone_id, [])))
        for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones), start=1)
    ]
    return join(articles) if articles else tag("p", word("visit.no_zones"))


def _cautions(paper: Paper) -> Html:
    listed = front.cautions(paper)
    return join([tag("h2", word("title.cautions")), listed], "\n") if listed else listed


def _zone(place: int, zone_id: str, row: Row, units: str, of_zone: list[Step]) -> Html:
    name = tag("h2", tag("span", place, class_="pill"), " ", said(zone_text.name(row, zone_id)))
    found = [
        tag("div", tag("dt", line.label), tag("dd", said(line.text)))
        for line in zone_text.found(row, units)
    ]
    items = [_step(step) for step in of_zone]
    done = tag("ol", join(items)) if items else tag("p", word("table.no_steps"))
    blanks = visit_paper.of_zone(of_zone)
    return tag("article", name, tag("dl", join(found), class_="lines"), done, blanks)


def _step(step: Step) -> Html:
    told = ", ".join(
        part for part in (step.means, step.amounts, step.area, step.day, step.wait) if part
    )
    return tag(
        "li",
        tag("strong", said(step.title)),
        " ",
        front.badge(step.status),
        tag("p", said(told)) if told else "",
        tag("p", said(step.remark)) if step.remark else "",
        tag("p", said(step.flag), class_="flag") if step.flag else "",
    )
