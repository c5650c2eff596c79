"""The shopping list: whole packs to buy, machines to book and what has no price yet, to tick."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lawnmap.exports.crew.booking import bookings
from lawnmap.exports.crew.shelf import shelf
from lawnmap.exports.parts import front
from lawnmap.exports.parts.cells import box, heads
from lawnmap.exports.wording.amounts import SPACE, day, missing, price, quantity, span, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_text import heaped
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, PRICING

TITLE = "shopping list: packs to buy and machines to book, to print"
SUFFIX = ".html"
AUDIENCE = "owner"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/shopping.css")
CLEARED = ("clearing", "aerating")  # what comes off is not bought
PRICED = ("materials", "hire", "disposal")  # the parts of the costs that are bought or booked
COLUMNS = ("packs", "needed", "stock", "left_over", "cost", "first_day")

SORT = re.compile(r"\d+ × [\d.,]+ \w+")  # of packs, as :mod:`lawnmap.processing.buying.totals` says

Row = Mapping[str, Any]


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience. Who may not see money sees the packs alone.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    rows = [row for row in records(paper.plan.totals) if _bought(row)]
    to_buy = [row for row in rows if not _there(row)]
    slots = {
        "title": escape(f"{word('shopping.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "heading": front.heading(paper, word("shopping.title")),
        "buy": _section("buy", _table(paper, to_buy) or tag("p", word("totals.none"))),
        "there": _section("there", _table(paper, [row for row in rows if _there(row)])),
        "book": _section("book", _machines(paper)),
        "clear": _section("clear", _disposal(paper)),
        "sum": _sum(paper),
        "unpriced": _section("unpriced", _unpriced(paper)),
        "shelf": shelf(paper),
        "notes": _notes(rows),
    }
    return filled("papers/shopping.html", slots).encode("utf-8")


def _bought(row: Row) -> bool:
    return text(row.get("operation")) not in CLEARED


def _there(row: Row) -> bool:
    """Tell whether the shed holds all of it."""
    return not missing(row.get("to_buy")) and float(row["to_buy"]) <= 0


def _table(paper: Paper, rows: Sequence[Row]) -> Html:
    """Return products with their packs, those that are needed first at the top."""
    if not rows:
        return Html()
    first = _first_days(paper)
    days = [first.get((text(row.get("product")), text(row.get("operation"))), "") for row in rows]
    shown = [
        name
        for name in COLUMNS
        if any(_cell(paper, name, *each) for each in zip(rows, days, strict=True))
    ]
    ordered = sorted(zip(rows, days, strict=True), key=lambda each: each[1] or "9999")
    body = [_row(paper, shown, *each) for each in ordered]
    columns = heads("shopping", ("done", "product", *shown))
    return tag("table", columns, tag("tbody", join(body)), class_="buy")


def _row(paper: Paper, shown: Sequence[str], row: Row, first: str) -> Html:
    product = text(row.get("product"))
    operation = known("operation", text(row.get("operation")))
    name = [tag("span", said(product or operation), class_="called")]
    name += [tag("small", operation)] if product else []
    name += [front.badge(text(row.get("status")) or DO)]
    name += [tag("small", said(text(row["flag"])), class_="flag")] if text(row.get("flag")) else []
    cells = [
        tag("td", _cell(paper, each, row, first), class_=each, data_label=word(f"shopping.{each}"))
        for each in shown
    ]
    return tag("tr", tag("td", box(), class_="done"), tag("td", join(name), class_="name"), *cells)


def _cell(paper: Paper, column: str, row: Row, first: str) -> Html:
    """Return one cell; empty when the reader may not see it or nobody knows it."""
    unit, units = heaped(row, "unit"), paper.units
    if column == "first_day":
        return said(day(first)) if first else Html()
    if column == "needed":
        return escape(span(row.get("amount_low"), row.get("amount"), unit, units))
    if missing(row.get(column)):
        return Html()
    if column == "packs":
        return tag("strong", said(_unbroken(text(row["packs"]))))
    if column == "cost":
        return said(_price(paper, float(row["cost"])))
    if column == "stock" and not float(row["stock"]):
        return Html()
    return escape(quantity(float(row[column]), unit, units))


def _unbroken(packs: str) -> str:
    """Return packs such as ``2 × 5 kg + 3 × 20 kg`` with no sort parted at the end of a line."""
    return SORT.sub(lambda found: found[0].replace(" ", SPACE), packs)


def _first_days(paper: Paper) -> dict[tuple[str, str], str]:
    """Return the first day on which each product is used."""
    found: dict[tuple[str, str], str] = {}
    for row in records(paper.plan.steps):
        on = text(row.get("day"))
        if on and row.get("status") in {DO, PRICING}:
            key = text(row.get("product")), text(row.get("operation"))
            found[key] = min(on, found.get(key, on))
    return found


def _machines(paper: Paper) -> Html:
    """Return what to have or to book, with its days."""
    rows = [
        tag(
            "tr",
            tag("td", box(), class_="done"),
            tag("td", tag("span", said(each.machine), class_="called"), class_="name"),
            tag("td", _told(each.days), data_label=word("shopping.days")),
            tag("td", _told(each.remark), data_label=word("shopping.remark")),
            tag(
                "td",
                "" if each.cost is None else said(_price(paper, each.cost)),
                class_="cost",
                data_label=word("shopping.cost"),
            ),
        )
        for each in bookings(paper.plan)
    ]
    if not rows:
        return Html()
    columns = heads("shopping", ("done", "machine", "days", "remark", "cost"))
    return tag("table", columns, tag("tbody", join(rows)), class_="book")


def _told(words: str) -> Html:
    return said(words) if words else Html()


def _disposal(paper: Paper) -> Html:
    """Return how what comes off is cleared, and how much of it there is."""
    lines = [
        tag("li", box(), said(text(row["what"])), ": ", said(_counted(row)), " ",
            said(_priced(paper, row)))
        for row in _costs(paper, ("disposal",))
    ]  # fmt: skip
    lines += [
        tag(
            "li",
            known("operation", text(row.get("operation"))),
            ": ",
            span(row.get("amount_low"), row.get("amount"), heaped(row, "unit"), paper.units),
        )
        for row in records(paper.plan.totals)
        if not _bought(row)
    ]
    return tag("ul", join(lines), class_="ticks") if lines else Html()


def _counted(row: Row) -> str:
    if missing(row.get("number")):
        return ""
    return span(row.get("number_low"), row.get("number"), text(row.get("number_unit")))


def _priced(paper: Paper, row: Row) -> str:
    told = text(row.get("remark"))
    cost = "" if missing(row.get("cost")) else _price(paper, float(row["cost"]))
    return ", ".join(part for part in (cost, told) if part)


def _sum(paper: Paper) -> Html:
    """Return the sum of what has a price; nothing for who sees no money."""
    costs = [float(row["cost"]) for row in _costs(paper, PRICED) if not missing(row.get("cost"))]
    if not costs:
        return Html()
    return tag("p", word("shopping.sum", sum=_price(paper, math.fsum(costs))), class_="sum")


def _unpriced(paper: Paper) -> Html:
    lines = [
        tag("li", tag("strong", said(text(row["what"]))), ": ", said(text(row.get("remark"))))
        for row in _costs(paper, PRICED)
        if missing(row.get("cost"))
    ]
    return tag("ul", join(lines)) if lines else Html()


def _costs(paper: Paper, parts: Iterable[str]) -> list[dict[str, Any]]:
    table = paper.plan.tables.get("costs")
    if table is None or "cost" not in table.columns:
        return []
    return [row for row in records(table) if row["part"] in set(parts)]


def _section(name: str, body: Html) -> Html:
    if not body:
        return body
    return tag("section", tag("h2", word(f"shopping.{name}")), body, class_=name)


def _notes(rows: Iterable[Row]) -> Html:
    keys = ["shopping.note"]
    keys += ["note.status"] if any(row.get("status") == PRICING for row in rows) else []
    return join(tag("p", word(key), class_="note") for key in keys)


def _price(paper: Paper, value: float) -> str:
    return price(value, paper.plan.specification.choices)
