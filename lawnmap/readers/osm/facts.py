"""The columns of a feature that its OpenStreetMap tags fill.

A length without a unit is in metres (OpenStreetMap wiki, page "Map features/Units", from memory);
``2 m`` and ``6'4"`` are the other two forms that are taken. Everything else is left out and said:
a wrong height casts a wrong shadow.
"""

from __future__ import annotations

import re
from typing import Any

from lawnmap import schema
from lawnmap.files.numbers import number
from lawnmap.geometry.local import UNITS_M
from lawnmap.readers.osm.document import Thing
from lawnmap.readers.osm.tags import SHEDDING, Rule

FEET = re.compile(r"(?P<feet>\d{1,3})'(?: ?(?P<inches>\d{1,2}(?:\.\d+)?)\")?", re.ASCII)
METRES = re.compile(r"(?P<metres>[^\sm]+)(?: ?m)?", re.ASCII)
HIGH = {"height": ("height_m", 1.0)}
# Of each kind: the tag, the column, and what one is of the other.
LENGTHS: dict[str, dict[str, tuple[str, float]]] = {
    "tree": {**HIGH, "diameter_crown": ("crown_radius_m", 0.5)},
    "building": HIGH,
    "hedge": HIGH,
    "fence": HIGH,
    "access": {"width": ("width_m", 1.0)},
}
WATER = {"pond": "pond", "lake": "lake", "river": "stream", "stream": "stream", "ditch": "ditch"}
LIMITS = {column.name: (column.low, column.high) for column in schema.facts("features")}
BAD_LENGTH = "Left out, the tag {}: it is no length in metres or feet that can be"


def properties(thing: Thing, rule: Rule) -> tuple[dict[str, Any], list[str]]:
    """Return the columns of a feature, and what had to be left out.

    Other tags are not taken over: many are names of columns of ours that mean something else, and
    some are about people.

    Returns
    -------
    properties : dict
        With ``osm``, where it stands in OpenStreetMap, and ``osm_tag``, what made it a feature.
    changes : list of str
        One sentence start a kind of change.
    """
    found: dict[str, Any] = {"feature": rule.feature, **rule.facts}
    changes = []
    if name := thing.tags.get("name", ""):
        found["name"] = name
    if rule.feature == "zone":
        found["outline_source"] = "drawn"
    for tag, (column, factor) in LENGTHS.get(rule.feature, {}).items():
        if tag not in thing.tags:
            continue
        value = length(thing.tags[tag])
        low, high = LIMITS[column]
        if value is None or not (low or 0.0) <= value * factor <= (high or value * factor):
            changes.append(BAD_LENGTH.format(tag))
        else:
            found[column] = value * factor
    if rule.feature == "tree" and thing.tags.get("leaf_cycle") in SHEDDING:
        found["leaf"] = thing.tags["leaf_cycle"]
    if rule.feature == "water" and (kind := WATER.get(thing.tags.get("water", ""))):
        found["water_kind"] = kind
    found |= {"osm": f"{thing.kind} {thing.number}"}
    found |= {"osm_tag": f"{rule.key}={thing.tags[rule.key]}"}
    return found, changes


def length(text: str) -> float | None:
    """Return a tagged length [m]; None when it is not one.

    Examples
    --------
    >>> [length(text) for text in ("2.5", "2 m", "6'", "2,5", "about 2", "-1")]
    [2.5, 2.0, 1.8288000000000002, None, None, None]
    """
    text = text.strip()
    if feet := FEET.fullmatch(text):
        inches = float(feet["inches"] or 0)
        return int(feet["feet"]) * UNITS_M["ft"] + inches * UNITS_M["in"]
    metres = METRES.fullmatch(text)
    if metres is None:
        return None
    try:
        value = number(metres["metres"])
    except ValueError:
        return None
    return value if value >= 0 else None
