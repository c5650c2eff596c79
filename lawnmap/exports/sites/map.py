"""The map of many sites with their totals: one HTML file that works from disk and asks nobody."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np

from lawnmap.exports.map.chart import chart
from lawnmap.exports.parts import choosers, front
from lawnmap.exports.sites import listing, sums
from lawnmap.exports.sites.block import MOST_SITES, Codes, block, details, names
from lawnmap.exports.sites.cautions import cautions
from lawnmap.exports.sites.places import Marks, marks
from lawnmap.exports.sites.states import STATES, blank, mark, states
from lawnmap.exports.sites.still_plan import still_plan
from lawnmap.exports.wording.amounts import number
from lawnmap.exports.wording.short_dates import between
from lawnmap.exports.wording.switched import FIRST, first, unmarked
from lawnmap.pages import leaflet
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.escape import block as data_block
from lawnmap.pages.page import asset, comment, filled, script, style
from lawnmap.pages.parcel import parcel
from lawnmap.pages.words import word
from lawnmap.paper import SitesPaper

TITLE = "map of many sites with their totals, one HTML file"
SUFFIX = ".html"
AUDIENCE = "owner"
SWITCH = True  # its reader may switch the units

ENDS = ("day_first", "day_last")
SHEETS = ("base.css", "looks.css", "map/map.css", "map/units.css", "paper.css", "sites/map.css")
SCRIPTS = (
    "dom.js", "map/units.js", "map/whole.js", "map/packed.js", "map/canvas.js", "sites/bins.js",
    "sites/painted.js", "sites/map.js", "sites/list.js", "sites/panel.js", "sites/choosing.js",
    "sites/start.js",
)  # fmt: skip


def render(paper: SitesPaper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : SitesPaper
        Already cut down to its audience. Who may not see where sites lie gets list and totals
        without a map. Of more than 10,000 sites the map shows sums of squares, and the page the
        totals of regions: a list of so many nobody reads.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    paper = unmarked(paper) if paper.units in FIRST else paper
    sites, of = paper.table("sites"), states(paper)
    drawn = marks(sites, of)
    listed = len(sites) <= MOST_SITES
    slots = {
        "title": escape(paper.title),
        "notice": comment(asset("notice.txt").strip()),
        "head": _head(paper),
        "heading": front.top(paper, paper.title, paper.today),
        "looks": choosers.looks(),
        "units": choosers.units(paper.units),
        "units_shown": escape(first(paper.units)),
        "glance": join([cautions(paper), _glance(paper, drawn)]),
        "stage": _stage(paper, of, drawn),
        "choosers": _choosers(paper, of if listed else of[:0]),
        "list": _list(paper, of) if listed else _too_many(paper),
        "groups": _groups(paper),
        "sums": tag("section", tag("h2", word("sites.sums")), sums.sums(paper), class_="totals"),
        "notes": _notes(paper, drawn),
        "block": data_block("lawnmap-data", block(paper, of, drawn)),
        "details": parcel("details", details(paper)) if listed else Html(),
        "scripts": script("(function () {\n'use strict';", *map(asset, SCRIPTS), "})();"),
    }
    return filled("sites/map.html", slots).encode("utf-8")


def _head(paper: SitesPaper) -> Html:
    sheets = (leaflet.style(), *map(asset, SHEETS), front.running_head(paper))
    parts = [
        style(*sheets),
        script(asset("map/first.js"), asset("map/looks.js")),
        script(leaflet.script()),
    ]
    return join(parts, "\n")


def _stage(paper: SitesPaper, of: Codes, drawn: Marks) -> Html:
    """Return the map with its legend; without places the legend alone."""
    legend = tag("div", tag("ul", join(_legend(of)), class_="classes"), class_="legend")
    if not len(drawn.places):
        return tag("section", legend, class_="stage unplaced", aria_label=word("sites.plan"))
    live = tag("div", tag("div", chart(flat=False, canvas=True), class_="ground"), class_="live")
    still = tag("div", still_plan(drawn, first(paper.units), names(paper)), class_="still")
    return tag("section", live, still, legend, class_="stage", aria_label=word("sites.plan"))


def _legend(of: Codes) -> list[Html]:
    count = np.bincount(of, minlength=len(STATES)).tolist()
    return [
        tag("li", mark(name), tag("span", word(f"sites.state_{name}"), " ", tag("b", number(many))))
        for name, many in zip(STATES, count, strict=True)
        if many
    ]


def _glance(paper: SitesPaper, drawn: Marks) -> Html:
    sites = paper.table("sites")
    shown = [("sites", number(len(sites)))]
    shown += [
        (name, sums.figure(paper, name, math.fsum(sites[name].dropna())))
        for name in ("zones", "ground_area_m2", "worked_area_m2", "hours", "cost")
        if name in sites.columns and sites[name].notna().any()
    ]
    ends = [sites.loc[~blank(sites[name]), name] for name in ENDS if name in sites.columns]
    if len(ends) == len(ENDS) and all(map(len, ends)):
        days = dt.date.fromisoformat(ends[0].min()), dt.date.fromisoformat(ends[1].max())
        shown.append(("days", between(*days)))
    unplaced = len(sites) - int(drawn.count.sum())
    shown += [("unplaced", number(unplaced))] if unplaced and len(drawn.places) else []
    lines = [
        tag("div", tag("dt", word(f"sites.{name}")), tag("dd", told), class_=name)
        for name, told in shown
    ]
    return tag("dl", join(lines), class_="glance")


def _choosers(paper: SitesPaper, of: Codes) -> Html:
    """Return what is chosen of sites and sums: a region, depot or month, and how a site stands."""
    groups = [
        tag(
            "optgroup",
            *(tag("option", sums.named(by, key), value=f"{by} {key}") for key in found),
            label=word(f"sites.by_{by}"),
        )
        for by in ("region", "depot", "month")
        if (found := sums.listed(paper, by))
    ]
    show = tag("select", tag("option", word("sites.all"), value="all "), *groups, name_="show")
    there = [name for place, name in enumerate(STATES) if (of == place).any()]
    every = tag("option", word("sites.any_state"), value="")
    stand = tag(
        "select",
        every,
        *(tag("option", word(f"sites.state_{each}"), value=list(STATES).index(each))
          for each in there),
        name_="state",
    )  # fmt: skip
    parts = [tag("label", tag("span", word("sites.show")), show)]
    parts += [tag("label", tag("span", word("sites.state")), stand)] if len(there) > 1 else []
    return tag("div", *parts, class_="live choosers")


def _list(paper: SitesPaper, of: Codes) -> Html:
    sorts = ("site", *listing.has(paper))
    options = [tag("option", word(f"sites.sort_{name}"), value=name) for name in sorts]
    search = tag(
        "div",
        tag("label", tag("span", word("sites.search")),
            tag("input", type="search", autocomplete="off")),
        tag("label", tag("span", word("sites.sort")), tag("select", *options, name_="sort")),
        tag("p", class_="count", role="status"),
        class_="live search",
    )  # fmt: skip
    heading = tag("h2", word("sites.sites"), id="list-title")
    return tag("section", heading, search, listing.table(paper, of), class_="list",
               aria_labelledby="list-title")  # fmt: skip


def _too_many(paper: SitesPaper) -> Html:
    told = word("sites.too_many", all=number(len(paper.table("sites"))), most=number(MOST_SITES))
    return tag("section", tag("h2", word("sites.sites")), tag("p", told, class_="note"))


def _groups(paper: SitesPaper) -> Html:
    tables = {name: sums.groups(paper, name) for name in ("region", "depot")}
    tables["month"] = sums.months(paper)
    return join(
        tag("section", tag("h2", word(f"sites.by_{name}")), table, class_=f"by {name}")
        for name, table in tables.items()
        if table
    )


def _notes(paper: SitesPaper, drawn: Marks) -> Html:
    told = ["sites.note", "sites.note_hours" if "hours" in paper.table("sites") else ""]
    told += [] if len(drawn.places) else ["sites.note_unplaced"]
    contact = paper.choices.get("contact")
    shown = [tag("p", word(key), class_="note") for key in told if key]
    asked = tag("p", word("front.contact"), ": ", said(contact), class_="note") if contact else ""
    return join([*shown, asked])
