"""The keys of pass lines in ``specification.toml``."""

from __future__ import annotations

from lawnmap.store.keys import Key

DIRECTION = (
    Key("heading_deg", "number", None, 0, 360, means="Your own direction, from true north."),
    Key(
        "along",
        "text",
        "",
        words=("", "longest edge", "contour"),
        means="Your own direction by the ground; heading_deg goes before it.",
    ),
)
PASS_LINES = Key(
    "pass_lines",
    "table",
    means="Bouts of machines over each zone.",
    inside=(
        Key(
            "when",
            "text",
            "auto",
            words=("auto", "always", "never"),
            means="Auto leaves them out on a site of many zones.",
        ),
        *DIRECTION,
        Key("overlap_pct", "number", None, 0, 40, means="Of the blades' width, bout to bout."),
        Key("rounds", "whole", None, 1, 4, means="Bouts along edges and obstacles."),
        Key("cable_m", "number", None, 1, 500, means="Cable to hand for an electric machine."),
    ),
)
