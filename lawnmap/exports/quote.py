"""The quote: what the client is asked, as one page without any script."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from lawnmap.exports.parts import days, front
from lawnmap.exports.parts.cells import head
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import area, day, missing, money, number, text
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.step_text import steps
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, PRICING

TITLE = "quote for the client, to print"
SUFFIX = ".html"
AUDIENCE = "client"

SHEETS = ("base.css", "looks.css", "paper.css", "papers/quote.css")
LINES = (
    "labour", "materials", "hire", "clearing", "travel", "least_charge", "before_tax", "tax",
    "total", "total_so_far",
)  # fmt: skip
SUMS = {"before_tax": "sum", "total": "total", "total_so_far": "total"}
# Lists of terms: the heading, and the parts that stand under it.
LISTS = {
    "excluded_title": ("excluded", "not_in"),
    "assumed_title": ("assumed",),
    "open_title": (
        "unpriced", "unknown_zone", "unknown_hidden", "unknown_route", "unknown_days", "tax_open",
    ),
}  # fmt: skip

Row = Mapping[str, Any]


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience. Who may not see the price sees the work alone.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    table = paper.plan.tables.get("quote")
    rows = records(table) if table is not None else []
    slots = {
        "title": escape(f"{word('quote.title')}: {front.title(paper)}"),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "heading": front.heading(paper, word("quote.title")),
        "glance": _glance(paper, rows),
        "price_title": escape(word("quote.title")),
        "price": _price(rows) if rows else tag("p", _no_price(paper), class_="note"),
        "terms": join(_list(name, parts, rows) for name, parts in LISTS.items()),
        "done_title": escape(word("quote.done_title")),
        "done": _work(paper, {text(row["what"]) for row in rows if row["part"] == "left_out"}),
        "notes": _notes(paper),
    }
    return filled("papers/quote.html", slots).encode("utf-8")


def _notes(paper: Paper) -> Html:
    keys = ["note.areas"] if paper.plan.site.placed else ["note.unplaced", "note.areas"]
    return join(tag("p", word(key), class_="note") for key in keys)


def _no_price(paper: Paper) -> str:
    return word("quote.nothing" if "quote" in paper.plan.tables else "quote.not_for_you")


def _glance(paper: Paper, rows: Sequence[Row]) -> Html:
    """Return until when the price holds, when the work is, and whom to ask."""
    until = next((text(row["what"]) for row in rows if row["part"] == "valid_until"), "")
    shown = [
        ("quote.valid_until", said(day(until)) if until else word("quote.valid_open")),
        ("front.days", said(days.span(paper) or word("quote.unknown_days"))),
        ("front.lawn", said(_lawn(paper))),
        ("front.contact", _contact(paper)),
    ]
    if not rows:
        shown = shown[1:]
    lines = [tag("div", tag("dt", word(key)), tag("dd", value)) for key, value in shown]
    return tag("dl", join(lines), class_="glance")


def _contact(paper: Paper) -> Html:
    given = text(paper.plan.specification.choices.get("contact"))
    return said(given) if given else escape(word("front.contact_open"))


def _lawn(paper: Paper) -> str:
    zones = paper.plan.zones
    key = "front.zone" if len(zones) == 1 else "front.zones"
    total = area(float(zones["ground_area_m2"].fillna(0.0).sum()), units=paper.units)
    return f"{word(key, count=number(len(zones)))}, {total}"


def _price(rows: Sequence[Row]) -> Html:
    """Return the lines and sums, every figure as it is charged."""
    currency = text(rows[0]["currency"])
    decimals = int(rows[0]["decimals"])
    lines = [_line(row, decimals) for row in rows if row["part"] in LINES]
    top = head([(word("quote.for"), ""), (said(currency or word("quote.amount")), "amount")])
    parts: list[object] = []
    if any(row["part"] == "total_so_far" for row in rows):
        parts.append(tag("strong", word("quote.not_whole"), class_="badge pricing"))
    parts.append(tag("table", top, tag("tbody", join(lines)), class_="price"))
    if any(row["part"] == "no_tax" for row in rows):
        parts.append(tag("p", word("quote.no_tax"), class_="note"))
    return join(parts)


def _line(row: Row, decimals: int) -> Html:
    part = text(row["part"])
    label = said(text(row["what"])) if part == "tax" else escape(word(f"quote.{part}"))
    if missing(row["amount"]):
        amount = tag("td", word("quote.no_price_yet"), class_="amount unpriced")
    else:
        amount = tag("td", money(float(row["amount"]), decimals), class_="amount")
    return tag("tr", tag("th", label, scope="row"), amount, class_=SUMS.get(part))


def _list(name: str, parts: tuple[str, ...], rows: Sequence[Row]) -> Html:
    """Return a section with a list of terms; nothing when there are none."""
    lines = [
        tag("li", _term(part, text(row["what"])))
        for part in parts
        for row in rows
        if row["part"] == part
    ]
    if not lines:
        return Html()
    return tag("section", tag("h2", word(f"quote.{name}")), tag("ul", join(lines)), class_="terms")


def _term(part: str, what: str) -> Html:
    if part in {"excluded", "assumed", "not_in"}:
        return said(what)
    told = escape(word(f"quote.{part}"))
    return join([told, " ", said(what)]) if what else told


def _work(paper: Paper, left_out: Collection[str]) -> Html:
    """Return what is done on each zone for the price, without hours."""
    found = steps(paper.plan.steps, paper.units)
    rows = []
    for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones), start=1):
        work = dict.fromkeys(
            known("operation", step.operation)
            for step in found.get(zone_id, [])
            if step.status in (DO, PRICING) and step.operation not in left_out
        )
        rows.append(
            tag(
                "tr",
                tag("td", tag("span", place, class_="pill"), class_="n"),
                tag("td", tag("span", said(zone_text.name(row, zone_id)), class_="called")),
                tag("td", zone_text.ground(row, paper.units), class_="area"),
                tag("td", said(" · ".join(work) or word("table.no_steps")), class_="what"),
            )
        )
    top = head((word(f"table.{name}"), "") for name in ("number", "zone", "area", "work"))
    return tag("table", top, tag("tbody", join(rows)), class_="done")
