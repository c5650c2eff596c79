"""What each depot buys for all its sites, to tick, and when its machines are out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from lawnmap.exports.parts import front
from lawnmap.exports.parts.cells import box, heads
from lawnmap.exports.sites.cautions import cautions
from lawnmap.exports.sites.sums import named
from lawnmap.exports.wording.amounts import missing, number, price, quantity, span, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_text import heaped
from lawnmap.exports.wording.switched import FIRST, first, unmarked
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import known, word
from lawnmap.paper import SitesPaper
from lawnmap.schema import DO, PRICING

TITLE = "shopping list of each depot and when its machines are out, to print"
SUFFIX = ".html"
AUDIENCE = "owner"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/shopping.css", "sites/shopping.css")
BUY = ("packs", "needed", "stock", "left_over", "cost", "first_month", "at_sites")
OUT = ("month", "at_sites", "hours", "days_out", "cost")

Row = Mapping[str, Any]


def render(paper: SitesPaper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : SitesPaper
        Already cut down to its audience, with the tables ``depot_shopping`` and
        ``depot_machines``. Who may not see money sees packs and days alone.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    if paper.units in FIRST:
        paper = unmarked(paper).of(units=first(paper.units))
    bought = _by_depot(records(paper.table("depot_shopping")))
    out = _by_depot(records(paper.table("depot_machines")))
    depots = sorted({*bought, *out})
    pages = [_depot(paper, each, bought.get(each, []), out.get(each, [])) for each in depots]
    priced = any(row.get("status") == PRICING for rows in bought.values() for row in rows)
    notes = ["shopping.note", "sites.note_days", *(["note.status"] if priced else [])]
    slots = {
        "title": escape(f"{word('shopping.title')}: {paper.title}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "heading": join(
            [front.top(paper, paper.title, paper.today, word("shopping.title")), cautions(paper)]
        ),
        "depots": join(pages) if pages else tag("p", word("totals.none"), class_="note"),
        "notes": join(tag("p", word(key), class_="note") for key in notes),
    }
    return filled("sites/shopping.html", slots).encode("utf-8")


def _by_depot(rows: Sequence[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(text(row["depot"]), []).append(row)
    return found


def _depot(paper: SitesPaper, depot: str, bought: list[Row], out: list[Row]) -> Html:
    to_buy = [row for row in bought if not _there(row)]
    parts = [
        tag("h2", said(named("depot", depot))),
        _part("buy", _bought(paper, to_buy) or tag("p", word("totals.none"), class_="note")),
        _part("there", _bought(paper, [row for row in bought if _there(row)])),
        _part("book", _machines(paper, out)),
        _sum(paper, [*bought, *out]),
    ]
    return tag("section", join(parts), class_="page depot")


def _part(name: str, body: Html) -> Html:
    return join([tag("h3", word(f"shopping.{name}")), body]) if body else body


def _there(row: Row) -> bool:
    """Tell whether the shed holds all of it."""
    return not missing(row.get("to_buy")) and float(row["to_buy"]) <= 0


def _bought(paper: SitesPaper, rows: list[Row]) -> Html:
    if not rows:
        return Html()
    shown = [name for name in BUY if any(_cell(paper, name, row) for row in rows)]
    body = [
        tag("tr", tag("td", box(), class_="done"), _product(row), *_cells(paper, shown, row))
        for row in rows
    ]
    top = heads("shopping", ("done", "product", *shown))
    return tag("table", top, tag("tbody", join(body)), class_="buy")


def _product(row: Row) -> Html:
    product = text(row.get("product"))
    operations = ", ".join(known("operation", each) for each in text(row["operation"]).split(", "))
    parts = [tag("span", said(product or operations), class_="called")]
    parts += [tag("small", operations)] if product else []
    parts += [front.badge(text(row.get("status")) or DO)]
    parts += [tag("small", said(text(row["flag"])), class_="flag")] if text(row.get("flag")) else []
    return tag("td", *parts, class_="name")


def _cells(paper: SitesPaper, shown: Sequence[str], row: Row) -> list[Html]:
    return [
        tag("td", _cell(paper, each, row), class_=each, data_label=word(f"shopping.{each}"))
        for each in shown
    ]


def _cell(paper: SitesPaper, column: str, row: Row) -> Html:
    """Return one cell of either table; empty when its reader may not see it or nobody knows it."""
    unit, units = heaped(row, "unit"), paper.units
    if column in {"first_month", "month"}:
        return escape(named("month", text(row.get("month"))))
    if column == "needed":
        return escape(span(row.get("amount_low"), row.get("amount"), unit, units))
    if column == "hours":
        return escape(span(row.get("hours_low"), row.get("hours"), "h"))
    if column == "days_out":
        return escape(_days(row))
    value: Any = row.get({"at_sites": "sites"}.get(column, column))
    if missing(value) or (column == "stock" and not float(value)):
        return Html()
    if column == "packs":
        return tag("strong", said(text(value)))
    if column == "cost":
        return said(price(float(value), paper.choices))
    if column == "at_sites":
        return escape(number(float(value)))
    return escape(quantity(float(value), unit, units))


def _days(row: Row) -> str:
    """Return the days on which a machine is out; without dates how many its hours take at least."""
    if not missing(row.get("days")):
        return number(float(row["days"]))
    if missing(row.get("days_least")):
        return ""
    return word("sites.days_least", days=number(float(row["days_least"])))


def _machines(paper: SitesPaper, rows: list[Row]) -> Html:
    """Return each machine with its months, one line a month."""
    if not rows:
        return Html()
    shown = [name for name in OUT if any(_cell(paper, name, row) for row in rows)]
    by_name: dict[str, list[Row]] = {}
    for row in rows:
        by_name.setdefault(text(row["machine"]), []).append(row)
    bodies = []
    for machine, months in by_name.items():
        title = tag("th", said(machine), colspan=1 + len(shown), scope="rowgroup")
        lines = [
            tag("tr", tag("td", box(), class_="done"), *_cells(paper, shown, row))
            for row in months
        ]  # fmt: skip
        bodies.append(tag("tbody", tag("tr", title, class_="of"), join(lines)))
    return tag("table", heads("shopping", ("done", *shown)), join(bodies), class_="book")


def _sum(paper: SitesPaper, rows: list[Row]) -> Html:
    """Return the sum of what has a price; nothing for who sees no money."""
    costs = [float(row["cost"]) for row in rows if not missing(row.get("cost"))]
    if not costs:
        return Html()
    told = word("shopping.sum", sum=price(math.fsum(costs), paper.choices))
    return tag("p", told, class_="sum")
