"""What OpenStreetMap's tags mean for a lawn: which layer, which kind of feature, which columns.

Tags and their meanings are facts of the OpenStreetMap wiki, page "Map features" and the page of
each tag, in our own words and mostly from memory; what matters to a lawn is our choice.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from lawnmap.readers.osm.document import Thing

NONE = ""  # stands for a tag that is not there
NOTHING: Mapping[str, str] = MappingProxyType({})

GRASS = frozenset({NONE, "grass"})
BARE = frozenset({"grass", "grass_paver", "ground", "earth", "dirt", "mud"})
PAVED = frozenset(
    [
        "paved",
        "asphalt",
        "concrete",
        "concrete:plates",
        "concrete:lanes",
        "paving_stones",
        "sett",
        "cobblestone",
        "unhewn_cobblestone",
        "bricks",
        "brick",
        "tiles",
        "metal",
        "wood",
        "tartan",
    ]
)
HARD_COURTS = frozenset(
    ["basketball", "netball", "tennis", "padel", "skateboard", "bmx", "roller_hockey"]
)
SHEDDING = frozenset({"evergreen", "deciduous"})

LAWNS, PITCHES, MEADOWS, PARKS = "lawns and grass", "pitches", "meadows", "parks and gardens"
BEDS, WATERS, DRAINS, PAVING = "beds", "water", "drains and covers", "paving"
BUILDINGS, TREES, EDGES, GATES = "buildings", "trees", "hedges, fences and walls", "gates"
TAPS = "taps"
# In the order they are listed: a zone that may hold others comes after those.
ZONES = (LAWNS, PITCHES, MEADOWS, PARKS)
LAYERS = (*ZONES, BEDS, WATERS, DRAINS, PAVING, BUILDINGS, TREES, EDGES, GATES, TAPS)


class Rule(NamedTuple):
    """What a tag makes of a thing.

    Attributes
    ----------
    layer, feature : str
        Where it is listed, and its kind in the schema.
    key : str
        The tag.
    values : str
        Its values, a blank between them; none means any but ``no``.
    area : bool
        Whether a closed way is an area; a tag ``area`` says otherwise.
    only : mapping of str to set of str
        Tags that must have one of these values; ``NONE`` admits that the tag is missing.
    never : mapping of str to set of str
        Tags that must have none of these.
    facts : mapping of str to str
        Columns that follow from it.
    """

    layer: str
    feature: str
    key: str
    values: str = ""
    area: bool = True
    only: Mapping[str, frozenset[str]] = MappingProxyType({})
    never: Mapping[str, frozenset[str]] = MappingProxyType({})
    facts: Mapping[str, str] = NOTHING

    def fits(self, tags: Mapping[str, str]) -> bool:
        """Tell whether a thing with these tags is one."""
        value = tags.get(self.key, "no")
        return (
            (value in self.values.split() if self.values else value != "no")
            and all(tags.get(key, NONE) in some for key, some in self.only.items())
            and not any(tags.get(key, NONE) in some for key, some in self.never.items())
        )


def _zone(layer: str, key: str, values: str) -> Rule:
    return Rule(layer, "zone", key, values, only={"surface": GRASS})


def _pitch(turf_type: str, **some: frozenset[str]) -> Rule:
    facts = {"turf_type": turf_type}
    return Rule(PITCHES, "zone", "leisure", "pitch", only=some, facts=facts)


def _water(key: str, values: str, kind: str = "", *, area: bool = True) -> Rule:
    return Rule(
        WATERS, "water", key, values, area=area, facts={"water_kind": kind} if kind else NOTHING
    )


FINE_SPORTS = frozenset({"bowls", "croquet"})
AREA = {"area": frozenset({"yes"})}
UNDER = {"parking": frozenset({"underground", "multi-storey", "rooftop"})}
PIPES = frozenset({NONE, "drain", "sewer", "unknown"})

# The first that fits counts. What covers the ground:
GROUNDS = (
    Rule(BUILDINGS, "building", "building"),
    _water("natural", "water wetland bay strait"),
    _water("natural", "coastline", area=False),
    _water("natural", "spring", "spring"),
    _water("waterway", "riverbank", "stream"),
    _water("waterway", "dock"),
    _water("waterway", "river stream brook", "stream", area=False),
    _water("waterway", "canal tidal_channel", area=False),
    _water("waterway", "ditch", "ditch", area=False),
    _water("man_made", "water_well", "well"),
    _water("landuse", "basin reservoir"),
    _water("leisure", "swimming_pool"),
    _water("amenity", "fountain"),
    Rule(DRAINS, "drain", "waterway", "drain", area=False, facts={"drain_kind": "channel"}),
    Rule(
        DRAINS, "drain", "man_made", "manhole",
        only={"manhole": PIPES}, facts={"drain_kind": "manhole"},
    ),
    Rule(DRAINS, "hidden", "man_made", "manhole", facts={"hidden_kind": "cover"}),
    Rule(DRAINS, "drain", "inlet", facts={"drain_kind": "gully"}),
    Rule(BEDS, "bed", "landuse", "flowerbed"),
    Rule(BEDS, "bed", "natural", "shrubbery"),
    Rule(
        BEDS, "bed", "leisure", "garden",
        only={"garden:style": frozenset({"flower_garden", "herb_garden", "kitchen", "rosarium"})},
    ),
    Rule(PAVING, "paving", "highway", only=AREA, never={"surface": BARE}),
    Rule(PAVING, "paving", "area:highway", never={"surface": BARE}),
    Rule(PAVING, "paving", "amenity", "parking bicycle_parking", never={"surface": BARE, **UNDER}),
    Rule(PAVING, "paving", "leisure", "pitch playground", only={"surface": PAVED}),
    Rule(PAVING, "paving", "surface", only={"surface": PAVED, **AREA}),
    _pitch("bowls/croquet/tennis", sport=FINE_SPORTS | {"tennis"}, surface=frozenset({"grass"})),
    _pitch("bowls/croquet/tennis", sport=FINE_SPORTS, surface=GRASS),
    _pitch("sports pitch", surface=frozenset({"grass"})),
    Rule(
        PITCHES, "zone", "leisure", "pitch",
        only={"surface": GRASS}, never={"sport": HARD_COURTS}, facts={"turf_type": "sports pitch"},
    ),
    _zone(LAWNS, "landuse", "grass village_green"),
    _zone(LAWNS, "landcover", "grass"),
    _zone(MEADOWS, "landuse", "meadow"),
    _zone(MEADOWS, "natural", "grassland"),
    _zone(PARKS, "leisure", "garden park"),
    _zone(PARKS, "landuse", "recreation_ground"),
    Rule(TREES, "tree", "natural", "tree"),
    Rule(TAPS, "supply", "man_made", "water_tap", facts={"supply_kind": "tap"}),
)  # fmt: skip
# What stands round it, often said of one and the same line:
BOUNDS = (
    Rule(EDGES, "hedge", "barrier", "hedge", area=False),
    Rule(EDGES, "hedge", "natural", "tree_row", area=False),
    Rule(EDGES, "fence", "barrier", "fence wall retaining_wall", area=False),
    Rule(
        GATES, "access", "barrier",
        "gate lift_gate swing_gate sliding_gate kissing_gate wicket_gate entrance",
    ),
)  # fmt: skip

# Keys that say what a thing is, for naming those that are not read.
KEYS = [
    "highway",
    "railway",
    "aeroway",
    "power",
    "pipeline",
    "building",
    "amenity",
    "leisure",
    "natural",
    "landuse",
    "landcover",
    "waterway",
    "man_made",
    "barrier",
    "shop",
    "office",
    "tourism",
    "historic",
    "craft",
    "emergency",
    "healthcare",
    "place",
    "boundary",
    "public_transport",
    "route",
    "golf",
    "playground",
    "advertising",
    "telecom",
    "entrance",
    "addr:housenumber",
]


def rules(thing: Thing) -> list[Rule]:
    """Return what a thing is: nothing, one of the grounds, one of the bounds, or one of each."""
    if thing.kind == "relation" and thing.tags.get("type") != "multipolygon":
        return []
    if thing.tags.get("location") == "underground":
        return []
    tags = {**thing.tags, "area": "yes"} if thing.kind == "relation" else thing.tags
    first = (next((rule for rule in some if rule.fits(tags)), None) for some in (GROUNDS, BOUNDS))
    return [rule for rule in first if rule is not None]


def form(thing: Thing, rule: Rule) -> str:
    """Return which form a thing has: ``Point``, ``LineString`` or ``Polygon``."""
    if thing.kind == "node":
        return "Point"
    if thing.kind == "relation":
        return "Polygon"
    area = {"yes": True, "no": False}.get(thing.tags.get("area", ""), rule.area)
    return "Polygon" if area and thing.closed else "LineString"


def noun(thing: Thing) -> str:
    """Return the word for something that is not read."""
    key = next((key for key in KEYS if key in thing.tags), "")
    return {"": "others", "addr:housenumber": "address"}.get(key, key)
