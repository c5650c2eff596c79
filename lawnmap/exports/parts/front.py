"""The front of every page: what was issued, for whom, and the first things a reader asks."""

from __future__ import annotations

import re

from lawnmap.exports.parts import days
from lawnmap.exports.wording.amounts import area, day, missing, number, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.zone_text import NO_STRIP
from lawnmap.pages.escape import Html, clean, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, LEAVE, NOT_SET, PRICING, UNRATED

KEPT_CLEAR = ("water", "drain", "hidden")
MOST_NAMES = 6


def heading(paper: Paper) -> Html:
    """Return the top of a page: issue, title, the day it was worked out for."""
    return join(
        [
            tag("p", tag("strong", said(_issue(paper))), class_="issue"),
            tag("h1", said(title(paper))),
            tag(
                "p",
                word(f"audience.{paper.audience}"),
                " · ",
                word("front.today", day=day(paper.plan.today)),
                class_="about",
            ),
        ]
    )


def title(paper: Paper) -> str:
    """Return the site's title, or a word in its place."""
    return text(paper.plan.site.title) or word("front.untitled")


def glance(paper: Paper) -> Html:
    """Return the answers to a client's first questions: when, keep off, what, where not, whom."""
    choices = paper.plan.specification.choices
    first_day = day(choices.get("first_day"))
    worked = days.span(paper)
    rows = [
        ("days", said(worked))
        if worked
        else ("first_day", said(first_day) if first_day else _open("front.first_day_open")),
        ("keep_off", _choice(paper, "keep_off")),
        ("goes_on", _goes_on(paper)),
        ("water", _water(paper)),
        ("contact", _choice(paper, "contact")),
        ("lawn", _lawn(paper)),
    ]
    return tag(
        "dl",
        join(
            tag("div", tag("dt", word(f"front.{key}")), tag("dd", shown), class_=key)
            for key, shown in rows
            if shown
        ),
        class_="glance",
    )


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


def running_head(paper: Paper) -> str:
    """Return CSS that puts the issue at the top of each printed page after the first."""
    quoted = re.sub(r"[^A-Za-z0-9 ]", lambda char: f"\\{ord(char[0]):x} ", _issue(paper))
    return (
        f'@page {{ @top-left {{ content: "{quoted}"; }} }}\n'
        "@page :first { @top-left { content: none; } }"
    )


def _issue(paper: Paper) -> str:
    if paper.issued:
        return word("front.issued", issue=clean(paper.issued))
    return word("front.trial")


def badge(status: str) -> Html:
    """Return a status as a badge; work that may be done needs none."""
    if status == DO:
        return Html()
    kind = {NOT_SET: "stop", PRICING: "pricing"}.get(status, "out")
    return tag("strong", known("status", status), class_=f"badge {kind}")


def _choice(paper: Paper, name: str) -> Html:
    chosen = text(paper.plan.specification.choices.get(name))
    return said(chosen) if chosen else _open(f"front.{name}_open")


def _open(key: str) -> Html:
    return tag("span", word(key), class_="open")


def _goes_on(paper: Paper) -> Html:
    totals = paper.plan.totals
    if totals.empty or "product" not in totals.columns:
        return tag("span", word("front.nothing"))
    shown = {}
    for row in records(totals):
        status = text(row.get("status")) or DO
        shown[text(row["product"]), status] = known("operation", text(row.get("operation")))
    return join(
        (
            tag("span", said(product), " ", tag("small", what), " ", badge(status), class_="good")
            for (product, status), what in shown.items()
            if product
        ),
    )


def _water(paper: Paper) -> Html:
    """Return the water, drains and hidden things to keep clear of, and whether a strip is set."""
    features = paper.plan.site.features
    clear = features[features["feature"].isin(KEPT_CLEAR)]
    if clear.empty:
        return Html()
    names = [
        text(name) or known("feature", kind)
        for kind, name in zip(clear["feature"], clear["name"], strict=True)
    ]
    shown = join((said(name) for name in names[:MOST_NAMES]), ", ")
    if len(names) > MOST_NAMES:
        shown = join([shown, " ", word("front.more", count=number(len(names) - MOST_NAMES))])
    zones = paper.plan.zones
    if "water_strip_from" in zones.columns:
        not_set = zones["water_strip_from"].map(text).str.startswith(NO_STRIP).any()
        if not_set:
            shown = join([shown, " ", tag("strong", word("front.strip_open"), class_="badge stop")])
    return shown


def _lawn(paper: Paper) -> Html:
    zones = paper.plan.zones
    parts = [word("front.zone" if len(zones) == 1 else "front.zones", count=number(len(zones)))]
    if "ground_area_m2" in zones.columns and len(zones):
        total = float(zones["ground_area_m2"].fillna(0.0).sum())
        parts.append(area(total, units=paper.units))
    if "verdict" in zones.columns:
        left = int((zones["verdict"] == LEAVE).sum())
        if left:
            parts.append(word("front.left_alone", count=number(left)))
        unrated = int((zones["verdict"] == UNRATED).sum())
        if unrated:
            parts.append(word("front.unrated", count=number(unrated)))
    if "looked_after_by" in zones.columns:
        others = sum(not missing(each) for each in zones["looked_after_by"])
        if others:
            parts.append(word("front.others", count=number(others)))
    return join(", ".join(parts))
