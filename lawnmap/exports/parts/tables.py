"""The tables of a page: zones, steps and what to have ready, as HTML that needs no script."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from lawnmap.exports.drawing.drawn import LONG_FROM
from lawnmap.exports.drawing.themes import Theme
from lawnmap.exports.parts.cells import head
from lawnmap.exports.parts.front import badge
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import missing, number, price, quantity, span, text
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.step_text import heaped
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

LISTED_OF_MORE = 100  # rows of a long page, for who runs no script; they are laid out as it opens


def zones_table(paper: Paper, themes: Sequence[Theme]) -> Html:
    """Return one row a zone: number, name, ground area, each theme's class, what to do."""
    shown = [theme for theme in themes if theme.name != "work"]
    top = head(
        [
            (word("table.number"), "n"),
            (word("table.zone"), "name"),
            (word("table.area"), "area"),
            *((word(f"theme.{theme.name}"), theme.name) for theme in shown),
            (word("table.work"), "work"),
        ]
    )
    many = len(paper.plan.zones)
    zones = paper.plan.zones.head(many if many <= LONG_FROM else LISTED_OF_MORE)
    rows = [
        _zone_row(place, zone_id, row, paper.units, shown)
        for place, (zone_id, row) in enumerate(zone_rows(zones))
    ]
    kind = "zones" if len(zones) == many else "zones some"
    table = tag("table", top, tag("tbody", join(rows)), class_=kind)
    if len(zones) == many:
        return table
    note = word("table.first_only", all=number(many))
    return join([table, tag("p", note, class_="note")])


def totals_table(totals: pd.DataFrame, units: str, choices: Mapping[str, Any]) -> Html:
    """Return what to have ready, with packs and price where the audience may see them."""
    if totals.empty:
        return tag("p", word("totals.none"), class_="note")
    has = [
        column
        for column in ("stock", "to_buy", "packs", "left_over", "cost")
        if column in totals.columns and not totals[column].map(missing).all()
    ]
    top = head(
        [
            (word("totals.product"), "name"),
            (word("totals.amount"), "amount"),
            *((word(f"totals.{column}"), column) for column in has),
        ]
    )
    rows = [_total(row, has, choices, units) for row in records(totals)]
    table = tag("table", top, tag("tbody", join(rows)), class_="totals")
    return join([table, _shelf(records(totals))])


def _shelf(rows: Iterable[Mapping[str, Any]]) -> Html:
    """Return what will be left over and how to keep it, and what to look at twice in the packs."""
    lines = [
        tag("li", tag("strong", said(text(row.get("product")))), ": ", said(text(row[column])))
        for column in ("flag", "shelf")
        for row in rows
        if not missing(row.get(column))
    ]
    if not lines:
        return Html()
    return join([tag("h3", word("totals.shelf")), tag("ul", join(lines), class_="shelf")])


def _zone_row(
    place: int, zone_id: str, row: Mapping[str, Any], units: str, shown: Sequence[Theme]
) -> Html:
    known_as = zone_text.subtitle(row)
    name = join(
        [
            tag("span", said(zone_text.name(row, zone_id)), class_="called"),
            tag("small", said(known_as)) if known_as else "",
        ]
    )
    cells = [
        tag("td", tag("span", place + 1, class_="pill"), class_="n"),
        tag("td", name, class_="name"),
        tag("td", zone_text.ground(row, units), class_="area"),
        *(_theme_cell(theme.name, row, units) for theme in shown),
        tag("td", said(zone_text.verdict(row).text), class_="work"),
    ]
    return tag("tr", join(cells), data_zone=place)


def _theme_cell(name: str, row: Mapping[str, Any], units: str) -> Html:
    """Return what a zone is by one theme; a phone, which shows no head, shows the label."""
    shown = zone_text.SWARD[name](row, units)
    return tag("td", said(shown) if shown else "", class_=name, data_label=word(f"theme.{name}"))


def _total(
    row: Mapping[str, Any], has: Sequence[str], choices: Mapping[str, Any], units: str
) -> Html:
    unit = heaped(row, "unit")
    product, operation = text(row.get("product")), known("operation", text(row.get("operation")))
    name = join(
        [
            tag("span", said(product or operation), class_="called"),
            tag("small", operation) if product else "",
            badge(text(row.get("status")) or "do"),
        ]
    )
    cells = [
        tag("td", name, class_="name"),
        tag(
            "td",
            span(row.get("amount_low"), row.get("amount"), unit, units),
            class_="amount",
            data_label=word("totals.amount"),
        ),
        *(
            tag(
                "td",
                _total_cell(row, column, unit, choices, units),
                class_=column,
                data_label=word(f"totals.{column}"),
            )
            for column in has
        ),
    ]
    return tag("tr", join(cells))


def _total_cell(
    row: Mapping[str, Any], column: str, unit: str, choices: Mapping[str, Any], units: str
) -> Html:
    if missing(row.get(column)):
        return Html()
    value = row[column]
    if column == "packs":
        return said(text(value))
    if column == "cost":
        return said(price(float(value), choices))
    return join([quantity(float(value), unit, units)])
