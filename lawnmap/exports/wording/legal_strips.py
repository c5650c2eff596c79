"""The untreated strips along water and along drains, each with its width and who set it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.listing import listed
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.widths import clear
from lawnmap.exports.wording.zone_text import Line
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper
from lawnmap.schema import NOT_SET

LAYER = "kept_clear"
LEGAL = "untreated"
SORTS = {"water": "water_kind", "drain": "drain_kind"}

Row = Mapping[str, Any]


def legal_strips(paper: Paper) -> list[Line]:
    """Return a line for water and one for drains, as far as they are mapped: never one for both.

    Empty when no strip along either takes any of the lawn. What cannot be told to be water or a
    drain has a line of its own, so that no width is lost and none is given to another thing.
    """
    layer = paper.plan.layers.get(LAYER)
    if layer is None or "strip" not in layer.columns:
        return []
    rows = [row for row in records(layer.drop(columns="geometry")) if row["strip"] == LEGAL]
    if not rows:
        return []
    called = _called(paper)
    along: dict[str, list[Row]] = {feature: [] for feature in SORTS if called[feature]}
    for row in rows:
        whose = [feature for feature, names in called.items() if _is_of(row, names)]
        for key in whose or [text(row["because"])]:
            along.setdefault(key, []).append(row)
    works = dict.fromkeys(text(row["kind"]) for row in rows if not _open(row))
    return [
        Line(word("strips.along", what=known("strips", key)), _told(own, works, paper.units))
        for key, own in along.items()
    ]


def not_set(paper: Paper) -> bool:
    """Tell whether a strip is needed that nobody has set: for that work nothing is applied."""
    layer = paper.plan.layers.get(LAYER)
    return (
        layer is not None
        and "instead" in layer.columns
        and bool((layer["instead"] == NOT_SET).any())
    )


def _called(paper: Paper) -> dict[str, set[str]]:
    """Return what water and what drains may be called where they are the reason for a strip."""
    found: dict[str, set[str]] = {feature: set() for feature in SORTS}
    features = paper.plan.site.features
    for row in records(features.drop(columns=features.geometry.name)):
        feature = text(row["feature"])
        if feature in SORTS:
            name, sort = text(row.get("name")), text(row.get(SORTS[feature])) or feature
            found[feature] |= {name, f"{name} ({sort})"} if name else {sort}
    return found


def _is_of(row: Row, names: Iterable[str]) -> bool:
    """Tell whether a strip lies along one of these; one row names all that have no width."""
    because = text(row["because"])
    if _open(row):
        return any(f", {name}, " in f", {because}, " for name in names)
    return because in names


def _open(row: Row) -> bool:
    return text(row.get("instead")) == NOT_SET


def _told(rows: list[Row], works: Iterable[str], units: str) -> str:
    """Return the strips of one line: those that nobody has set first, and what has none."""
    stopped = dict.fromkeys(text(row["kind"]) for row in rows if _open(row))
    widest: dict[str, Row] = {}
    for row in rows:
        kind = text(row["kind"])
        if kind in stopped or missing(row.get("width_m")):
            continue
        if kind not in widest or float(row["width_m"]) > float(widest[kind]["width_m"]):
            widest[kind] = row
    same: dict[tuple[float, str], list[str]] = {}
    for kind, row in widest.items():
        same.setdefault((float(row["width_m"]), text(row["set_by"])), []).append(kind)
    free = [kind for kind in works if kind not in widest and kind not in stopped]
    told = [word("strips.not_set", work=_work(stopped))] if stopped else []
    told += [
        word("strips.set", work=_work(kinds), wide=clear(wide, units), source=known("strip", by))
        for (wide, by), kinds in same.items()
    ]
    told += [word("strips.none", work=_work(free))] if free else []
    return "; ".join(told)


def _work(kinds: Iterable[str]) -> str:
    return listed([known("kind", kind) for kind in kinds])
