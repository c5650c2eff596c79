"""Two people changed the same site: what either changed alone is kept, and only the rest is asked.

Each side is compared with what both began from, field by field: the outline, each fact. A field
that only one side changed is taken from that side; one that both changed differently is a conflict
and shows both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

Feature = Mapping[str, Any]
Features = Mapping[str, Feature]  # by a key that stays: the zone_id, or a made-up one

GEOMETRY = "geometry"
WHOLE = "feature itself"  # when one side took away what the other changed, or both added it
_NONE = object()  # a field that is not there, which differs from one that is None


@dataclass(frozen=True)
class Conflict:
    """One field that both sides changed, each in its own way; None where a side has none."""

    key: str
    name: str
    base: Any
    mine: Any
    theirs: Any


@dataclass(frozen=True)
class ThreeWay:
    """Features with both sides' changes, and what has to be asked (mine stands until then)."""

    features: dict[str, Feature]
    conflicts: list[Conflict] = field(default_factory=list)


def merge(base: Features, mine: Features, theirs: Features) -> ThreeWay:
    """Return what `mine` and `theirs` make of `base` together.

    Parameters
    ----------
    base, mine, theirs : mapping of str to GeoJSON feature
        What both began from, and what each has now.

    Returns
    -------
    ThreeWay
        In the order of `mine`, with what only `theirs` has behind it.
    """
    result = ThreeWay({})
    for key in dict.fromkeys([*mine, *theirs]):
        kept = _merged(key, base.get(key), mine.get(key), theirs.get(key), result.conflicts)
        if kept is not None:
            result.features[key] = kept
    return result


def _merged(
    key: str,
    base: Feature | None,
    mine: Feature | None,
    theirs: Feature | None,
    conflicts: list[Conflict],
) -> Feature | None:
    if theirs in (mine, base):  # not a set: features cannot be hashed
        return mine
    if mine == base:
        return theirs
    if base is None or mine is None or theirs is None:
        conflicts.append(Conflict(key, WHOLE, base, mine, theirs))
        return mine or theirs  # nothing is lost while nobody has been asked
    return _by_field(key, base, mine, theirs, conflicts)


def _by_field(
    key: str, base: Feature, mine: Feature, theirs: Feature, conflicts: list[Conflict]
) -> Feature:
    before, ours, others = (dict(_fields(each)) for each in (base, mine, theirs))
    taken: dict[str, Any] = {}
    for name in dict.fromkeys([*ours, *others]):
        b, m, t = (each.get(name, _NONE) for each in (before, ours, others))
        value = t if m == b else m
        if m not in (b, t) and t != b:
            conflicts.append(Conflict(key, name, *(None if v is _NONE else v for v in (b, m, t))))
            value = t if m is _NONE else m
        if value is not _NONE:
            taken[name] = value
    geometry = taken.pop(GEOMETRY)
    return {**mine, "properties": taken, "geometry": geometry}


def _fields(feature: Feature) -> Iterator[tuple[str, Any]]:
    yield GEOMETRY, feature["geometry"]
    yield from feature["properties"].items()
