"""The list of sites, as rows of a table and as columns for the map's script."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.exports.parts.cells import heads
from lawnmap.exports.sites.states import STATES, blank
from lawnmap.exports.sites.sums import figure, named
from lawnmap.exports.wording.amounts import missing, number, text
from lawnmap.exports.wording.short_dates import short
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import word
from lawnmap.paper import SitesPaper

COLUMNS = ("region", "depot", "zones", "ground_area_m2", "hours", "day_first", "trouble")
STANDING = 1000  # sites up to which every row stands in the page, for paper and without script
LISTED_OF_MORE = 100

Codes = npt.NDArray[np.intp]


def has(paper: SitesPaper) -> list[str]:
    """Return the columns of the list that say anything."""
    sites = paper.table("sites")
    return [name for name in COLUMNS if name in sites.columns and not blank(sites[name]).all()]


def title(row: Any) -> str:
    """Return what a site is called, else its id."""
    return text(row.get("title")) or text(row["site_id"])


def cells(paper: SitesPaper, sites: pd.DataFrame) -> dict[str, list[str]]:
    """Return the texts of each column."""
    return {name: [_text(paper, name, each) for each in sites[name]] for name in has(paper)}


def table(paper: SitesPaper, of: Codes) -> Html:
    """Return the rows of the first sites; of many a note that says where the rest is."""
    sites = paper.table("sites")
    shown = sites if len(sites) <= STANDING else sites.head(LISTED_OF_MORE)
    columns, names = cells(paper, shown), list(STATES)
    titles = [title(row) for row in shown.to_dict("records")]
    rows = [
        tag(
            "tr",
            _name(names[of[place]], titles[place], text(shown["site_id"].iloc[place])),
            *(
                tag("td", said(texts[place]) if texts[place] else "", class_=name,
                    data_label=word(f"sites.{name}"))
                for name, texts in columns.items()
            ),
            data_site=place,
        )
        for place in range(len(shown))
    ]  # fmt: skip
    made = tag("table", heads("sites", ("site", *columns)), tag("tbody", join(rows)),
               class_="sites")  # fmt: skip
    if len(shown) == len(sites):
        return made
    note = word("sites.first_only", shown=number(LISTED_OF_MORE), all=number(len(sites)))
    return join([made, tag("p", note, class_="note first-only")])


def _name(state: str, called: str, site_id: str) -> Html:
    known_as = f"{word(f'sites.state_{state}')} · {site_id}" if called != site_id else ""
    small = known_as or word(f"sites.state_{state}")
    return tag("td", tag("span", said(called), class_="called"), tag("small", said(small)),
               class_="name")  # fmt: skip


def _text(paper: SitesPaper, column: str, value: Any) -> str:
    if missing(value) or (column == "hours" and not value):
        return ""
    if column in {"region", "depot"}:
        return named(column, text(value))
    if column == "day_first":
        return short(dt.date.fromisoformat(text(value)))
    return text(value) if column == "trouble" else figure(paper, column, float(value))
