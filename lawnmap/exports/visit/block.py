"""What the visit page's script is given: zones with their facts, the form, the work planned."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from lawnmap import schema
from lawnmap.exports.drawing.drawn import Drawing
from lawnmap.exports.map.block import map_block
from lawnmap.exports.map.comments import issued_id
from lawnmap.exports.wording.amounts import SPACE, missing, text
from lawnmap.exports.wording.iron_work import IRON
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.step_text import Step, working
from lawnmap.exports.wording.zone_text import ground
from lawnmap.pages.words import known, starting, table
from lawnmap.paper import Paper
from lawnmap.reference.tables import scales

# What a phone asks of a zone, in this order; the rest stands behind "more".
FIRST = (
    "moss_rating", "thatch_rating", "thatch_mm", "moss_cover_pct", "sun_hours_seen", "drainage",
    "bare_pct", "public_note",
)  # fmt: skip
MORE = (
    "moss_depth_mm", "moss_form", "tug_test", "compaction", "wear", "cut_height_mm",
    "slope_seen_deg", "soil_ph", "grass", "turf_type", "fed_last", "sown_last",
)  # fmt: skip
RATED = {"moss_rating": "moss", "thatch_rating": "thatch"}
DAYS = ("fed_last", "sown_last")
# What can be put at a place with a phone, and the column that says which sort it is.
PLACES = {
    "access": "", "supply": "supply_kind", "hidden": "hidden_kind", "drain": "drain_kind",
    "water": "water_kind", "tree": "leaf",
}  # fmt: skip
# Work that puts something on the lawn, whether or not a label card says what; amounts are asked.
PUTS_ON = (*IRON, "overseeding", "top_dressing", "feeding")


def visit_block(paper: Paper, drawn: Drawing, work: Mapping[str, list[Step]]) -> dict[str, Any]:
    """Return everything the visit page's script shows and asks.

    Returns
    -------
    dict
        As :func:`lawnmap.exports.map.block.map_block` gives the map, and in ``visit``: the words,
        the site, the columns asked, the kinds of place.
    """
    given = map_block(paper, drawn, [], {})
    for name in ("whys", "sources"):
        given.pop(name)
    asked = (*FIRST, *MORE)
    rows = zone_rows(paper.plan.zones)
    for zone, (zone_id, row) in zip(given["zones"], rows, strict=True):
        zone["zone_id"] = zone_id
        zone["area"] = ground(row, paper.units)
        zone["facts"] = {name: row[name] for name in asked if not missing(row.get(name))}
        zone["work"] = [_work(step) for step in working(work.get(zone_id, []))]
    site = paper.plan.site
    given["visit"] = {
        "words": starting("visit"),
        "site": {
            "id": text(site.header.get("site_id")),
            "title": site.title,
            "revision": site.revision,
        },
        "issued": issued_id(paper),
        "placed": site.placed and not paper.schematic,
        "columns": [column(name) for name in asked],
        "first": len(FIRST),
        "places": [_place(kind, sort) for kind, sort in PLACES.items()],
    }
    return given


def column(name: str) -> dict[str, Any]:
    """Return how one fact of a zone is asked."""
    fact = next(each for each in schema.facts("zones") if each.name == name)
    found: dict[str, Any] = {
        "name": name,
        "label": table().get(f"visit.col_{name}") or known("zone", name),
        "unit": "" if fact.unit == "class" else fact.unit,
        "low": fact.low,
        "high": fact.high,
        "form": _form(fact),
    }
    if name in RATED:
        found["choices"] = [[each.rating, _whole(each.word)] for each in scales()[RATED[name]]]
    elif fact.words:
        found["choices"] = [[each, each] for each in fact.words]
    return found


def _whole(words: str) -> str:
    """Return words in which no unit is parted from its figure at the end of a line."""
    return re.sub(r"(?<=\d) (?=%|mm)", SPACE, words)


def asks_amount(step: Step) -> bool:
    """Tell whether a step puts something on the lawn, so that amount and product are asked."""
    return step.operation in PUTS_ON or bool(step.product)


def ticked(step: Step) -> bool:
    """Tell whether a step can be ticked: work that is still to be done."""
    return step.status != schema.DONE and step.operation not in schema.NO_WORK


def _form(fact: schema.Column) -> str:
    if fact.name in RATED or fact.words:
        return "choice"
    if fact.name in DAYS:
        return "day"
    if fact.name == "public_note":
        return "note"
    return "number" if fact.dtype == "float64" else "line"


def _place(kind: str, sort: str) -> dict[str, Any]:
    words = next((each.words for each in schema.facts("features") if each.name == sort), ())
    return {"kind": kind, "label": known("feature", kind), "sort": sort, "words": list(words)}


def _work(step: Step) -> dict[str, Any]:
    """Return one step of the plan as it is ticked; its place in the order tells it apart."""
    amount, size = step.row.get("amount"), step.row.get("area_m2")
    sequence = step.row.get("sequence")
    return {
        "operation": step.operation,
        "application": "" if missing(sequence) else f"{int(float(str(sequence)))}",
        "title": step.title,
        "status": known("status", step.status),
        "may": step.status in (schema.DO, schema.DONE),
        "done": step.status == schema.DONE,
        "day": step.day,
        "ticked": ticked(step),
        "puts_on": asks_amount(step),
        "product": step.product,
        "area_m2": None if missing(size) else round(float(str(size)), 1),
        "means": step.means,
        "planned": step.amounts,
        "unit": "" if missing(amount) else text(step.row.get("unit")),
        "remark": step.remark,
        "flag": step.flag,
    }
