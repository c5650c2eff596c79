"""What was found becomes part of a site: ids, replaced outlines, claims and overlaps told."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
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
from lawnmap.processing.entering.names import check_id, new_id
from lawnmap.processing.entering.outlines import Shaped
from lawnmap.processing.entering.twins import moved_m, twins

CLAIM = re.compile(
    r"(?:total|shape|st|site|lawn|grass)?area(?:m2|sqm|ha|hectares)?|sqm|m2|hectares"
)
LONGEST_NAME = SITE.name_length
OF_THE_OUTLINE = {"outline_source", "outline_sigma_m"}


@dataclass(frozen=True)
class Change:
    """What happened to one feature.

    Attributes
    ----------
    what : str
        ``added``, ``updated``, ``unchanged``; ``kept`` for one on the site that the plan does not
        have.
    kind, name : str
    area_m2, area_before_m2 : float or None
    facts : mapping of str to (before, after)
        The facts that become others.
    moved_m : float or None
        How far the outline moves where it moves most; None where it stays.
    feature : mapping
        The GeoJSON feature as it stands then; empty for a picture or heights.
    """

    what: str
    kind: str
    name: str
    area_m2: float | None
    area_before_m2: float | None = None
    facts: Mapping[str, tuple[Any, Any]] = field(default_factory=dict)
    moved_m: float | None = None
    feature: Mapping[str, Any] = field(default_factory=dict, repr=False, compare=False)


@dataclass
class Merged:
    """A site with what was found in it."""

    site: Site
    changes: list[Change] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def merge(site: Site, shaped: list[Shaped]) -> Merged:
    """Return the site with the features added, or put in the place of those they are.

    Which they are :func:`lawnmap.processing.entering.twins.twins` tells. Facts that the file does
    not give are kept. Nothing is ever renumbered or taken away: when a plan is read again, what it
    has no longer is told and stays.
    """
    merged = Merged(site)
    features = [dict(each) for each in site.document["features"]]
    _check_ids(shaped)
    standing = twins(shaped, features)
    left = _left(standing, features)
    taken = {each["properties"].get("zone_id", "") for each in features}
    # Ids the file itself brings are spoken for before any is made up.
    taken |= {each.properties["zone_id"] for each in shaped if "zone_id" in each.properties}
    for each, twin in zip(shaped, standing, strict=True):
        _check_name(each)
        if each.kind == "zone":
            _name_zone(each, twin, taken)
            _compare_claims(each, merged.warnings)
            if twin is None:
                _tell_namesake(each, left, merged.warnings)
        merged.changes.append(_put(each, twin, features))
    merged.changes += _kept(shaped, standing, site.document["features"])
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


def _left(standing: Sequence[int | None], features: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Return the ids of zones on the site that the plan does not have, by name."""
    met = set(standing)
    return {
        each["properties"]["name"]: each["properties"]["zone_id"]
        for index, each in enumerate(features)
        if index not in met and each["properties"].get("feature") == "zone"
        if each["properties"].get("name")
    }


def _tell_namesake(each: Shaped, left: Mapping[str, str], warnings: list[str]) -> None:
    """Say when a zone is added beside one of its name that the plan has no longer."""
    other = left.get(each.properties.get("name", ""))
    if other is not None:
        warnings.append(
            f"{each.place}: {other} has the same name and lies elsewhere: it was kept, and "
            f"{each.properties['zone_id']} was added. If they are one, give the plan that zone_id."
        )


def _kept(
    shaped: Sequence[Shaped], standing: Sequence[int | None], before: Sequence[Mapping[str, Any]]
) -> list[Change]:
    """Return what is on the site and not in a plan that was read into it before.

    Only of the kinds that the plan has: a plan of the trees says nothing of the lawns.
    """
    met = {index for index in standing if index is not None}
    kinds = {each.kind for each in shaped}
    if not met:
        return []
    return [
        _change("kept", each["properties"]["feature"], each)
        for index, each in enumerate(before)
        if index not in met and each["properties"].get("feature") in kinds
    ]


def _name_zone(each: Shaped, twin: int | None, taken: set[str]) -> None:
    """Give a zone without an id one from its name; a twin keeps its own (see ``_put``)."""
    if "zone_id" in each.properties or twin is not None:
        return
    stem = each.properties.get("client_number") or each.properties.get("name") or "zone"
    each.properties["zone_id"] = new_id(stem, taken)
    taken.add(each.properties["zone_id"])


def _put(each: Shaped, twin: int | None, features: list[dict[str, Any]]) -> Change:
    geometry = outline.as_geojson(each.shape)
    if twin is None:
        properties = {"feature": each.kind, **each.properties}
        new = {"type": "Feature", "properties": properties, "geometry": geometry}
        features.append(new)
        return _change("added", each.kind, new)
    old = features[twin]
    properties = {**old["properties"], **each.properties}
    if each.kind == "zone":
        properties["zone_id"] = old["properties"]["zone_id"]
    if geometry != old["geometry"]:
        # How well an outline is known goes with that outline, and says nothing of another.
        for name in OF_THE_OUTLINE - each.properties.keys():
            properties.pop(name, None)
    before = old["properties"]
    facts = {
        name: (before.get(name), properties.get(name))
        for name in dict.fromkeys([*properties, *before])
        if before.get(name) != properties.get(name)
    }
    new = {**old, "properties": properties, "geometry": geometry}
    was = shape(old["geometry"])
    if geometry == old["geometry"] and not facts:
        return _change("unchanged", each.kind, old, _area(was))
    moved = None if geometry == old["geometry"] else moved_m(was, each.shape)
    features[twin] = new
    return _change("updated", each.kind, new, _area(was), facts=facts, moved_m=moved)


def _change(
    what: str,
    kind: str,
    feature: Mapping[str, Any],
    before: float | None = None,
    **changed: Any,
) -> Change:
    area = _area(shape(feature["geometry"]))
    title = _title(feature["properties"])
    return Change(what, kind, title, area, before, feature=feature, **changed)


def _title(properties: Mapping[str, Any]) -> str:
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
