"""Choices on strips to keep clear: legal ones without a default, and those of workmanship."""

from __future__ import annotations

from lawnmap.store.keys import Key

CLEARANCES = (
    Key("water_m", "number", None, 0, 200, means="From open water and wells."),
    Key("drain_m", "number", None, 0, 200, means="From drains and gullies."),
    Key("from", "text", "", words=("", "law", "site rule"), means="Who set it."),
    Key("note", "text", "", means="Where it is written."),
)
LEGAL = Key(
    "legal",
    "table",
    means="Clearance for iron and feed that law or a site rule sets; that of a label stands on its "
    "card. Where nobody has set one, nothing is applied.",
    inside=CLEARANCES,
)
FEED_RULE = Key(
    "feed",
    "table",
    means="Where law or a site rule sets another clearance for feed than for iron.",
    inside=CLEARANCES,
)
WORKMANSHIP = Key(
    "workmanship",
    "table",
    means="Strips that no law sets, and what is done there instead. What is left out goes by the "
    "reach of the applicator or machine.",
    inside=(
        Key("paving_m", "number", None, 0, 10, means="Iron, from paving, walls and fences."),
        Key("bed_m", "number", None, 0, 10, means="Iron, from beds."),
        Key("iron_instead", "text", "left", words=("left", "by hand", "drop spreader")),
        Key("feed_m", "number", None, 0, 10, means="Feed, from paving and beds."),
        Key("feed_instead", "text", "by hand", words=("by hand", "drop spreader", "left")),
        Key("seed_m", "number", None, 0, 10, means="Seed, from paving and beds."),
        Key("seed_instead", "text", "by hand", words=("by hand", "drop spreader", "left")),
        Key(
            "blades_edge_m",
            "number",
            None,
            0,
            10,
            means="Blades, from walls, fences, hedges, beds and water.",
        ),
        Key("blades_tree_m", "number", None, 0, 10, means="Blades, from the bark of a stem."),
        Key("blades_point_m", "number", None, 0, 10, means="Blades, from a hidden thing or gully."),
        Key("blades_line_m", "number", None, 0, 10, means="Blades, from a wire, pipe or channel."),
        Key("blades_instead", "text", "rake", words=("rake", "left")),
    ),
)

STRIPS = Key("strips", "table", inside=(LEGAL, FEED_RULE, WORKMANSHIP))
