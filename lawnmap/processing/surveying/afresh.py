"""The step ``afresh``: a site ready to be surveyed once more, its ground as it was."""

from __future__ import annotations

from lawnmap.model import Site

# What work on a lawn is meant to change, and has to be looked at again after it.
LOOKED_AT = (
    "moss_rating",
    "moss_cover_pct",
    "moss_depth_mm",
    "moss_form",
    "thatch_rating",
    "thatch_mm",
    "tug_test",
    "compaction",
    "bare_pct",
)


def afresh(site: Site) -> Site:
    """Return a site without its cores and without what was seen of moss, thatch and sward.

    Outlines, obstacles, light, soil, notes and whatever lawnmap does not know stay as they are.
    """
    kept = []
    for feature in site.document["features"]:
        properties = feature["properties"]
        if properties.get("feature") == "core":
            continue
        if properties.get("feature") == "zone":
            rest = {name: value for name, value in properties.items() if name not in LOOKED_AT}
            kept.append({**feature, "properties": rest})
        else:
            kept.append(feature)
    return site.with_features(kept)


def looked_at(site: Site) -> bool:
    """Tell whether anything is on a site that :func:`afresh` would take off."""
    kept = afresh(site).document["features"]
    return bool(kept != site.document["features"])
