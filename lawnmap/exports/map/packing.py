"""A long page: what the map shows at once in short columns, the rest in parcels to be opened.

What only a panel, the list or a switch asks for is deflated, with the texts it names beside it,
some zones to a parcel: a reader opens a few of many.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from lawnmap.exports.drawing.drawn import LONG_FROM, Drawing
from lawnmap.exports.drawing.themes import Theme
from lawnmap.exports.map.block import Told, details, front, layer_block, map_block, site_block
from lawnmap.exports.map.outlines import outlines
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.shared_texts import SharedTexts
from lawnmap.exports.wording.step_text import Step
from lawnmap.exports.wording.why import Whys
from lawnmap.exports.wording.zone_text import Row
from lawnmap.pages.escape import Html, block, join
from lawnmap.pages.parcel import parcel
from lawnmap.paper import Paper

ZONES_A_PARCEL = 500  # what zones say alike is deflated once a parcel

Steps = Mapping[str, list[Step]]
Block = dict[str, Any]


def data(paper: Paper, drawn: Drawing, themes: Sequence[Theme], steps: Steps) -> Html:
    """Return what the map's script reads: one block, and behind that of a long page its parcels."""
    if len(drawn.zones) <= LONG_FROM:
        return block("lawnmap-data", map_block(paper, drawn, themes, steps))
    own, parcels = packed(paper, drawn, themes, steps)
    laid = [parcel(name, value) for name, value in parcels.items()]
    return join([block("lawnmap-data", own), *laid], "\n")


def packed(
    paper: Paper, drawn: Drawing, themes: Sequence[Theme], steps: Steps
) -> tuple[Block, dict[str, Block]]:
    """Return the block of a long page, and its parcels by name.

    Returns
    -------
    block : dict
        As :func:`map_block` gives it, but with ``packed`` for the zones, and layers that name
        their ``parcel``.
    parcels : dict
        ``zones-0`` and so on, each with its own texts, and ``layer-0`` and so on.
    """
    told = Told(SharedTexts(), Whys(paper.units))
    rows = list(zone_rows(paper.plan.zones))
    fronts = [front(zone_id, row, told) for zone_id, row in rows]
    own = site_block(paper, drawn, themes) | told.listed()
    days = _days(own["work"], len(rows))
    parcels: dict[str, Block] = {}
    for count, first in enumerate(range(0, len(rows), ZONES_A_PARCEL)):
        some = slice(first, first + ZONES_A_PARCEL)
        parcels[f"zones-{count}"] = _parcel(paper.units, rows[some], days[some], steps, themes)
    layers = {f"layer-{place}": layer_block(x, drawn) for place, x in enumerate(drawn.layers)}
    own["layers"] = [
        {"look": x["look"], "view": x["view"], "parcel": name} for name, x in layers.items()
    ]
    own["packed"] = outlines(drawn) | {
        "zones_a_parcel": ZONES_A_PARCEL,
        "columns": {name: [each[name] for each in fronts] for name in fronts[0]},
        "classes": {theme.name: _letters(theme.classes) for theme in themes},
    }
    return own, parcels | layers


def _days(work: Block, count: int) -> list[list[list[str]]]:
    """Take the rows of each zone's days out of the block, and name a day's zones by steps."""
    for day in work.get("days", ()):
        day["zones"] = [np.diff(places, prepend=0).tolist() for places in day["zones"]]
    rows, of_zone = work.pop("rows", []), work.pop("of_zone", [None] * count)
    return [[] if place is None else rows[place] for place in of_zone]


def _parcel(
    units: str,
    rows: Sequence[tuple[str, Row]],
    days: Sequence[list[list[str]]],
    steps: Steps,
    themes: Sequence[Theme],
) -> Block:
    """Return what panel and list show of some zones, with their texts."""
    told = Told(SharedTexts(), Whys(units))
    zones = [
        details(row, units, steps.get(zone_id, []), told)
        | {"days": of_days, "cells": _cells(row, units, themes, told)}
        for (zone_id, row), of_days in zip(rows, days, strict=True)
    ]
    return {"zones": zones} | told.listed()


def _cells(row: Row, units: str, themes: Sequence[Theme], told: Told) -> dict[str, int | None]:
    """Return what stands in the row of a zone in the list, as places of texts."""
    shown = {name: zone_text.SWARD[name] for name in (x.name for x in themes) if name != "work"}
    cells = {name: told.texts.place(made(row, units)) for name, made in shown.items()}
    return {"area": told.texts.place(zone_text.ground(row, units))} | cells


def _letters(classes: npt.NDArray[np.int64]) -> str:
    """Return one letter a zone: a for no class, b for the first."""
    return "".join(chr(ord("b") + int(each)) for each in classes)
