"""The loading list: what goes on the van for each visit, to tick in the yard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lawnmap.exports.crew.job import Job
from lawnmap.exports.crew.van import NO_SOURCE, Line, lines
from lawnmap.exports.crew.visits import Visit, visits
from lawnmap.exports.parts import front
from lawnmap.exports.parts.cells import box, heads
from lawnmap.exports.wording.amounts import day
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

TITLE = "loading list for the van, a page a visit, to print"
SUFFIX = ".html"
AUDIENCE = "crew"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/loading.css")
PARTS = ("product", "machine", "spares", "fill", "measure", "tools", "wear", "safety")
BACK = ("loaded", "back", "left")


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
    job = Job(paper)
    dated = [visit for visit in visits(paper.plan, paper.units) if visit.day]
    pages = [_page(job, visit, number, len(dated)) for number, visit in enumerate(dated, start=1)]
    slots = {
        "title": escape(f"{word('loading.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "heading": front.heading(paper, word("loading.title")),
        "visits": join(pages) if pages else tag("p", word("loading.none"), class_="note"),
        "notes": tag("p", word("loading.note", mark=word("loading.mark")), class_="note"),
    }
    return filled("papers/loading.html", slots).encode("utf-8")


def _page(job: Job, visit: Visit, number: int, count: int) -> Html:
    """Return the list of one visit."""
    which = word("sheet.visit", number=number, count=count)
    zones = join((tag("span", job.zone(each), class_="zone") for each in visit.zones), " ")
    work = ", ".join(dict.fromkeys(each.title for each in (*visit.steps, *visit.goes_on)))
    parts = [
        tag("h2", day(visit.day), " ", tag("small", which)),
        tag("p", tag("strong", said(front.title(job.paper))), ": ", zones, class_="where"),
        tag("p", work, class_="note"),
        lists(job, lines(job, visit)),
        fields(),
    ]
    return tag("section", join(parts), class_="page load", data_day=visit.day)


def lists(job: Job, found: Sequence[Line]) -> Html:
    """Return what goes on the van for one day, heading by heading."""
    blocks = []
    for part in PARTS:
        here = [each for each in found if each.part == part]
        if here:
            shown = _products(job, here) if part == "product" else _items(here)
            blocks.append(tag("section", tag("h3", known("kit", part)), shown, class_=part))
    return tag("section", join(blocks), class_="lists")


def _products(job: Job, found: Iterable[Line]) -> Html:
    """Return each product with what is weighed out for each zone."""
    rows = [_weighed(job, each) if each.zone_id else _in_all(each) for each in found]
    return tag("table", heads("table", ("done", "zone", "weighed")), tag("tbody", join(rows)))


def _in_all(line: Line) -> Html:
    title = join([said(line.what), " ", tag("small", said(line.much))])
    return tag("tr", tag("th", title, colspan=3, scope="rowgroup"), class_="of")


def _weighed(job: Job, line: Line) -> Html:
    return tag(
        "tr",
        tag("td", box(), class_="done"),
        tag("td", job.zone(line.zone_id), class_="name"),
        tag("td", said(line.much), class_="amount"),
    )


def _items(found: Iterable[Line]) -> Html:
    items = []
    for each in found:
        mark = word("loading.mark") if each.standing == NO_SOURCE else ""
        much = tag("strong", said(each.much), class_="much") if each.much else ""
        items.append(tag("li", box(), said(each.what), mark, " " if much else "", much))
    return tag("ul", join(items), class_="ticks")


def fields() -> Html:
    """Return what is written in the yard: who loaded, when it is back, what is left."""
    lines = [
        tag("div", tag("dt", word(f"loading.{each}")), tag("dd", tag("span", class_="line")))
        for each in BACK
    ]
    return tag("dl", join(lines), class_="fields")
