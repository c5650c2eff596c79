"""What a crew's papers need of a plan, deflated: it is opened only when a list is made."""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterable
from typing import Any

import pandas as pd

from lawnmap import schema
from lawnmap.files import json_text
from lawnmap.model import Plan

WAY_IN = "access"
MOST_SITES = 1000  # of a loading list: nobody prints that of more
LARGEST = 50_000_000  # bytes of a site's tables


def packed(plan: Plan) -> str:
    """Return the steps, the loads, what zones are called, and the ways in, as text."""
    zones = plan.zones[["name"]].reset_index()
    things = plan.site.features[["feature"]]
    tables = {
        "steps": plan.steps[schema.names("steps")],
        "loads": plan.loads[schema.names("loads")],
        "zones": zones[["zone_id", "name"]],
        "features": things[things["feature"] == WAY_IN],
    }
    text = json_text.dumps({name: _columns(table) for name, table in tables.items()})
    return base64.b85encode(zlib.compress(text.encode("utf-8"))).decode("ascii")


def unpacked(text: str, site_id: str) -> dict[str, pd.DataFrame]:
    """Return the tables again, each with ``site_id``."""
    data = zlib.decompressobj().decompress(base64.b85decode(text), LARGEST)
    tables: dict[str, dict[str, list[Any]]] = json_text.loads(data, name=site_id)
    found = {}
    for name, columns in tables.items():
        dtypes = {each.name: each.dtype for each in schema.columns(name) if each.name in columns}
        table = pd.DataFrame(columns).astype(dtypes)
        table.insert(0, "site_id", site_id)
        found[name] = table
    return found


def stacked(sites: Iterable[dict[str, pd.DataFrame]]) -> dict[str, pd.DataFrame]:
    """Return the tables of sites under one another."""
    given = list(sites)
    return {
        name: pd.concat([each[name] for each in given], ignore_index=True)
        for name in (given[0] if given else ())
    }


def _columns(table: pd.DataFrame) -> dict[str, list[Any]]:
    return {str(name): [_cell(each) for each in table[name].to_list()] for name in table.columns}


def _cell(value: Any) -> Any:
    return None if isinstance(value, float) and value != value else value  # noqa: PLR0124 - NaN
