"""Features under keys, so that two states of a site can be told apart feature by feature.

A zone's key is its zone_id. Nothing else on a site has an id, so it gets a made-up one, ``f1``,
``f2``, …, in the order of the document; between two states those are paired by what they hold.
"""

from __future__ import annotations

import json
from collections import defaultdict, deque
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

Feature = Mapping[str, Any]
Keyed = dict[str, Feature]
Changes = Mapping[str, Feature | None]  # None takes a feature away


def is_zone(feature: Feature) -> bool:
    """Tell a zone from everything else on a site."""
    return bool(feature["properties"].get("feature") == "zone")


def keyed(features: Iterable[Feature]) -> Keyed:
    """Return features by key, in their order.

    Examples
    --------
    >>> zone = {"properties": {"feature": "zone", "zone_id": "front"}}
    >>> list(keyed([{"properties": {"feature": "tree"}}, zone]))
    ['f1', 'front']
    """
    features = list(features)
    taken = _ids(features)
    result: Keyed = {}
    for feature in features:
        key = str(feature["properties"]["zone_id"]) if is_zone(feature) else new_key(taken)
        taken.add(key)
        result[key] = feature
    return result


def new_key(taken: Collection[str]) -> str:
    """Return a made-up key that is not taken."""
    number = 1
    while f"f{number}" in taken:
        number += 1
    return f"f{number}"


def applied(base: Mapping[str, Feature], changes: Changes) -> Keyed:
    """Return features with changes made, what is new behind the rest."""
    both = {**base, **changes}
    return {key: feature for key, feature in both.items() if feature is not None}


def difference(old: Mapping[str, Feature], new: Mapping[str, Feature]) -> dict[str, Feature | None]:
    """Return the changes that make `new` of `old`."""
    changed = {key: feature for key, feature in new.items() if feature != old.get(key)}
    return {**changed, **{key: None for key in old if key not in new}}


def paired(features: Iterable[Feature], base: Mapping[str, Feature], mine: Keyed) -> Keyed:
    """Return another state's features under the keys that they have in `base`.

    What has no id is paired if it is the same, else by its outline, else by its facts, else when
    it is the only kind of its kind left over. What `base` has not, and `mine` added just so, gets
    the key it has there: that is how a save sent twice adds nothing.
    """
    features = list(features)
    things = [place for place, each in enumerate(features) if not is_zone(each)]
    found: dict[int, str] = {}
    for sign in (_text, _outline, _facts):
        _pair(features, things, base, found, sign)
    for kind in {_kind(features[place]) for place in things if place not in found}:
        open_ = [p for p in things if p not in found and _kind(features[p]) == kind]
        left = [k for k in _left(base, found) if _kind(base[k]) == kind]
        if len(open_) == len(left) == 1:
            found[open_[0]] = left[0]
    added = {key: each for key, each in mine.items() if key not in base}
    _pair(features, things, added, found, _text)
    taken = {*base, *mine, *_ids(features)}
    result: Keyed = {}
    for place, feature in enumerate(features):
        key = str(feature["properties"]["zone_id"]) if is_zone(feature) else found.get(place)
        key = key or new_key(taken)
        taken.add(key)
        result[key] = feature
    return result


def _pair(
    features: list[Feature],
    things: list[int],
    others: Mapping[str, Feature],
    found: dict[int, str],
    sign: Callable[[Feature], str],
) -> None:
    """Pair, in order, what is not paired yet and has the same sign."""
    waiting: dict[str, deque[str]] = defaultdict(deque)
    for key in _left(others, found):
        waiting[sign(others[key])].append(key)
    for place in things:
        if place not in found and (keys := waiting.get(sign(features[place]))):
            found[place] = keys.popleft()


def _left(others: Mapping[str, Feature], found: Mapping[int, str]) -> list[str]:
    used = set(found.values())
    return [key for key, each in others.items() if key not in used and not is_zone(each)]


def _ids(features: Iterable[Feature]) -> set[str]:
    return {str(each["properties"]["zone_id"]) for each in features if is_zone(each)}


def _kind(feature: Feature) -> str:
    return str(feature["properties"].get("feature"))


def _text(feature: Feature) -> str:
    return json.dumps(feature, sort_keys=True)


def _outline(feature: Feature) -> str:
    return json.dumps([_kind(feature), feature["geometry"]], sort_keys=True)


def _facts(feature: Feature) -> str:
    return json.dumps(feature["properties"], sort_keys=True)
