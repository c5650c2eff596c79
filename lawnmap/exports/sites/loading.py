"""The loading list across sites: what goes on a depot's van for all visits of a day."""

from __future__ import annotations

from collections.abc import Iterator

from lawnmap.exports.crew.van import lines
from lawnmap.exports.crew.visits import Visit
from lawnmap.exports.loading import fields, lists
from lawnmap.exports.parts import front
from lawnmap.exports.sites import day_load
from lawnmap.exports.sites.sums import named
from lawnmap.exports.wording.amounts import day, text
from lawnmap.exports.wording.switched import FIRST, first, unmarked
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import word
from lawnmap.paper import SitesPaper

TITLE = "loading lists of each depot, a page a day, to print"
SUFFIX = ".html"
AUDIENCE = "crew"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/loading.css", "sites/loading.css")


def render(paper: SitesPaper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : SitesPaper
        Already cut down to its audience, with the tables that
        :mod:`lawnmap.exports.sites.day_load` names.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    if paper.units in FIRST:
        paper = unmarked(paper).of(units=first(paper.units))
    pages = list(_pages(paper))
    slots = {
        "title": escape(f"{word('loading.title')}: {paper.title}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "heading": front.top(paper, paper.title, paper.today, word("loading.title")),
        "visits": join(pages) if pages else tag("p", word("loading.none"), class_="note"),
        "notes": tag("p", word("loading.note", mark=word("loading.mark")), class_="note"),
    }
    return filled("papers/loading.html", slots).encode("utf-8")


def _pages(paper: SitesPaper) -> Iterator[Html]:
    """Yield the page of each day, depot by depot."""
    sites = paper.table("sites")
    if not len(paper.table("steps")) or "depot" not in sites.columns:
        return
    for depot in sorted(set(sites["depot"].map(text))):
        trip = day_load.Round(paper, depot)
        for visit in trip.days():
            yield _page(trip.on(visit), depot, visit)


def _page(job: day_load.SitesJob, depot: str, visit: Visit) -> Html:
    parts = [
        tag("h2", day(visit.day), " ", tag("small", said(named("depot", depot)))),
        _round(job, visit),
        lists(job, lines(job, visit)),
        fields(),
    ]
    return tag("section", join(parts), class_="page load", data_day=visit.day)


def _round(job: day_load.SitesJob, visit: Visit) -> Html:
    """Return the sites of the day with what is done in which zones of each."""
    found: dict[str, list[str]] = {}
    for zone_id in visit.zones:
        found.setdefault(day_load.site_of(zone_id), []).append(zone_id)
    items = []
    for site, zones in found.items():
        steps = [step for step in (*visit.steps, *visit.goes_on) if step.zone_id in zones]
        work = ", ".join(dict.fromkeys(step.title for step in steps))
        pills = join((job.pill(each) for each in zones), " ")
        called = tag("strong", said(job.titles.get(site, site)))
        items.append(tag("li", called, " ", pills, " ", tag("small", work)))
    return tag("ol", join(items), class_="round")
