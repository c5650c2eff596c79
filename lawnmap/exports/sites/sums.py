"""Sums of many sites as tables: by region, depot and month, and what is needed for each of them."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pandas as pd

from lawnmap.exports.parts.cells import heads
from lawnmap.exports.parts.front import badge
from lawnmap.exports.wording.amounts import area, missing, number, price, quantity, span, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.step_text import heaped
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import known, word
from lawnmap.paper import SitesPaper
from lawnmap.schema import DO, DONE, PRICING

MOST_KEYS = 200  # regions or depots whose own sums are laid into the page
HOURS = ("hours_low", "hours")
ORDER = (DO, PRICING, DONE)
SUMMED = ("ground_area_m2", "worked_area_m2", "hours", "cost")
NEEDED = ("sites", "zones", "area_m2", "amount", "water_l", "hours")

Row = Mapping[str, Any]


def named(by: str, key: str) -> str:
    """Return what a region, depot or month is called; a month in words."""
    if not key:
        return word(f"sites.no_{by}")
    if by != "month":
        return key
    day = dt.date.fromisoformat(f"{key}-01")
    return word("sites.month_named", month=word(f"month.{day.month}"), year=day.year)


def keys(paper: SitesPaper, by: str) -> list[str]:
    """Return the regions, depots or months of all totals; those without one come last."""
    totals = paper.table("totals_by")
    if not len(totals):
        return []
    found = totals.loc[totals["by"] == by, "key"].drop_duplicates()
    return sorted(map(text, found), key=lambda key: (not key, key))


def groups(paper: SitesPaper, by: str) -> Html:
    """Return the sums of the sites of each region or depot; empty when there is but one."""
    sites = paper.table("sites")
    if by not in sites.columns or sites[by].nunique() < 2:  # noqa: PLR2004 - nothing to compare
        return Html()
    has = [name for name in SUMMED if name in sites.columns and sites[name].notna().any()]
    rows = [
        _group(paper, by, text(key), rows, has)
        for key, rows in sites.groupby(sites[by].fillna(""), sort=True)
    ]
    return tag("table", heads("sites", (by, "sites", *has)), tag("tbody", join(rows)),
               class_="groups")  # fmt: skip


def months(paper: SitesPaper) -> Html:
    """Return the sites with work and the hours of each month; empty when nothing has a day."""
    totals = paper.table("totals_by")
    told = [key for key in keys(paper, "month") if key]
    if not told:
        return Html()
    needs = paper.table("site_needs")
    has = ["hours"] if "hours" in totals.columns else []
    rows = []
    for key in told:
        here = totals[(totals["by"] == "month") & (totals["key"] == key)]
        sites = needs.loc[needs["month"] == key, "site_id"].nunique()
        cells = [_cell(paper, name, math.fsum(here[name].dropna())) for name in has]
        name = tag("th", named("month", key), scope="row")
        rows.append(tag("tr", name, _cell(paper, "sites", sites), *cells))
    return tag("table", heads("sites", ("month", "sites", *has)), tag("tbody", join(rows)),
               class_="groups")  # fmt: skip


def sums(paper: SitesPaper) -> Html:
    """Return what is needed for all sites, then for each region, depot and month that is shown."""
    totals = paper.table("totals_by")
    if not len(totals):
        return tag("p", word("sites.no_sums"), class_="note")
    shown = [("all", "")] if (totals["by"] == "all").any() else []
    shown += [(by, key) for by in ("region", "depot", "month") for key in listed(paper, by)]
    of = totals.groupby(["by", "key"], sort=False)
    return join(_sum(paper, by, key, of.get_group((by, key))) for by, key in shown)


def listed(paper: SitesPaper, by: str) -> list[str]:
    """Return the keys whose sums are in the page."""
    found = keys(paper, by)
    return found if 1 < len(found) <= MOST_KEYS else []


def needed(paper: SitesPaper, rows: Sequence[Row]) -> Iterator[tuple[str, list[list[Any]]]]:
    """Yield each operation with its lines: name, badge, then a text for each of the figures.

    Hours are told by operation: they stand in its only line of work, or in one of their own.
    """
    for operation, of in _by_operation(rows).items():
        timed = next((row for row in of if not missing(row.get("hours"))), {})
        hours = {name: timed.get(name) for name in HOURS}
        lines = sorted(
            ({**row, **dict.fromkeys(HOURS)} for row in of if not missing(row.get("zones"))),
            key=lambda row: ORDER.index(row["status"]) if row["status"] in ORDER else len(ORDER),
        )
        live = [row for row in lines if row["status"] == DO]
        if len(live) == 1:
            live[0].update(hours)
        elif timed:
            lines = [{"operation": operation, "sites": timed["sites"], **hours}, *lines]
        yield operation, [_line(paper, row) for row in lines]


def _by_operation(rows: Sequence[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(text(row["operation"]), []).append(row)
    return found


def _line(paper: SitesPaper, row: Row) -> list[Any]:
    product, operation = text(row.get("product")), known("operation", text(row["operation"]))
    name = (product, operation) if product else (operation, "")
    return [name, text(row.get("status")), *(_needed(paper, row, each) for each in NEEDED)]


def _needed(paper: SitesPaper, row: Row, column: str) -> str:
    value: Any = row.get(column)
    if missing(value) or (column in {"amount", "water_l"} and not float(value)):
        return ""
    if column == "amount":
        return span(row.get("amount_low"), value, heaped(row, "unit"), paper.units)
    if column == "hours":
        return span(row.get("hours_low"), value, "h")
    return figure(paper, column, float(value))


def figure(paper: SitesPaper, column: str, value: float) -> str:
    """Return a figure of a site, or of many, as it is read."""
    if column in {"ground_area_m2", "worked_area_m2", "area_m2"}:
        return area(value, units=paper.units)
    if column == "cost":
        return price(value, paper.choices)
    if column == "hours":
        return quantity(value, "h")
    return quantity(value, "l", paper.units) if column == "water_l" else number(value)


def _group(paper: SitesPaper, by: str, key: str, rows: pd.DataFrame, has: list[str]) -> Html:
    cells = [_cell(paper, name, math.fsum(rows[name].dropna())) for name in has]
    name = tag("th", said(named(by, key)), scope="row")
    return tag("tr", name, _cell(paper, "sites", len(rows)), *cells)


def _cell(paper: SitesPaper, name: str, value: float) -> Html:
    return tag("td", figure(paper, name, float(value)), class_=f"figure {name}",
               data_label=word(f"sites.{name}"))  # fmt: skip


def _sum(paper: SitesPaper, by: str, key: str, rows: pd.DataFrame) -> Html:
    lines = [line for _, found in needed(paper, records(rows)) for line in found]
    has = [place for place, name in enumerate(NEEDED) if any(line[2 + place] for line in lines)]
    body = [_row(line, has) for line in lines]
    title = word("sites.all") if by == "all" else word(f"sites.of_{by}", name=named(by, key))
    table = tag("table", heads("sites", ("need", *(NEEDED[place] for place in has))),
                tag("tbody", join(body)), class_="needs")  # fmt: skip
    return tag("section", tag("h3", said(title)), table, class_="sums", data_by=by, data_key=key)


def _row(line: list[Any], has: list[int]) -> Html:
    (name, small), status, *texts = line
    called = [tag("span", said(name), class_="called"), tag("small", small) if small else ""]
    cells = [
        tag("td", texts[place], class_=f"figure {NEEDED[place]}",
            data_label=word(f"sites.{NEEDED[place]}"))
        for place in has
    ]  # fmt: skip
    return tag("tr", tag("td", *called, badge(status or "do"), class_="name"), *cells)
