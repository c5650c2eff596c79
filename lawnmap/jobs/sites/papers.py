"""The papers of many sites: their map with totals, what each depot buys, and what a van takes."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import ModuleType
from typing import Any
from urllib.parse import quote

import pandas as pd

from lawnmap.exports.sites import loading, shopping
from lawnmap.exports.sites import map as sites_map
from lawnmap.jobs.export import EXPORTS
from lawnmap.paper import SitesPaper
from lawnmap.processing.many.disclosed import disclosed

PAPERS: dict[str, ModuleType] = {
    "map.html": sites_map,
    "shopping.html": shopping,
    "loading.html": loading,
}
OWN_MAP = "map.html"


def papers(tables: Mapping[str, pd.DataFrame], **paper: Any) -> dict[str, bytes]:
    """Return the papers by the names of their files. They are for who plans the work.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        By their names in the schema; see :func:`lawnmap.processing.many.disclosed.disclosed`.
        Without those of single plans there is no loading list.
    **paper
        As that takes them: title, today, choices, units, beside.
    """
    cut: dict[str, SitesPaper] = {}
    found = {}
    for name, export in PAPERS.items():
        if export is loading and "steps" not in tables:
            continue
        audience = export.AUDIENCE
        if audience not in cut:
            cut[audience] = disclosed(tables, audience, **paper)
        found[name] = export.render(cut[audience])
    return found


def beside(folders: Iterable[tuple[str, Path]], out: Path) -> dict[str, str]:
    """Return by site the way from the folder of results to the site's own map, where it has one.

    Parameters
    ----------
    folders : iterable of (str, Path)
        The id of each site, and its folder.
    out : Path
    """
    found = {}
    for site_id, folder in folders:
        path = folder / EXPORTS / OWN_MAP
        if os.path.isfile(path):  # noqa: PTH113 (never raises, whatever the folder)
            way = Path(os.path.relpath(path.resolve(), out.resolve())).as_posix()
            found[site_id] = quote(way.encode("utf-8", "surrogateescape"))
    return found
