"""What the map's script is given: shapes, classes and finished sentences, as one JSON value.

The script knows no figure, no unit and no word of its own; it only shows what stands here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from lawnmap.exports import symbols, zone_text
from lawnmap.exports.amounts import text
from lawnmap.exports.drawing import CENTIMETRES, Drawing, Mapped, lines, points, rings
from lawnmap.exports.rows import zone_rows
from lawnmap.exports.step_text import DO, Step, left_out, working
from lawnmap.exports.themes import Theme
from lawnmap.exports.why import Whys, over
from lawnmap.exports.zone_text import Line, Row
from lawnmap.model import Paper
from lawnmap.pages.words import known, starting, word


def map_block(
    paper: Paper, drawn: Drawing, themes: Sequence[Theme], steps: Mapping[str, list[Step]]
) -> dict[str, Any]:
    """Return everything the map's script shows.

    Returns
    -------
    dict
        ``words``, ``themes``, ``zones``, ``whys`` and their ``sources`` (shared, named by place),
        ``features``, ``looks``, ``layers``, and whether the map is ``flat`` or ``imperial``.
    """
    whys = Whys()
    shown = []
    for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones)):
        zone = _zone(zone_id, row, paper.units, of_zone=steps.get(zone_id, []), whys=whys)
        shown.append(zone)
        zone["number"] = place + 1
        zone["areas"] = _areas(drawn.zones[place], drawn)
        zone["at"] = drawn.positions(drawn.points[place : place + 1])[0]
        zone["radius"] = round(float(drawn.radii[place]), CENTIMETRES)
        zone["classes"] = {theme.name: int(theme.classes[place]) for theme in themes}
    return {
        "flat": drawn.flat,
        "imperial": paper.units == "imperial",
        "words": starting("page"),
        "themes": [_theme(theme) for theme in themes],
        "zones": shown,
        "whys": whys.listed(),
        "sources": whys.sources(),
        "features": [_feature(each, drawn) for each in drawn.features],
        "looks": {kind: symbols.options(kind) for kind in (*symbols.LOOKS, "other")},
        "layers": [_layer(name, shapes, drawn) for name, shapes in drawn.layers.items()],
    }


def _zone(zone_id: str, row: Row, units: str, *, of_zone: list[Step], whys: Whys) -> dict[str, Any]:
    """Return everything the panel of a zone shows."""
    verdict = zone_text.verdict(row)
    return {
        "name": zone_text.name(row, zone_id),
        "subtitle": zone_text.subtitle(row),
        "verdict": {"text": verdict.text, "why": whys.place(verdict.rule, row)},
        "found": [_line(each, row, whys) for each in zone_text.found(row, units)],
        "chosen": [_line(each, row, whys) for each in zone_text.chosen(row)],
        "steps": [_step(each, row, whys) for each in working(of_zone)],
        "left": [
            {"text": f"{each.title}: {known('status', each.status)}", "why": _why(each, row, whys)}
            for each in left_out(of_zone)
        ],
        "note": text(row.get("public_note")),
    }


def _line(line: Line, row: Row, whys: Whys) -> dict[str, Any]:
    return {"label": line.label, "text": line.text, "why": whys.place(line.rule, row)}


def _step(step: Step, row: Row, whys: Whys) -> dict[str, Any]:
    return {
        "title": step.title,
        "status": "" if step.status == DO else known("status", step.status),
        "kind": step.status.split(":")[0].replace(" ", "-"),
        "details": step.details,
        "flag": step.flag,
        "why": _why(step, row, whys),
    }


def _why(step: Step, row: Row, whys: Whys) -> int | None:
    """Return the place of a step's reason; its blanks may name columns of the zone or the step."""
    return whys.place(step.rule, over(row, step.row))


def _theme(theme: Theme) -> dict[str, Any]:
    classes = zip(theme.labels, theme.colours, strict=True)
    return {
        "name": theme.name,
        "title": word(f"theme.{theme.name}"),
        "classes": [{"label": label, "colour": colour} for label, colour in classes],
        "unknown": theme.unknown,
    }


def _feature(feature: Mapped, drawn: Drawing) -> dict[str, Any]:
    return {
        "kind": feature.kind if feature.kind in symbols.LOOKS else "other",
        "label": known("feature", feature.kind),
        "letter": symbols.badge(feature.kind),
        "name": feature.name,
        "note": feature.note,
        "areas": _areas(feature.shape, drawn),
        "lines": [drawn.positions(each) for each in lines(feature.shape)],
        "points": drawn.positions(points(feature.shape)),
    }


def _layer(name: str, shapes: Sequence[shapely.Geometry], drawn: Drawing) -> dict[str, Any]:
    whole = shapely.GeometryCollection(list(shapely.get_parts(shapes)))
    return {
        "label": known("layer", name),
        "areas": _areas(whole, drawn),
        "lines": [drawn.positions(each) for each in lines(whole)],
    }


def _areas(shape: shapely.Geometry, drawn: Drawing) -> list[list[list[list[float]]]]:
    return [[drawn.positions(np.asarray(ring)) for ring in polygon] for polygon in rings(shape)]
