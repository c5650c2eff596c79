"""The step ``assess``: what was seen on the ground, put on the zones it was seen in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.model import Site
from lawnmap.processing.entering.attributes import adopt


def assess(site: Site, facts: Mapping[str, Mapping[str, Any]]) -> Site:
    """Return the site with facts put on its zones.

    Parameters
    ----------
    site : Site
    facts : mapping of zone_id to mapping
        Column names of the schema to values; None or empty text takes a fact away.

    Raises
    ------
    InputRefused
        For an unknown zone or column, or a value that does not fit. Nothing is taken over then.
    """
    known = {str(zone_id) for zone_id in site.zones.index}
    unknown = sorted(set(facts) - known)
    if unknown:
        raise InputRefused(
            f"there is no zone {unknown[0]!r} on this site",
            remedy=f"The zones are: {', '.join(sorted(known)[:20])}.",
        )
    columns = set(site.zones.columns)
    features = []
    for feature in site.document["features"]:
        properties = feature["properties"]
        zone_id = properties.get("zone_id") if properties.get("feature") == "zone" else None
        given = facts.get(str(zone_id), {}) if zone_id is not None else {}
        features.append({**feature, "properties": _with(properties, given, columns, zone_id)})
    return site.with_features(features)


def _with(
    properties: Mapping[str, Any], given: Mapping[str, Any], columns: set[str], zone_id: Any
) -> dict[str, Any]:
    try:
        checked, left_out = adopt(dict(given), "zone")
    except InputRefused as error:
        raise error.within(place=f"zone {zone_id}") from error.__cause__
    strange = sorted((set(checked) - columns) | set(left_out))
    if strange:
        raise InputRefused(
            f"{strange[0]!r} is not a fact about a zone",
            place=f"zone {zone_id}",
            remedy="The columns are listed in docs/columns.md.",
        )
    taken_away = {name for name, value in given.items() if value is None or value == ""}
    kept = {name: value for name, value in properties.items() if name not in taken_away}
    return {**kept, **checked}
