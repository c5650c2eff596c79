"""What the map's script is given: shapes, classes and finished sentences, as one JSON value.

The script knows no figure, no unit and no word of its own; it only shows what stands here.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely

from lawnmap.exports.drawing import symbols
from lawnmap.exports.drawing.drawn import CENTIMETRES, Drawing, Mapped, lines, points, rings
from lawnmap.exports.drawing.layers import Layer
from lawnmap.exports.drawing.themes import Theme
from lawnmap.exports.map import comments
from lawnmap.exports.map.basemap import basemap_block
from lawnmap.exports.map.before import before_block
from lawnmap.exports.map.work_days import work_days
from lawnmap.exports.wording import zone_text
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
        ``pictures``, whether the map is ``flat``; and what zones share
        and name by place: ``texts``, ``whys`` and their ``sources``.
    """
    told = Told(SharedTexts(), Whys(paper.units))
    zones = []
    middles = drawn.positions(drawn.points)
    for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones)):
        zone = {"number": place + 1} | front(zone_id, row, told)
        zone |= details(row, paper.units, steps.get(zone_id, []), told)
        zone["areas"] = _areas(drawn.zones[place], drawn)
        zone["at"] = middles[place]
        zone["radius"] = round(float(drawn.radii[place]), CENTIMETRES)
        zone["classes"] = {theme.name: int(theme.classes[place]) for theme in themes}
        zones.append(zone)
    shown = [layer_block(each, drawn) for each in drawn.layers]
    return site_block(paper, drawn, themes) | {"zones": zones, "layers": shown} | told.listed()


def site_block(paper: Paper, drawn: Drawing, themes: Sequence[Theme]) -> dict[str, Any]:
    """Return what the script is told but for zones and layers."""
    return {
        "flat": drawn.flat,
        "words": starting("page"),
        "reply": comments.about(paper),
        "themes": [_theme(theme) for theme in themes],
        "features": [_feature(each, drawn) for each in drawn.features],
        "looks": {kind: symbols.options(kind) for kind in (*symbols.LOOKS, "other")},
        "pictures": [_picture(data, "webp", bounds, drawn) for data, bounds in paper.pictures],
        "work": work_days(paper),
        **before_block(paper, drawn),
        **basemap_block(paper),
    }


class Told(NamedTuple):
    """What has been said of the zones so far, to be named by place when it is said again."""

    texts: SharedTexts
    whys: Whys

    def line(self, line: Line, row: Row) -> list[int | None]:
        """Return the places of a line's label, text and reason."""
        reason = self.whys.place(line.rule, row)
        return [self.texts.place(line.label), self.texts.place(line.text), reason]

    def listed(self) -> dict[str, Any]:
        """Return texts, reasons and sources in the order of their places."""
        return {
            "texts": self.texts.listed(),
            "whys": self.whys.listed(),
            "sources": self.whys.sources(),
        }

    def step(self, step: Step, row: Row) -> dict[str, Any]:
        """Return a step in places; blanks of its reason may name columns of zone or step."""
        place = self.texts.place
        return {
            "title": place(step.title),
            "status": None if step.status == DO else place(known("status", step.status)),
            "kind": step.status.split(":")[0].replace(" ", "-"),
            "details": [[place(label), place(said)] for label, said in step.details],
            "gates": [place(each) for each in step.on_the_day],
            "flag": place(step.flag),
            "why": self.whys.place(step.rule, over(row, step.row)),
        }


def front(zone_id: str, row: Row, told: Told) -> dict[str, Any]:
    """Return what is known of a zone before its panel is opened, for list and search."""
    return {
        "id": zone_id,
        "name": zone_text.name(row, zone_id),
        "subtitle": zone_text.subtitle(row),
        "verdict": told.line(zone_text.verdict(row), row)[1:],
    }


def details(row: Row, units: str, of_zone: Sequence[Step], told: Told) -> dict[str, Any]:
    """Return everything else that the panel of a zone shows."""
    watched = zone_text.watched(row, units)
    return {
        "verdict": told.line(zone_text.verdict(row), row)[1:],
        "watch": [told.line(each, row) for each in watched],
        "found": [told.line(x, row) for x in zone_text.found(row, units) if x not in watched],
        "chosen": [told.line(each, row) for each in zone_text.chosen(row, units)],
        "steps": [told.step(each, row) for each in working(of_zone)],
        "left": [told.step(each, row) for each in left_out(of_zone)],
        "note": zone_text.notes(row),
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
        "lines": drawn.runs(lines(feature.shape)),
        "points": drawn.positions(points(feature.shape)),
    }


def layer_block(layer: Layer, drawn: Drawing) -> dict[str, Any]:
    """Return a layer's shapes, marks and images as they are drawn."""
    whole = shapely.GeometryCollection(list(shapely.get_parts(layer.shapes)))
    places = np.array([[each.east, each.north] for each in layer.marks]).reshape(-1, 2)
    return {
        "look": symbols.options(layer.look),
        "view": layer.view,
        "areas": _areas(whole, drawn),
        "lines": drawn.runs(lines(whole)),
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
    polygons = rings(shape)
    found = iter(drawn.runs([ring for polygon in polygons for ring in polygon]))
    return [[next(found) for _ in polygon] for polygon in polygons]
