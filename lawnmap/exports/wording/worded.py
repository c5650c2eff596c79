"""A plan whose own sentences give their figures in the reader's units."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

import pandas as pd

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.exports.wording.sentences import in_units
from lawnmap.exports.wording.switched import unmarked
from lawnmap.model import Plan
from lawnmap.paper import Paper

Table = TypeVar("Table", bound=pd.DataFrame)

# Columns of finished sentences. Names, notes and what a person typed are left as they are.
SENTENCES = {
    "zones": ("moss_class", "thatch_class", "causes", "stop_it", "ways_out", "crossing"),
    "steps": ("remark", "flag", "gates", "beside", "day_why"),
    "totals": ("packs", "flag", "shelf"),
    "loads": ("remark", "flag"),
    "costs": ("remark",),
    "programmes": ("remark",),
}


def worded(plan: Plan, units: str) -> Plan:
    """Return the plan with its sentences in other units; a metric one as it is."""
    if units == METRIC:
        return plan
    dates = replace(plan.dates, told=_all(plan.dates.told, units))
    return replace(
        plan,
        zones=_table(plan.zones, "zones", units),
        steps=_table(plan.steps, "steps", units),
        totals=_table(plan.totals, "totals", units),
        loads=_table(plan.loads, "loads", units),
        cautions=_all(plan.cautions, units),
        warnings=_all(plan.warnings, units),
        tables={name: _table(table, name, units) for name, table in plan.tables.items()},
        dates=dates,
    )


def in_words(paper: Paper) -> Paper:
    """Return a paper that people read: its sentences in its units, and nobody's words marked."""
    plain = unmarked(paper)
    return plain.of(plan=worded(plain.plan, plain.units))


def _all(sentences: tuple[str, ...], units: str) -> tuple[str, ...]:
    return tuple(in_units(each, units) for each in sentences)


def _table(table: Table, name: str, units: str) -> Table:
    columns = {
        column: table[column].map(lambda cell: _cell(cell, units))
        for column in SENTENCES.get(name, ())
        if column in table.columns
    }
    return table.assign(**columns)


def _cell(cell: object, units: str) -> object:
    return in_units(cell, units) if isinstance(cell, str) else cell
