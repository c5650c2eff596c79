"""Changes made on a page, looked at before they are saved: the id, the outline, each fact."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from lawnmap.errors import InputRefused
from lawnmap.geometry.overlay import overlaps
from lawnmap.processing.editing.keyed import Changes, Feature, Keyed, is_zone
from lawnmap.processing.editing.marking import OnMap, outline_of, shape_of, with_shape
from lawnmap.processing.entering.attributes import adopt
from lawnmap.processing.entering.names import check_id, new_id
from lawnmap.schema import FEATURES, POLYGON
from lawnmap.store.features import check_features

MOST_TOLD = 5


def checked(changes: Changes, base: Mapping[str, Feature]) -> dict[str, Feature | None]:
    """Return changes fit to be saved: facts in the schema's form, outlines sound.

    Properties that did not change are left as they are, whoever wrote them.

    Raises
    ------
    OnMap
        With the key of the feature, and the place where its outline is at fault.
    """
    result: dict[str, Feature | None] = {}
    taken = {*base, *changes}
    for key, feature in changes.items():
        if feature is None:
            result[key] = None
            continue
        try:
            sound = _checked(key, feature, base.get(key), taken)
        except OnMap:
            raise
        except InputRefused as error:
            name = _name(feature, key)
            raise OnMap(
                error.problem, key=key, place=name, done=error.done, remedy=error.remedy
            ) from error
        made = str(sound["properties"]["zone_id"]) if is_zone(sound) else key
        if made in result or (made != key and made in base):
            raise OnMap(
                f"the id {made!r} is that of another zone", key=key, remedy="Choose another."
            )
        result[made] = sound
    return result


def _checked(key: str, feature: Feature, old: Feature | None, taken: set[str]) -> Feature:
    if not isinstance(feature.get("properties"), Mapping):
        raise InputRefused("is not a GeoJSON feature")
    properties = dict(feature["properties"])
    kind = properties.get("feature")
    if not isinstance(kind, str) or kind not in FEATURES:
        raise InputRefused("does not say what it is", remedy="Choose what it is.")
    before = old["properties"] if old else {}
    if (
        old is not None
        and kind != before.get("feature")
        and "zone" in {kind, before.get("feature")}
    ):
        raise InputRefused(
            "a zone cannot become something else", remedy="Take it out and draw the other."
        )
    properties = _facts(properties, before, kind)
    if kind == "zone":
        properties["zone_id"] = _id(key, properties, old, taken)
    made = {"type": "Feature", **feature, "properties": properties}
    if old is None or feature["geometry"] != old["geometry"]:
        found = shape_of(feature, key)
        if found.geom_type in POLYGON:
            found = outline_of(feature, key)
        made = with_shape(made, found)
    check_features([made])
    return made


def _facts(properties: Mapping[str, Any], before: Mapping[str, Any], kind: str) -> dict[str, Any]:
    """Return the properties, those that changed brought to the schema's form."""
    changed = {
        name: value
        for name, value in properties.items()
        if name != "feature" and (name not in before or before[name] != value)
    }
    adopted, _ = adopt(changed, kind)
    kept = {name: value for name, value in properties.items() if name not in changed}
    return {**kept, **adopted}


def _id(key: str, properties: Mapping[str, Any], old: Feature | None, taken: set[str]) -> str:
    said = properties.get("zone_id")
    if old is not None:
        if said != key:
            raise InputRefused("the id of a zone never changes", remedy=f"Set it back to {key!r}.")
        return key
    if said:
        return check_id(str(said))
    made = new_id(str(properties.get("name") or "zone"), taken)
    taken.add(made)
    return made


def warnings_of(features: Keyed, changed: set[str]) -> tuple[str, ...]:
    """Return what a person should know of the zones that changed: ground that two of them share."""
    zones = {key: each for key, each in features.items() if is_zone(each)}
    keys = list(zones)
    if not changed & zones.keys():
        return ()
    shapes = np.array([shape_of(each, key) for key, each in zones.items()], dtype=object)
    told = [
        f"{_name(zones[keys[pair.first]], keys[pair.first])} and "
        f"{_name(zones[keys[pair.second]], keys[pair.second])} share {pair.area_m2:.1f} m²; it is "
        f"counted in the first only."
        for pair in overlaps(shapes)
        if keys[pair.first] in changed or keys[pair.second] in changed
    ]
    return tuple(told[:MOST_TOLD])


def _name(feature: Any, key: str) -> str:
    properties = feature.get("properties") if isinstance(feature, Mapping) else None
    name = properties.get("name") if isinstance(properties, Mapping) else None
    return str(name or key)
