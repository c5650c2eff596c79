"""What a treatment of somebody else sprays or spreads keeps off water as ours does.

How near water its product may go is told by its own label, which lawnmap has not read. So the strip
must be set by law or site rule; where nobody has set one, or only the label of another product did,
nothing is applied.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.model import Specification
from lawnmap.outside.steps import LIVE, SLACK_M2, places_of
from lawnmap.outside.unfit import Unfit
from lawnmap.reference import tables

HOLDS = ("law", "site rule", "none mapped")  # for whatever product
LABEL = "label"  # of our products, which binds beside a narrower rule of law or site
WIDTHS = ("water_m", "drain_m")


class Strip(NamedTuple):
    """Columns of the zones that tell a strip, and the rule where nobody set it."""

    set_by: str
    ground: str
    rule: str


STRIPS = {
    "spray": Strip("water_strip_from", "iron_area_m2", "not_set_water_strip"),
    "granules": Strip("feed_strip_from", "feed_area_m2", "not_set_feed_strip"),
}


def kept_off(
    rows: pd.DataFrame, zones: pd.DataFrame, specification: Specification, kind: str
) -> pd.DataFrame:
    """Return rows with those stopped whose strip along water nobody has set.

    Parameters
    ----------
    rows : DataFrame
        Those of a treatment, in `zones` by ``zone_id``.
    zones : DataFrame
        With the columns of the step ``strips``.
    specification : Specification
    kind : str
        The KIND of the treatment.

    Raises
    ------
    Unfit
        When more ground is to be treated than lies outside the strips.
    """
    strip = STRIPS.get(kind)
    if strip is None or rows.empty:
        return rows
    place = places_of(rows, zones, specification)
    live = rows["status"].isin(LIVE).to_numpy()
    known = (*HOLDS, LABEL) if _ruled(specification) else HOLDS
    holds = zones[strip.set_by].astype(object).isin(known).to_numpy()[place]
    ground = zones[strip.ground].to_numpy(dtype=float)[place]
    stopped = live & ~holds
    over = live & holds & (rows["area_m2"].to_numpy(dtype=float) > ground + SLACK_M2)
    if over.any():
        row = int(np.argmax(over))
        raise Unfit(
            f"area_m2 is {rows['area_m2'].iloc[row]:.1f} for the zone {rows['zone_id'].iloc[row]}, "
            f"of which {ground[row]:.1f} lie outside the strips ({strip.ground})"
        )
    return _stopped(rows, stopped, strip.rule) if stopped.any() else rows


def _ruled(specification: Specification) -> bool:
    """Tell whether law or site rule sets strips for whatever is put down, water and drains both."""
    legal = (specification.choice("strips") or {}).get("legal") or {}
    return all(legal.get(each) is not None for each in WIDTHS)


def _stopped(rows: pd.DataFrame, stopped: np.ndarray, rule: str) -> pd.DataFrame:
    """Return rows of which some are not to be applied: no figure is left that anybody could use."""
    numbers = [each.name for each in schema.columns("steps") if each.dtype == "float64"]
    words = {"status": schema.NOT_SET, "rule": rule, "sources": "", "remark": ""}
    words["standing"] = tables.rules()[rule].standing
    changes: dict[str, pd.Series] = {}
    for name in rows.columns:
        if name in numbers:
            changes[name] = rows[name].astype(float).mask(stopped)
        elif name in words:
            changes[name] = rows[name].astype(object).mask(stopped, words[name])
    return rows.assign(**changes)
