"""A plan looked up by step and zone: names, loads and lines to walk, each found at once."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pandas as pd

from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.legal_strips import LAYER
from lawnmap.exports.wording.pass_text import line
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.step_text import Step
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.paper import Paper

Key = tuple[str, str, int]
ANY = 0  # the place of a row whose table does not say of which step of a zone it is


class Job:
    """What a crew's papers ask of a plan, put in order once.

    Attributes
    ----------
    paper : Paper
    units : str
    zones : dict of str to mapping
        The row of each zone.
    set_out : bool
        Whether what is kept clear was worked out piece by piece.
    """

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.units = paper.units
        self.zones = dict(zone_rows(paper.plan.zones))
        self._numbers = {zone_id: place for place, zone_id in enumerate(self.zones, start=1)}
        layer = paper.plan.layers.get(LAYER)
        self.set_out = layer is not None and not layer.empty
        passes = paper.plan.tables.get("passes", pd.DataFrame())
        self._passes = records(passes)
        self._bouts = _placed(self._passes)
        self._loads = _placed(records(paper.plan.loads))

    def pill(self, zone_id: str) -> Html:
        """Return the number of a zone."""
        return tag("span", self._numbers.get(zone_id, 0), class_="pill")

    def name(self, zone_id: str) -> str:
        """Return what people call a zone."""
        return zone_text.name(self.zones.get(zone_id, {}), zone_id)

    def zone(self, zone_id: str) -> Html:
        """Return a zone as its number and name."""
        return join([self.pill(zone_id), " ", said(self.name(zone_id))])

    def bouts(self, step: Step) -> list[str]:
        """Return the passes of a step as lines."""
        return [line(self._passes[place], self.units) for place in _of(step, self._bouts)]

    def loads(self, found: Iterable[Step]) -> pd.DataFrame:
        """Return the rows of the table ``loads`` that belong to these steps, in their order."""
        places = [place for step in found for place in _of(step, self._loads)]
        return self.paper.plan.loads.iloc[places]


def _placed(rows: Iterable[dict[str, Any]]) -> dict[Key, list[int]]:
    """Return the places of rows by zone, operation and place of the step, where it is told."""
    found: dict[Key, list[int]] = {}
    for place, row in enumerate(rows):
        told = row.get("sequence")
        number = ANY if missing(told) else int(row["sequence"])
        found.setdefault((text(row["zone_id"]), text(row["operation"]), number), []).append(place)
    return found


def _of(step: Step, placed: dict[Key, list[int]]) -> list[int]:
    told = step.row.get("sequence")
    number = ANY if missing(told) else int(step.row["sequence"])
    keys = dict.fromkeys((number, ANY))
    return [at for each in keys for at in placed.get((step.zone_id, step.operation, each), ())]
