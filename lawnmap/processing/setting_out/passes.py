"""The step ``passes``: bouts of a machine over each zone, their number, length, turns and cover."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd

from lawnmap import schema
from lawnmap.found import Heights
from lawnmap.model import LONLAT, Specification
from lawnmap.processing import machines
from lawnmap.processing.setting_out import pass_flags
from lawnmap.processing.setting_out.hand import BLADES
from lawnmap.processing.setting_out.pass_ground import SCARIFYING, kind_of
from lawnmap.processing.setting_out.pass_headings import crossing, fall_deg, first_way, passes
from lawnmap.processing.setting_out.pass_place import Place, Work, placed, start
from lawnmap.processing.setting_out.pass_rows import bouts_of, planned_h, row_of
from lawnmap.processing.setting_out.pass_working import Worked, Working, worked
from lawnmap.reference import tables

NAMES = [column.name for column in schema.columns("passes")]
BOUTS = [column.name for column in schema.columns("bouts")]
# What is walked in bouts: not rakes, cans and lances, which nobody walks by lines.
DRIVEN = {
    BLADES: ("electric", "battery", "petrol", "tractor"),
    "other": ("boom", "spreader", "tractor"),
}
ALWAYS, NEVER = "always", "never"


class PassLines(NamedTuple):
    """The table ``passes``, the layer ``bouts``, and what is to be said of them."""

    passes: pd.DataFrame
    bouts: gpd.GeoDataFrame
    told: tuple[str, ...]


def pass_lines(
    zones: gpd.GeoDataFrame,
    steps: pd.DataFrame,
    layers: Mapping[str, gpd.GeoDataFrame],
    features: gpd.GeoDataFrame,
    specification: Specification,
    *,
    heights: Heights | None = None,
    asked: bool = False,
    heard: Callable[[float], None] = lambda _share: None,
) -> PassLines:
    """Lay the bouts of every step that a machine is walked or driven for.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    steps : DataFrame
        The table ``steps``.
    layers : mapping of str to GeoDataFrame
        ``lawn`` by zone_id, ``treatable`` and ``kept_clear``.
    features : GeoDataFrame
    specification : Specification
        Its ``pass_lines``: when, one's own direction, overlap, rounds, cable.
    heights : Heights, optional
        Tell which way the ground falls.
    asked : bool
        Whether lines are wanted however many zones there are.
    heard : callable
        Hears what share of the lines is laid, 0 to 1.

    Returns
    -------
    PassLines
    """
    found = list(_works(steps, specification))
    when = (specification.choices.get("pass_lines") or {}).get("when")
    many = len({each.step["zone_id"] for each in found})
    most = int(tables.value("pass_lines_zones").number)
    if when == NEVER and not asked:
        found = []
    elif many > most and not asked and when != ALWAYS:
        told = (
            f"No pass lines for {many} zones, which is more than {most}: ask for them with "
            "plan --setting-out, or with pass_lines.when in specification.toml."
        )
        return PassLines(*_tables([], []), (told,))
    rows: list[dict[str, Any]] = []
    lines: list[dict[str, Any]] = []
    for done, each in enumerate(found):
        heard(done / len(found))
        place = placed(zones, each, layers, features, specification)
        if place is None:
            continue
        for row, laid in _laid(place, each, specification, heights):
            rows.append(row)
            lines += bouts_of(row, laid, place.frame)
    return PassLines(*_tables(rows, lines), pass_flags.told(rows))


def _tables(
    rows: list[dict[str, Any]], lines: list[dict[str, Any]]
) -> tuple[pd.DataFrame, gpd.GeoDataFrame]:
    types = {each.name: each.dtype for each in schema.columns("passes")}
    layer = gpd.GeoDataFrame(lines, columns=[*BOUTS, "geometry"], geometry="geometry", crs=LONLAT)
    return pd.DataFrame(rows, columns=NAMES).astype(types), layer


def _works(steps: pd.DataFrame, specification: Specification) -> Iterator[Work]:
    """Yield the steps with a machine of known width; each ground and machine once."""
    seen = set()
    for step in steps[steps["status"] == schema.DO].to_dict("records"):
        kind = kind_of({str(key): value for key, value in step.items()})
        if kind == BLADES and step["operation"] != SCARIFYING:
            continue
        machine = machines.named(str(step["machine"] or ""), specification)
        driven = DRIVEN[BLADES if kind == BLADES else "other"]
        if machine is None or not machine.width_m or machine.kind not in driven:
            continue
        key = step["zone_id"], step["operation"], machine.name
        if key not in seen:
            seen.add(key)
            yield Work({str(name): value for name, value in step.items()}, machine, kind)


def _laid(
    place: Place, work: Work, specification: Specification, heights: Heights | None
) -> Iterator[tuple[dict[str, Any], Worked]]:
    """Yield a row and the lines of each pass."""
    choice = _choice(specification, str(work.step["zone_id"]))
    working, blades = _working(place, work, choice), work.kind == BLADES
    count = max(round(float(np.nan_to_num(work.step["passes"]))), 1)
    crossed = crossing(place.zone, count, blades=blades)
    falls = fall_deg(place.ground.area, heights)
    way = first_way(place.zone, crossed, choice, place.area, falls)
    found = _lines(place, working, way.heading_deg)
    for number, each in enumerate(passes(way, found.laid, crossed, count), start=1):
        if number > 1:
            found = _lines(place, working, each.way.heading_deg)
        row = row_of(place, work, working, each, found)
        row |= {"pass": number, "hours_planned": planned_h(work.step, each.times / count)}
        row["flag"] = "; ".join(pass_flags.flags(row, place.zone, work.machine, choice))
        yield row, found


def _lines(place: Place, working: Working, heading_deg: float | None) -> Worked:
    things = place.frame.flat(place.ground.things)
    return worked(place.area, working, heading_deg, things, place.ground.keep_m)


def _choice(specification: Specification, zone_id: str) -> dict[str, Any]:
    """Return how lines are wanted in a zone: its own direction before that of the site."""
    own = specification.by_zone.get(zone_id, {}).get("pass_lines") or {}
    return {**(specification.choices.get("pass_lines") or {}), **own}


def _working(place: Place, work: Work, choice: Mapping[str, Any]) -> Working:
    own = choice.get("overlap_pct")
    usual = tables.value("pass_overlap_share").number if work.kind == BLADES else 0.0
    return Working(
        float(work.machine.width_m or 0.0),
        usual if own is None or work.kind != BLADES else float(own) / 100,
        int(choice.get("rounds") or tables.value("headland_bouts").number),
        start(place, work.machine),
    )
