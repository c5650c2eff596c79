"""What a reply adds to a site's map: sketched zones, places and cores."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.geometry import ellipsoid, outline, validity
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.local import Local
from lawnmap.model import Site
from lawnmap.processing.entering.attributes import adopt
from lawnmap.processing.entering.names import new_id
from lawnmap.processing.entering.outlines import LARGEST_M2, SMALLEST_M2
from lawnmap.processing.replying.reply_content import Item, Reply

GAP_M = 5.0  # between sketches laid side by side, of which nobody said where they lie
NEAR_M = 5_000.0  # from the site; what lies farther off is no part of it
PACED = "paces"
OURS = {"feature", "zone_id", "came_from"}  # facts that no reply may set
MARK = "from_reply"  # an attribute of our own making: the id that a reply calls a feature by
SKIP = "Or leave it out with --skip-bad."
NO_PLACE = (
    "Put it on the map on the page and make the reply again, or read the reply into a site of its "
    f"own. {SKIP}"
)


@dataclass
class Added:
    """Features on the way into a site.

    Attributes
    ----------
    features : list of GeoJSON feature
        Those of the site, and behind them what was added.
    header : dict
        What the site's header must say then.
    names : dict of str to str
        Ids of zones by the names a reply may use for them: zone_id, or the id of a sketch.
    told : list of (kind, name)
        What was added.
    """

    features: list[dict[str, Any]]
    header: dict[str, Any] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    told: list[tuple[str, str]] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def add(site: Site, reply: Reply, seen: Collection[str], *, skip_bad: bool) -> Added:
    """Return the site's features with those of a reply.

    Parameters
    ----------
    site : Site
    reply : Reply
    seen : collection of str
        Ids of sketches, places and cores that were read with an earlier reply; they are not added
        again.
    skip_bad : bool
        Leave out what cannot be taken, and say which.

    Raises
    ------
    InputRefused
        For a sketch whose outline is not sound, or that a placed site has no place for; a place or
        core without one; a fact that does not fit.
    """
    added = Added([dict(each) for each in site.document["features"]])
    added.names = {zone_id: zone_id for zone_id in _zones(added.features)}
    added.names |= {
        str(zone["properties"][MARK]): zone_id
        for zone_id, zone in _zones(added.features).items()
        if MARK in zone["properties"]
    }
    settle = _settling(site, reply, added)
    makers: tuple[tuple[str, list[Item], Callable[[Item], None]], ...] = (
        ("sketch", reply.sketches, lambda item: _sketch(item, added, settle)),
        ("place", reply.places, lambda item: _place(item, added)),
        ("core", reply.cores, lambda item: _core(item, added)),
    )
    for word, items, make in makers:
        for number, item in enumerate(items, start=1):
            if item["id"] and item["id"] in seen:
                continue
            try:
                make(item)
            except InputRefused as error:
                error.within(place=_called(word, number, item))
                if not skip_bad:
                    raise
                added.warnings.append(f"Left out: {error.place}: {error.problem}.")
    return added


def facts_of(given: Mapping[str, Any], kind: str) -> tuple[dict[str, Any], list[str]]:
    """Return checked facts that a reply may set, and the names of all others.

    Raises
    ------
    InputRefused
        Naming the column, for a value that does not fit.
    """
    known = {each.name for each in schema.facts("zones" if kind == "zone" else "features")} - OURS
    facts, _ = adopt({name: value for name, value in given.items() if name in known}, kind)
    return facts, [name for name in given if name not in known]


def _called(word: str, number: int, item: Item) -> str:
    name = item.get("name") or item.get("feature") or ""
    return f'{word} {number} "{name}"' if name else f"{word} {number}"


def _zones(features: Iterable[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    return {
        str(each["properties"]["zone_id"]): each
        for each in features
        if each["properties"].get("feature") == "zone"
    }


def _settling(site: Site, reply: Reply, added: Added) -> Callable[[Item], BaseGeometry]:
    """Return what brings a sketch to longitude and latitude on this site."""
    empty = not site.document["features"]
    placed = all(each["at"] for each in reply.sketches) if empty else site.placed
    if empty and reply.sketches:
        added.header["placed"] = placed
    if placed:
        return lambda item: _at(item, added)
    anchor = site.header.get("anchor") or [0.0, 0.0]
    origin = site.header.get("origin") or [0.0, 0.0]
    if reply.sketches:
        added.header |= {"anchor": list(anchor), "origin": list(origin)}
    local = Local((anchor[0], anchor[1]), (origin[0], origin[1]))
    return lambda item: _beside(item, added, local, heed=not empty)


def _at(item: Item, added: Added) -> BaseGeometry:
    """Return a sketch whose first corner lies at a known place, its x to the east."""
    if not item["at"]:
        raise InputRefused(
            "nobody said where on the site this sketch lies, and the site has a place on the earth",
            remedy=NO_PLACE,
        )
    _check_near(item["at"], added)
    flat = shapely.transform(_polygons(item), lambda xy: xy - np.array(item["ring"][0]))
    added.warnings.append(
        f"The sketch {item['name'] or item['id']} lies by its first corner; its direction and its "
        "place are as good as that mark: turn it where it belongs with lawnmap mark."
    )
    moved: BaseGeometry = Frame(*item["at"]).round(flat)[0]
    return moved


def _beside(item: Item, added: Added, local: Local, *, heed: bool) -> BaseGeometry:
    """Return a sketch on a site with no place: where it says about the anchor, or to the east."""
    if item["at"] and heed and _is_near(item["at"], added):
        return _at(item, added)
    flat = _polygons(item)
    shapes = np.array([shape(each["geometry"]) for each in added.features], dtype=object)
    if len(shapes):
        _, south, east, _ = shapely.total_bounds(local.to_metres(shapes))
        left, bottom, _, _ = flat[0].bounds
        by = np.array([east + GAP_M - left, south - bottom])
        flat = np.asarray(shapely.transform(flat, lambda xy: xy + by), dtype=object)
    added.warnings.append(
        f"Nobody said where the sketch {item['name'] or item['id']} lies: its size holds, and it "
        "was laid beside the rest."
    )
    moved: BaseGeometry = local.to_lonlat(flat, 1.0)[0]
    return moved


def _polygons(item: Item) -> Any:
    made = outline.build({"type": "Polygon", "coordinates": [item["ring"]]})
    flaw = validity.flaw(made)
    if flaw is not None:
        raise InputRefused(
            f"{flaw.words} at {flaw.x:.2f}, {flaw.y:.2f} m",
            remedy=f"Look at the measured sides and make the reply again. {SKIP}",
        )
    if not made.area > 0:
        raise InputRefused("has no area", remedy=f"Measure it again. {SKIP}")
    return np.array([shapely.orient_polygons(made)], dtype=object)


def _sketch(item: Item, added: Added, settle: Callable[[Item], BaseGeometry]) -> None:
    facts, strange = facts_of(item["facts"], "zone")
    laid = settle(item)
    size = float(ellipsoid.areas(np.array([laid], dtype=object))[0])
    title = item["name"] or "sketch"
    if not SMALLEST_M2 <= size <= LARGEST_M2:
        added.warnings.append(f"{title}: {size:,.2f} m² is an odd size for a zone of lawn.")
    if item["how"] == PACED:
        added.warnings.append(
            f"{title} was measured by {PACED}: take its area as rough until it is taped."
        )
    zone_id = new_id(title, added.names.values())
    added.names[zone_id] = added.names[item["id"]] = zone_id
    source = {"outline_source": "tape"} if item["how"] != PACED else {}
    properties = {
        "feature": "zone",
        "zone_id": zone_id,
        **({"name": item["name"]} if item["name"] else {}),
        MARK: item["id"],
        **source,
        **{name: value for name, value in facts.items() if name != "name"},
    }
    _put(added, properties, laid, f"{zone_id}, {size:,.1f} m²")
    _tell_strange(added, strange)


def _place(item: Item, added: Added) -> None:
    kind = item["feature"]
    facts, strange = facts_of(item["facts"], kind)
    point = _point(item, added, facts.get("name") or kind)
    properties = {"feature": kind, **({MARK: item["id"]} if item["id"] else {}), **facts}
    made = {"type": "Feature", "properties": properties, "geometry": outline.as_geojson(point)}
    if made in added.features:
        return  # places may come without an id, and are known by what they are
    name = facts.get("name") or added.names.get(item["zone_id"]) or ""
    _put(added, properties, point, str(name))
    _tell_strange(added, strange)


def _core(item: Item, added: Added) -> None:
    hits, points = item["moss_hits"], item["moss_points"]
    if hits is not None and (not points or hits > points):
        raise InputRefused("moss_hits is more than moss_points", remedy=f"Correct it. {SKIP}")
    point = _point(item, added, f"the core of {item['date']}")
    zone_id = added.names.get(item["zone_id"])
    given = {name: item[name] for name in ("date", "thatch_mm", "moss_hits", "moss_points")}
    # A note typed on a visit is for the owner: nobody was asked whether others may read it.
    facts, _ = facts_of({**given, "private_note": item["note"]}, "core")
    of_zone = {"zone_id": zone_id} if zone_id else {}
    properties = {"feature": "core", MARK: item["id"], **of_zone, **facts}
    _put(added, properties, point, zone_id or "")


def _point(item: Item, added: Added, what: str) -> BaseGeometry:
    """Return where something is: as marked, else in the middle of its zone, which is told."""
    zone = _zones(added.features).get(added.names.get(item["zone_id"], ""))
    if item["lonlat"] and (zone is None or _is_near(item["lonlat"], added)):
        _check_near(item["lonlat"], added)
        return shapely.Point(item["lonlat"])
    if zone is None:
        raise InputRefused("has neither a place nor a zone of this site", remedy=NO_PLACE)
    added.warnings.append(
        f"Nobody said where in {zone['properties']['zone_id']} {what} is: it was put in its middle."
    )
    return shape(zone["geometry"]).representative_point()


def _is_near(lonlat: list[float], added: Added) -> bool:
    if not added.features:
        return True
    shapes = np.array([shape(each["geometry"]) for each in added.features], dtype=object)
    flat = Frame(*lonlat).flat(shapes)
    return bool(shapely.distance(flat, shapely.Point(0, 0)).min() <= NEAR_M)


def _check_near(lonlat: list[float], added: Added) -> None:
    if not _is_near(lonlat, added):
        raise InputRefused(
            f"lies more than {NEAR_M / 1000:g} km from the rest of the site",
            remedy=f"Put it in its place on the page and make the reply again. {SKIP}",
        )


def _put(added: Added, properties: dict[str, Any], where: BaseGeometry, name: str) -> None:
    geometry = outline.as_geojson(where)
    added.features.append({"type": "Feature", "properties": properties, "geometry": geometry})
    added.told.append((properties["feature"], name))


def _tell_strange(added: Added, names: list[str]) -> None:
    if names:
        added.warnings.append(f"Not taken, as it is no fact of a reply: {', '.join(names)}.")
