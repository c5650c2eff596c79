"""What was found becomes part of a site: ids, replaced outlines, claims and overlaps told."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.geometry import claim, ellipsoid, outline
from lawnmap.model import Site
from lawnmap.processing.names import check_id, new_id
from lawnmap.processing.outlines import Shaped

SAME_SHARE = 0.8  # of either outline: from here on two outlines are taken for one zone
CLAIM = re.compile(
    r"(?:total|shape|st|site|lawn|grass)?area(?:m2|sqm|ha|hectares)?|sqm|m2|hectares"
)
LONGEST_NAME = SITE.name_length


@dataclass(frozen=True)
class Change:
    """What happened to one feature."""

    what: str  # added, replaced, unchanged
    kind: str
    name: str
    area_m2: float | None
    area_before_m2: float | None = None


@dataclass
class Merged:
    """A site with what was found in it."""

    site: Site
    changes: list[Change] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def merge(site: Site, shaped: list[Shaped]) -> Merged:
    """Return the site with the features added, or put in the place of those they are.

    A zone is taken for one on the site when its ``zone_id`` is the same, or, when it has none,
    when both outlines share at least 80 % of their ground. Facts that the file does not give are
    kept. Nothing is ever renumbered.
    """
    merged = Merged(site)
    features = [dict(each) for each in site.document["features"]]
    standing = _Standing(features)
    _check_ids(shaped)
    taken = {each["properties"].get("zone_id", "") for each in features}
    # Ids the file itself brings are spoken for before any is made up.
    taken |= {each.properties["zone_id"] for each in shaped if "zone_id" in each.properties}
    for each in shaped:
        _check_name(each)
        twin = standing.twin(each)
        if each.kind == "zone":
            _name_zone(each, twin, taken)
            _compare_claims(each, merged.warnings)
        merged.changes.append(_put(each, twin, features))
    merged.site = site.with_features(features)
    _check_limits(merged.site)
    return merged


def _check_ids(shaped: list[Shaped]) -> None:
    seen: set[str] = set()
    for each in shaped:
        zone_id = each.properties.get("zone_id")
        if each.kind != "zone" or zone_id is None:
            continue
        try:
            check_id(zone_id)
        except InputRefused as error:
            raise error.within(place=each.place) from None
        if zone_id.lower() in seen:
            raise InputRefused(
                f"zone_id {zone_id!r} stands twice", place=each.place, remedy="Give each its own."
            )
        seen.add(zone_id.lower())


def _check_name(each: Shaped) -> None:
    name = each.properties.get("name", "")
    if len(name) > LONGEST_NAME:
        raise InputRefused(
            f"the name is {len(name)} characters long", place=each.place, remedy="Shorten it."
        )


class _Standing:
    """The features on the site before, found by id or by ground in no time."""

    def __init__(self, features: list[dict[str, Any]]) -> None:
        self.kinds = [each["properties"].get("feature") for each in features]
        self.shapes = [shape(each["geometry"]) for each in features]
        self.tree = shapely.STRtree(self.shapes)
        self.by_id = {
            each["properties"]["zone_id"]: index
            for index, each in enumerate(features)
            if each["properties"].get("feature") == "zone"
        }

    def twin(self, each: Shaped) -> int | None:
        """Return the index of the feature on the site that `each` is, if any."""
        zone_id = each.properties.get("zone_id") if each.kind == "zone" else None
        if zone_id is not None:
            return self.by_id.get(zone_id)
        for index in sorted(self.tree.query(each.shape, predicate="intersects")):
            if self.kinds[index] == each.kind and _same_ground(each.shape, self.shapes[index]):
                return int(index)
        return None


def _same_ground(one: BaseGeometry, other: BaseGeometry) -> bool:
    if one.geom_type.endswith("Polygon") and other.geom_type.endswith("Polygon"):
        shared = shapely.intersection(one, other).area
        return bool(shared >= SAME_SHARE * max(one.area, other.area))
    return bool(shapely.equals_exact(one, other, tolerance=1e-9))


def _name_zone(each: Shaped, twin: int | None, taken: set[str]) -> None:
    """Give a zone without an id one from its name; a twin keeps its own (see ``_put``)."""
    if "zone_id" in each.properties or twin is not None:
        return
    stem = each.properties.get("client_number") or each.properties.get("name") or "zone"
    each.properties["zone_id"] = new_id(stem, taken)
    taken.add(each.properties["zone_id"])


def _put(each: Shaped, twin: int | None, features: list[dict[str, Any]]) -> Change:
    area = _area(each.shape)
    geometry = outline.as_geojson(each.shape)
    if twin is None:
        properties = {"feature": each.kind, **each.properties}
        features.append({"type": "Feature", "properties": properties, "geometry": geometry})
        return Change("added", each.kind, _title(properties), area)
    old = features[twin]
    properties = {**old["properties"], **each.properties}
    before = _area(shape(old["geometry"]))
    if properties == old["properties"] and geometry == old["geometry"]:
        return Change("unchanged", each.kind, _title(properties), area, before)
    features[twin] = {**old, "properties": properties, "geometry": geometry}
    return Change("replaced", each.kind, _title(properties), area, before)


def _title(properties: dict[str, Any]) -> str:
    return str(properties.get("zone_id") or properties.get("name") or "")


def _area(geometry: BaseGeometry) -> float | None:
    if not geometry.geom_type.endswith("Polygon"):
        return None
    return float(ellipsoid.areas(np.array([geometry], dtype=object))[0])


def _compare_claims(each: Shaped, warnings: list[str]) -> None:
    """Say where an attribute of the file claims another area than its outline has."""
    for name, value in each.properties.items():
        plain = re.sub(r"[^a-z0-9]", "", name.lower())
        if not CLAIM.fullmatch(plain) or isinstance(value, bool):
            continue
        try:
            claimed = float(value) * (1e4 if plain.endswith(("ha", "hectares")) else 1.0)
        except (TypeError, ValueError):
            continue
        filled = np.array([_filled(each.shape)], dtype=object)
        ours, whole = _area(each.shape) or 0.0, float(ellipsoid.areas(filled)[0])
        why = claim.cause(claimed, ours, whole, each.shape.centroid.y)
        if why:
            warnings.append(
                f"{each.place}: {name} says {claimed:,.1f} m², the outline has {ours:,.1f} m²; "
                f"{why}."
            )


def _filled(polygon: BaseGeometry) -> BaseGeometry:
    parts = [shapely.Polygon(part.exterior) for part in shapely.get_parts(polygon)]
    return shapely.union_all(parts)


def _check_limits(site: Site) -> None:
    zones = sum(each["properties"].get("feature") == "zone" for each in site.document["features"])
    if zones > SITE.zones:
        raise InputRefused(
            f"the site would have {zones:,} zones, more than {SITE.zones:,}",
            remedy="Split it into several sites.",
        )
