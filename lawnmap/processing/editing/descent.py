"""What features made from others are called, and what they keep of those they came from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lawnmap.processing.editing.keyed import Feature, is_zone, new_key
from lawnmap.processing.entering.names import new_id


def line_of(parents: Mapping[str, Feature]) -> list[str]:
    """Return the ids of zones and, behind them, of those they came from, each once."""
    before = (str(each["properties"].get("came_from") or "") for each in parents.values())
    older = (name for each in before for name in each.replace(",", " ").split())
    return list(dict.fromkeys((*parents, *older)))


def keyed_anew(
    properties: dict[str, Any], name: str, taken: set[str], came_from: Iterable[str]
) -> str:
    """Give a new feature its key; a zone gets it as its id, with where it came from.

    Returns
    -------
    str
    """
    if not is_zone({"properties": properties}):
        key = new_key(taken)
    else:
        key = new_id(name, taken)
        properties |= {"zone_id": key, "came_from": " ".join(came_from)}
    taken.add(key)
    return key


def anew(feature: Feature, properties: Mapping[str, Any]) -> dict[str, Any]:
    """Return another feature with other properties; an ``id`` of its own it has not."""
    kept = {name: each for name, each in feature.items() if name != "id"}
    return {**kept, "properties": dict(properties)}
