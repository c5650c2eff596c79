"""What the map's script is given: shapes, classes and finished sentences, as one JSON value.

The script knows no figure, no unit and no word of its own; it only shows what stands here.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.exports.drawing import symbols
from lawnmap.exports.drawing.drawn import CENTIMETRES, Drawing, Mapped, lines, points, rings
from lawnmap.exports.drawing.layers import Layer
from lawnmap.exports.drawing.themes import Theme
from lawnmap.exports.map import comments
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import text
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.shared_texts import SharedTexts
from lawnmap.exports.wording.step_text import Step, left_out, working
from lawnmap.exports.wording.why import Whys, over
from lawnmap.exports.wording.zone_text import Line, Row
from lawnmap.pages.words import known, starting, word
from lawnmap.paper import Paper
from lawnmap.schema import DO


def map_block(
    paper: Paper, drawn: Drawing, themes: Sequence[Theme], steps: Mapping[str, list[Step]]
) -> dict[str, Any]:
    """Return everything the map's script shows.

    Returns
    -------
    dict
        ``words``, ``reply``, ``themes``, ``zones``, ``features``, ``looks``, ``layers``,
        ``pictures``, whether the map is ``flat`` and its scale ``imperial``; and what zones share
        and name by place: ``texts``, ``whys`` and their ``sources``.
    """
    told = Told(SharedTexts(), Whys(paper.units))
    zones = []
    for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones)):
        zone = {"number": place + 1} | _zone(zone_id, row, paper.units, steps, told)
        zone["areas"] = _areas(drawn.zones[place], drawn)
        zone["at"] = drawn.positions(drawn.points[place : place + 1])[0]
        zone["radius"] = round(float(drawn.radii[place]), CENTIMETRES)
        zone["classes"] = {theme.name: int(theme.classes[place]) for theme in themes}
        zones.append(zone)
    return {
        "flat": drawn.flat,
        "imperial": paper.units != METRIC,
        "words": starting("page"),
        "reply": comments.about(paper),
        "themes": [_theme(theme) for theme in themes],
        "zones": zones,
        "texts": told.texts.listed(),
        "whys": told.whys.listed(),
        "sources": told.whys.sources(),
        "features": [_feature(each, drawn) for each in drawn.features],
        "looks": {kind: symbols.options(kind) for kind in (*symbols.LOOKS, "other")},
        "layers": [_layer(each, drawn) for each in drawn.layers],
        "pictures": [_picture(data, "webp", bounds, drawn) for data, bounds in paper.pictures],
    }


class Told(NamedTuple):
    """What has been said of the zones so far, to be named by place when it is said again."""

    texts: SharedTexts
    whys: Whys

    def line(self, line: Line, row: Row) -> list[int | None]:
        """Return the places of a line's label, text and reason."""
        reason = self.whys.place(line.rule, row)
        return [self.texts.place(line.label), self.texts.place(line.text), reason]

    def step(self, step: Step, row: Row) -> dict[str, Any]:
        """Return a step in places; blanks of its reason may name columns of zone or step."""
        place = self.texts.place
        return {
            "title": place(step.title),
            "status": None if step.status == DO else place(known("status", step.status)),
            "kind": step.status.split(":")[0].replace(" ", "-"),
            "details": [[place(label), place(said)] for label, said in step.details],
            "flag": place(step.flag),
            "why": self.whys.place(step.rule, over(row, step.row)),
        }


def _zone(
    zone_id: str, row: Row, units: str, steps: Mapping[str, list[Step]], told: Told
) -> dict[str, Any]:
    """Return everything the panel of a zone shows."""
    of_zone = steps.get(zone_id, [])
    return {
        "id": zone_id,
        "name": zone_text.name(row, zone_id),
        "subtitle": zone_text.subtitle(row),
        "verdict": told.line(zone_text.verdict(row), row)[1:],
        "found": [told.line(each, row) for each in zone_text.found(row, units)],
        "chosen": [told.line(each, row) for each in zone_text.chosen(row, units)],
        "steps": [told.step(each, row) for each in working(of_zone)],
        "left": [told.step(each, row) for each in left_out(of_zone)],
        "note": text(row.get("public_note")),
    }


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


def _layer(layer: Layer, drawn: Drawing) -> dict[str, Any]:
    whole = shapely.GeometryCollection(list(shapely.get_parts(layer.shapes)))
    places = np.array([[each.east, each.north] for each in layer.marks]).reshape(-1, 2)
    return {
        "look": symbols.options(layer.look),
        "view": layer.view,
        "areas": _areas(whole, drawn),
        "lines": [drawn.positions(each) for each in lines(whole)],
        "marks": [
            {"at": at, "text": each.text, "more": each.more, "room": each.room_m}
            for at, each in zip(drawn.positions(places), layer.marks, strict=True)
        ],
        "images": [_picture(each.png, "png", each.bounds, drawn) for each in layer.images],
    }


def _picture(
    data: bytes, kind: str, bounds: tuple[float, float, float, float], drawn: Drawing
) -> dict[str, Any]:
    """Return a plan picture as an address of its own bytes, with two corners of where it lies."""
    corners = np.array([bounds[:2], bounds[2:]])
    return {
        "url": f"data:image/{kind};base64,{base64.b64encode(data).decode('ascii')}",
        "corners": drawn.positions(drawn.frame.to_metres(corners)),
    }


def _areas(shape: shapely.Geometry, drawn: Drawing) -> list[list[list[list[float]]]]:
    return [[drawn.positions(np.asarray(ring)) for ring in polygon] for polygon in rings(shape)]
