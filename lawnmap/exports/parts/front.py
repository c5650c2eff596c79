"""The front of every page: what was issued, for whom, and what must be known to read it."""

from __future__ import annotations

import datetime as dt
import re

from lawnmap.exports.wording.amounts import day, text
from lawnmap.pages.escape import Html, clean, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper, SitesPaper
from lawnmap.schema import DO, NOT_SET, PRICING


def heading(paper: Paper, kind: str = "") -> Html:
    """Return the top of a page: issue, title, which paper it is, the day it was worked out for."""
    return top(paper, title(paper), paper.plan.today, kind)


def top(paper: Paper | SitesPaper, named: str, today: dt.date, kind: str = "") -> Html:
    """Return the top of a page; `kind` tells a paper from the others of the same site."""
    return join(
        [
            tag("p", tag("strong", said(_issue(paper))), class_="issue"),
            tag("h1", said(named)),
            tag(
                "p",
                join([tag("strong", said(kind)), " "]) if kind else "",
                word(f"audience.{paper.audience}"),
                " · ",
                word("front.today", day=day(today)),
                class_="about",
            ),
        ]
    )


def title(paper: Paper) -> str:
    """Return the site's title, or a word in its place."""
    return text(paper.plan.site.title) or word("front.untitled")


def cautions(paper: Paper) -> Html:
    """Return the cautions in the plan's order, what is to be looked at twice first."""
    plan = paper.plan
    lines = [tag("li", said(each), class_="warning") for each in plan.warnings]
    lines += [tag("li", said(each)) for each in plan.cautions]
    return tag("ul", join(lines), class_="cautions") if lines else Html()


def notes(paper: Paper) -> Html:
    """Return what must be known to read the plan rightly."""
    keys = ["note.areas", "note.status"]
    if not paper.plan.site.placed:
        keys.insert(0, "note.unplaced")
    elif paper.schematic:
        keys.insert(0, "note.schematic")
    return join(tag("p", word(key), class_="note") for key in keys)


def running_head(paper: Paper | SitesPaper) -> str:
    """Return CSS that puts the issue at the top of each printed page after the first."""
    quoted = re.sub(r"[^A-Za-z0-9 ]", lambda char: f"\\{ord(char[0]):x} ", _issue(paper))
    return (
        f':root {{ --issue: "{quoted}"; }}\n'
        f'@page {{ @top-left {{ content: "{quoted}"; }} }}\n'
        "@page :first { @top-left { content: none; } }"
    )


def _issue(paper: Paper | SitesPaper) -> str:
    if paper.issued:
        return word("front.issued", issue=clean(paper.issued))
    return word("front.trial")


def badge(status: str) -> Html:
    """Return a status as a badge; work that may be done needs none."""
    if status == DO:
        return Html()
    kind = {NOT_SET: "stop", PRICING: "pricing"}.get(status, "out")
    return tag("strong", known("status", status), class_=f"badge {kind}")


def open_(key: str) -> Html:
    """Return what nobody has set, marked as open."""
    return tag("span", word(key), class_="open")
