"""Tracer of what is kept clear in a zone: each strip, how wide, who set it, and its ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.rows import records
from lawnmap.jobs.tracing.inputs import Ground, of_choices
from lawnmap.jobs.tracing.traced import Figure, Traced, traced
from lawnmap.schema import NOT_SET

LAYER = "kept_clear"
CHOICES = {
    "untreated": ("strips.legal", "strips.feed", "products.iron", "products.feed"),
    "hand": ("strips.workmanship", "applicator.iron", "applicator.feed", "applicator.seed",
             "machines"),
}  # fmt: skip


def kept_clear(ground: Ground) -> Iterator[Traced]:
    """Trace the strips of the zone, in the order of the layer."""
    layer = ground.plan.layers.get(LAYER)
    if layer is None:
        return
    own = layer[layer["zone_id"] == ground.zone_id]
    for row in records(own.drop(columns="geometry")):
        wide, area = row["width_m"], float(row["area_m2"])
        figures = [] if missing(wide) else [Figure(float(wide), float(wide), "m")]
        yield traced(
            f"kept clear, {text(row['kind'])}: {text(row['because'])}",
            _rule(row),
            row,
            figures=[*figures, Figure(area, area, "m²")],
            inputs=of_choices(CHOICES[text(row["strip"])], ground),
        )


def _rule(row: Mapping[str, Any]) -> str:
    if row["instead"] == NOT_SET:
        return "not_set_feed_strip" if row["kind"] == "feed" else "not_set_water_strip"
    if missing(row["width_m"]):
        return "kept_steep"
    return f"kept_{row['strip']}"
