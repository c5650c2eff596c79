"""The tables of a paper for files that other programs read: known columns, in one order."""

from __future__ import annotations

import pandas as pd

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.paper import Paper


def table(paper: Paper, name: str) -> pd.DataFrame:
    """Return one table of a paper with the columns that the schema knows.

    Parameters
    ----------
    paper : Paper
    name : str
        ``zones``, ``features``, ``steps``, ``totals`` or ``loads``.

    Returns
    -------
    DataFrame
        Columns in the schema's order; what the paper lacks was kept back from its audience, and is
        left out. Zones and features have their shapes in ``geometry``. A table without rows and
        columns has every column that the audience may see.
    """
    plan = paper.plan
    tables: dict[str, pd.DataFrame] = {
        "zones": plan.zones.rename_axis("zone_id").reset_index(),
        "features": plan.site.features,
        "steps": plan.steps,
        "totals": plan.totals,
        "loads": plan.loads,
    }
    found = tables[name]
    if found.empty and "geometry" not in found.columns:
        return pd.DataFrame(columns=schema.names(name, audience=paper.audience))
    known = [*schema.names(name), "geometry"]
    return found[[column for column in known if column in found.columns]]


def refuse_without_place(paper: Paper) -> None:
    """Refuse a paper whose outlines have no position on the earth that may be told.

    Raises
    ------
    InputRefused
        For a schematic, and for a site that was never placed.
    """
    if paper.schematic:
        raise InputRefused(
            "a schematic has no position to export",
            done="Nothing was written.",
            remedy="Export without --schematic, or export the table (csv).",
        )
    if not paper.plan.site.placed:
        raise InputRefused(
            "the site has no place on the earth yet, so it has no position to export",
            done="Nothing was written.",
            remedy="Place it first (lawnmap place), or export the table (csv).",
        )
