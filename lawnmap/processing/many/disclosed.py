"""Cut the tables of many sites down to what an audience may see, before anything is written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

import pandas as pd

from lawnmap import schema
from lawnmap.paper import SitesPaper
from lawnmap.processing.disclose import NAMED, SHOWN_CHOICES

# These of one plan stand under one another with the site in front, for a day's loading list.
OF_A_PLAN = ("steps", "loads", "zones", "passes", "features")
# Of one plan's zones and features a paper of many sites needs no more than what they are called.
CALLED = {"zones": ("zone_id", "name"), "features": ("feature",)}
OWNER = "owner"


def disclosed(
    tables: Mapping[str, pd.DataFrame],
    audience: str,
    *,
    title: str,
    today: dt.date,
    depot: str | None = None,
    choices: Mapping[str, Any] | None = None,
    **paper: Any,
) -> SitesPaper:
    """Return a paper of many sites for one audience.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        ``sites``, ``site_needs``, ``site_hours``, ``depot_shopping``, ``depot_machines`` and
        ``totals_by`` of the schema; for loading lists also those of `OF_A_PLAN` with ``site_id``.
    audience : str
        One of ``schema.AUDIENCES``.
    title : str
        On top of the paper.
    today : date
        The day it was made for.
    depot : str, optional
        The one depot that the paper is for; all of them when left out.
    choices : mapping, optional
        As a specification has them.
    **paper
        Further fields of :class:`lawnmap.paper.SitesPaper`.

    Notes
    -----
    An allow-list, as :func:`lawnmap.processing.disclose.disclose` has it. Who may not see from
    which depot a site is worked gets no sums by depot either.
    """
    if depot is not None:
        tables = _of_depot(tables, depot)
    shown = {name: _cut(name, table, audience) for name, table in tables.items()}
    kept = (*SHOWN_CHOICES, "money") if audience == OWNER else SHOWN_CHOICES
    return SitesPaper(
        title=title,
        today=today,
        tables={name: table for name, table in shown.items() if len(table.columns)},
        audience=audience,
        choices={key: value for key, value in (choices or {}).items() if key in kept},
        **paper,
    )


def _cut(name: str, table: pd.DataFrame, audience: str) -> pd.DataFrame:
    seen = [each for each in schema.names(name, audience=audience) if each not in NAMED]
    if name in CALLED:
        seen = [each for each in CALLED[name] if each in seen]
    if name in OF_A_PLAN:
        seen = ["site_id", *seen]
    if name == "totals_by" and "depot" not in schema.names("sites", audience=audience):
        table = table[table["by"] != "depot"]
    return table[[each for each in seen if each in table.columns]]


def _of_depot(tables: Mapping[str, pd.DataFrame], depot: str) -> dict[str, pd.DataFrame]:
    """Return the rows of one depot; sums over all of them are not of it, and go."""
    sites = tables["sites"]
    own = set(sites.loc[sites["depot"] == depot, "site_id"])
    found = {}
    for name, table in tables.items():
        if name == "totals_by":
            of = (table["by"] == "depot") & (table["key"] == depot)
            found[name] = table[of | (table["by"] == "site") & table["key"].isin(own)]
        elif "depot" in table.columns:
            found[name] = table[table["depot"] == depot]
        else:
            found[name] = table[table["site_id"].isin(own)]
    return found
