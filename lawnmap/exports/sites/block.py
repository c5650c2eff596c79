"""What the script of the sites' map is given: marks, columns and finished texts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.exports.sites import listing, sums
from lawnmap.exports.sites.places import Marks, summed
from lawnmap.exports.sites.states import STATES, blank
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.short_dates import between
from lawnmap.pages.words import known, word
from lawnmap.paper import SitesPaper
from lawnmap.schema import DO, PRICING

MOST_SITES = 10_000  # sites that are told one by one
ACROSS = 96  # squares of the sums that are drawn of more
UPPER = 0.9  # share of the sites of a region that its name stands above
# A way to a file from the page's own folder, in percent encoding: it names no host and no scheme.
BESIDE = re.compile(r"(\.\./)*[\w%~-][\w%~.-]*(/[\w%~-][\w%~.-]*)*", re.ASCII)
WORDS = (
    "zoom_in", "zoom_out", "whole_map", "more_rows", "of_all", "close", "open_map",
    "needed", "nothing_needed", "sum_of", "too_old",
)  # fmt: skip

Codes = npt.NDArray[np.intp]
Block = dict[str, Any]
Row = Mapping[str, Any]


def block(paper: SitesPaper, of: Codes, drawn: Marks) -> Block:
    """Return what is shown at once."""
    sites = paper.table("sites")
    one_by_one = len(sites) <= MOST_SITES
    shown = drawn if one_by_one else summed(drawn, ACROSS) if len(drawn.places) else drawn
    return {
        "words": {name: word(f"sites.{name}") for name in WORDS},
        "states": [
            {"label": word(f"sites.state_{name}"), "fill": look.fill, "path": look.path}
            for name, look in STATES.items()
        ],
        "marks": {
            "at": [[round(y, 6), round(x, 6)] for x, y in zip(
                shown.longitude.tolist(), shown.latitude.tolist(), strict=True)],
            "ground": np.round(shown.ground).astype(int).tolist(),
            "states": shown.states.tolist(),
            "places": (shown.places if one_by_one else np.full(len(shown.places), -1)).tolist(),
        },
        "names": [[name, [round(y, 6), round(x, 6)]] for name, (x, y) in names(paper)],
        "sites": _sites(paper, of) if one_by_one else None,
    }  # fmt: skip


def names(paper: SitesPaper) -> list[tuple[str, tuple[float, float]]]:
    """Return regions with the upper edge of their sites, those with most sites first."""
    sites = paper.table("sites")
    if not {"region", "longitude", "latitude"} <= set(sites.columns):
        return []
    placed = sites[sites["longitude"].notna() & ~blank(sites["region"])]
    by = placed.groupby("region")
    east, north = by["longitude"].median(), by["latitude"].quantile(UPPER)
    order = by.size().sort_values(ascending=False, kind="stable").index
    return [(str(each), (float(east[each]), float(north[each]))) for each in order]


def details(paper: SitesPaper) -> list[Block]:
    """Return what the panel tells of each site: its facts, and what is needed there."""
    totals = paper.table("totals_by")
    by_site: dict[str, list[Row]] = {}
    for row in records(totals[totals["by"] == "site"]) if len(totals) else ():
        by_site.setdefault(text(row["key"]), []).append(row)
    return [
        {
            "facts": _facts(paper, row),
            "needs": _needs(paper, by_site.get(text(row["site_id"]), [])),
        }
        for row in records(paper.table("sites"))
    ]


def _sites(paper: SitesPaper, of: Codes) -> Block:
    sites = paper.table("sites")
    cells = listing.cells(paper, sites)
    return {
        "title": [listing.title(row) for row in sites.to_dict("records")],
        "id": sites["site_id"].map(text).tolist(),
        "state": of.tolist(),
        "cells": cells,
        "numbers": {
            name: [None if missing(each) else float(each) for each in sites[name]]
            for name in cells
            if pd.api.types.is_numeric_dtype(sites[name])
        },
        "days": sites["day_first"].map(text).tolist() if "day_first" in sites else [],
        "keys": {
            name: sites[name].map(text).tolist()
            for name in ("region", "depot")
            if name in sites.columns
        },
        "months": _months(paper),
        "beside": [_beside(paper, text(each)) for each in sites["site_id"]],
    }


def _beside(paper: SitesPaper, site_id: str) -> str:
    path = paper.beside.get(site_id, "")
    return path if BESIDE.fullmatch(path) else ""


def _months(paper: SitesPaper) -> list[list[str]]:
    """Return the months in which each site has work."""
    needs = paper.table("site_needs")
    found: dict[str, set[str]] = {}
    if len(needs):
        live = needs[needs["status"].isin([DO, PRICING]) & (needs["month"] != "")]
        for site_id, month in zip(live["site_id"], live["month"], strict=True):
            found.setdefault(str(site_id), set()).add(str(month))
    return [sorted(found.get(str(each), ())) for each in paper.table("sites")["site_id"]]


def _facts(paper: SitesPaper, row: Row) -> list[list[str]]:
    told = ("region", "depot", "zones", "worked", "unrated", "stopped", "ground_area_m2",
            "worked_area_m2", "hours", "visits", "undated", "cost")  # fmt: skip
    found = []
    for name in told:
        value: Any = row.get(name)
        if missing(value) or (name in {"unrated", "stopped", "undated"} and not value):
            continue
        said = text(value) if isinstance(value, str) else sums.figure(paper, name, float(value))
        found.append([word(f"sites.{name}"), said])
    first, last = text(row.get("day_first")), text(row.get("day_last"))
    if first:
        ends = pd.Timestamp(first).date(), pd.Timestamp(last or first).date()
        found.append([word("sites.days"), between(*ends)])
    if text(row.get("trouble")):
        found.append([word("sites.trouble"), text(row["trouble"])])
    return found


def _needs(paper: SitesPaper, rows: list[Row]) -> list[list[str]]:
    """Return lines of name, what for and how, and figures in one text."""
    found = []
    for _, lines in sums.needed(paper, rows):
        for (name, small), status, _, _, ground, amount, water, hours in lines:
            how = "" if status in {DO, ""} else known("status", status)
            figures = " · ".join(each for each in (amount or ground, water, hours) if each)
            found.append([name, " · ".join(each for each in (small, how) if each), figures])
    return found
