"""Changes made on a page meet a site that was saved meanwhile: what comes of both, what clashes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from lawnmap.processing.editing.keyed import (
    Changes,
    Feature,
    Keyed,
    applied,
    difference,
    new_key,
    paired,
)
from lawnmap.processing.entering.names import new_id
from lawnmap.processing.replying import threeway
from lawnmap.processing.replying.threeway import Conflict


class Met(NamedTuple):
    """Features with both sides' changes, mine standing where they clash; and theirs alone."""

    features: Keyed
    conflicts: list[Conflict]
    theirs: Keyed


def meet(there: Iterable[Feature], base: Keyed, changes: Changes) -> Met:
    """Return what changes to `base` make of a site as it stands now.

    Parameters
    ----------
    there : iterable of GeoJSON features
        Of the site now.
    base : mapping of str to GeoJSON feature
        What the changes began from.
    changes : mapping of str to GeoJSON feature or None

    Returns
    -------
    Met
        Under the keys of `base`. In the order of the site, so that ground which zones share stays
        with the first of them.
    """
    mine = applied(base, changes)
    theirs = paired(there, base, mine)
    found = threeway.merge(base, _renamed(mine, base, theirs), theirs)
    order = dict.fromkeys([*theirs, *found.features])
    features = {key: found.features[key] for key in order if key in found.features}
    return Met(features, found.conflicts, theirs)


def settled(features: Mapping[str, Feature], conflict: Conflict, side: str) -> Keyed:
    """Return features with the value of one side, ``mine`` or ``theirs``, in one field."""
    value = conflict.mine if side == "mine" else conflict.theirs
    key = conflict.key
    if conflict.name == threeway.WHOLE:
        return applied(features, {key: value})
    feature = features[key]
    if conflict.name == threeway.GEOMETRY:
        return {**features, key: {**feature, "geometry": value}}
    properties = {k: v for k, v in feature["properties"].items() if k != conflict.name}
    if value is not None:
        properties[conflict.name] = value
    return {**features, key: {**feature, "properties": properties}}


def brought_up(
    changes: Changes, base: Keyed | None, features: Keyed
) -> tuple[dict[str, Feature | None], Keyed]:
    """Return changes to an older state of a site as changes to the site as it is.

    Parameters
    ----------
    changes : mapping of str to GeoJSON feature or None
        Made to `base`.
    base : mapping of str to GeoJSON feature, or None
        None when nobody knows the older state any more: whatever differs will clash then.
    features : mapping of str to GeoJSON feature
        Of the site now.

    Returns
    -------
    changes : dict
        Under the keys of `features`.
    base : dict
        What these began from: `features`, but the older feature for each that was changed. Met
        with the site by :func:`meet` they clash where both sides changed the same.
    """
    began = base if base is not None else _unknown(features)
    mine = applied(began, changes)
    theirs = paired(features.values(), began, mine) if base is not None else features
    names = dict(zip(theirs, features, strict=True))
    found = threeway.merge(began, mine, theirs).features
    taken = {*found, *features}
    for key in found.keys() - names.keys():  # what is new here, under a key that is taken there
        names[key] = new_key(taken) if key in features else key
        taken.add(names[key])
    changed = difference(features, {names[key]: each for key, each in found.items()})
    older = {names[key]: each for key, each in began.items() if key in names}
    kept = {key: older[key] for key in changed if key in older}
    return changed, {**features, **kept}


def _renamed(mine: Keyed, base: Keyed, theirs: Keyed) -> Keyed:
    """Return my features with another id for a new zone whose id went to somebody else's."""
    result: Keyed = {}
    for key, each in mine.items():
        if key in base or key not in theirs or theirs[key] == each:
            result[key] = each
            continue
        name = str(each["properties"].get("name") or key)
        made = new_id(name, {*base, *theirs, *mine, *result})
        result[made] = {**each, "properties": {**each["properties"], "zone_id": made}}
    return result


def _unknown(features: Keyed) -> Keyed:
    """Return a base of which nothing is known but what each feature is."""
    return {
        key: {
            "properties": {
                name: each["properties"][name]
                for name in ("feature", "zone_id")
                if name in each["properties"]
            },
            "geometry": None,
        }
        for key, each in features.items()
    }
