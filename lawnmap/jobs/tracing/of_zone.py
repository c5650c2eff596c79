"""Tracers of a zone: its areas, what it was judged to be, and what was chosen for it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import missing, text
from lawnmap.jobs.tracing.inputs import PLACE, Ground, of_choices, of_columns, of_machine, of_rule
from lawnmap.jobs.tracing.traced import Figure, Input, Traced, Value, told, traced
from lawnmap.processing.setting_out.legal import NONE_MAPPED
from lawnmap.reference import tables
from lawnmap.reference.rows import RatingClass

OUTLINE = ["outline_source", "outline_sigma_m", "perimeter_m", "plan_area_m2", "slope_source",
           "slope_seen_deg"]  # fmt: skip
UNITS = {"water_strip_m": "m", "feed_strip_m": "m", "hand_strip_m": "m", "iron_area_m2": "m²"}
# Who set a legal strip, by its column.
SETTERS = ("label", "law", "site rule")
SET_BY = {"water_strip_m": "water_strip_from", "feed_strip_m": "feed_strip_from"}
SEEN = {
    "moss": ["moss_cover_pct", "moss_rating", "moss_depth_mm", "moss_form"],
    "thatch": ["thatch_mm", "thatch_rating", "turf_type"],
}
# What else is said of a zone: the column with the words, and that with the rule.
OTHERS = (
    ("ways out of the thatch", "ways_out", "ways_rule"),
    ("grasses", "seed_mixture", "seed_rule"),
)
WAYS = {
    "ways_rule": (
        "tine_spacing_mm", "tine_diameter_mm", "tine_depth_mm", "deep_scarify_mm",
        "deep_scarify_years", "deep_scarify_slot_mm", "deep_scarify_spacing_mm", "dressing",
    ),
    "seed_rule": ("sun_vigorous_h",),
}  # fmt: skip
CAUSES = [
    "sun_used_h", "drainage", "compaction", "slope_deg", "cut_height_mm", "soil_ph", "wear",
    "fed_last",
]  # fmt: skip
LIGHT = ["ground_area_m2", "sun_used_h", "wear", "turf_type"]
# What a zone was chosen for is said with these columns and choices.
BY_RULE: dict[str, tuple[list[str], tuple[str, ...]]] = {
    "passes_rule": (["moss_rating", "thatch_rating", "tug_test", "sun_used_h"], ()),
    "depth_rule": (["turf_type", "tug_test", "hidden", "hidden_mm"], ("turf_type",)),
    "crossing_rule": (["slope_deg", "sun_used_h", "tug_test", "bare_pct"], ("turf_type",)),
    "blades_rule": (
        ["ground_area_m2", "slope_deg", "blades_weighed"],
        ("machines", "blades", "money.hour_rate"),
    ),
    "iron_rule": (["moss_high_pct", "sown_last", "iron"], ("iron", "products.iron")),
    "verdict_rule": (["sun_used_h"], ("turf_type", "leave", "reason")),
}


def areas(ground: Ground) -> Iterator[Traced]:
    """Trace the area of the zone, its standard error, the strips, and what may take iron."""
    zone = ground.zone
    yield traced(
        "ground area",
        "area_ground",
        zone,
        figures=[Figure(zone["ground_area_m2"], zone["ground_area_m2"], "m²")],
        sheet=zone_text.ground(zone, "metric"),
        inputs=[*of_rule("area_ground", ground, {}), *of_columns(OUTLINE, ground, {})],
    )
    if not missing(zone["area_sigma_m2"]):
        by_source = f"outline_sigma_{text(zone.get('outline_source')).replace(' ', '_')}_m"
        yield traced(
            "standard error of the area",
            "area_sigma",
            zone,
            figures=[Figure(zone["area_sigma_m2"], zone["area_sigma_m2"], "m²")],
            inputs=of_columns(OUTLINE, ground, {}),
            used=[by_source] if missing(zone.get("outline_sigma_m")) else [],
        )
    yield from _strips(ground)


def _strips(ground: Ground) -> Iterator[Traced]:
    zone = ground.zone
    missing_rules = {"water_strip_m": "not_set_water_strip", "feed_strip_m": "not_set_feed_strip"}
    rules = {
        "water_strip_m": "strip_from",
        "feed_strip_m": "feed_strip_from",
        "hand_strip_m": "strip_hand",
        "iron_area_m2": "area_iron",
    }
    asked = ("strips.legal", "strips.feed", "strips.workmanship", "products.iron", "products.feed",
             "applicator.iron")  # fmt: skip
    for column, usual in rules.items():
        from_whom = text(zone.get(SET_BY.get(column, "")))
        if missing(zone.get(column)) and not from_whom:
            continue
        not_set = from_whom.startswith(zone_text.NO_STRIP)
        rule = missing_rules[column] if not_set else usual
        if from_whom == NONE_MAPPED:
            rule = "strip_none_mapped"
        value = zone.get(column)
        yield traced(
            f"{column.rpartition('_')[0].replace('_', ' ')}",
            rule,
            zone,
            figures=[]
            if missing(value)
            else [Figure(float(zone[column]), float(zone[column]), UNITS[column])],
            sheet="; ".join(f"{line.label}: {line.text}" for line in _lines(zone, column)),
            inputs=[*of_rule(rule, ground, {}), *of_choices(asked, ground)],
            standing=from_whom if from_whom in SETTERS else "",
        )


def _lines(zone: zone_text.Row, column: str) -> list[zone_text.Line]:
    """Return the line of the papers that shows one of the strips or the area outside them."""
    kept = {key: zone.get(key) for key in (column, *([SET_BY[column]] if column in SET_BY else ()))}
    none = dict.fromkeys(SET_BY.values(), zone_text.NO_WATER)
    return list(zone_text.strips({**none, **kept}, "metric"))


def judged(ground: Ground) -> Iterator[Traced]:
    """Trace the class of moss and thatch and the verdict."""
    zone = ground.zone
    for name, unit in (("moss", "%"), ("thatch", "mm")):
        key = "pct" if unit == "%" else unit
        low, high = zone.get(f"{name}_low_{key}"), zone.get(f"{name}_high_{key}")
        yield traced(
            name,
            f"{name}_judged",
            zone,
            figures=[Figure(*_ends(low, high), unit)] if not missing(low) else [],
            sheet=getattr(zone_text, name)(zone),
            inputs=[
                *of_columns(SEEN[name], ground, {}),
                *of_rule(f"{name}_judged", ground, {}),
                *of_choices(("turf_type",), ground),
            ],
            more=_class_of(name, text(zone.get(f"{name}_class"))),
        )
    yield _chosen(ground, zone_text.verdict(zone), "verdict_rule")


def _ends(low: Any, high: Any) -> tuple[float, float]:
    return float(low), float(low if missing(high) or high == float("inf") else high)


def _class_of(name: str, word: str) -> Iterator[Value]:
    """Yield the class of a scale that the zone is in."""
    for scale in ("moss",) if name == "moss" else ("thatch", "thatch fine"):
        for each in tables.scale(scale):
            if each.word == word:
                yield _of_class(each)


def _of_class(found: RatingClass) -> Value:
    unit = "%" if found.scale == "moss" else "mm"
    return Value(
        f"{found.scale} {found.rating}",
        f"{found.lower:g} to {found.upper:g} {unit}; most passes {found.most_passes}",
        found.word,
        found.standing,
        told(found.source),
    )


def chosen(ground: Ground) -> Iterator[Traced]:
    """Trace what was chosen for the zone: blades, passes, depth, crossing, iron, bare ground."""
    zone = ground.zone
    by_rule = {text(zone.get(key)): key for key in BY_RULE}
    for line in zone_text.chosen(zone):
        if line.rule:
            yield _chosen(ground, line, by_rule.get(line.rule, ""))
    if not missing(zone.get("bare_after_high_pct")) and text(zone.get("blades")):
        ends = _ends(zone["bare_after_low_pct"], zone["bare_after_high_pct"])
        (said,) = [e.text for e in zone_text.chosen(zone) if not e.rule and "%" in e.text] or [""]
        yield traced(
            "bare ground after the blades",
            "bare_judged",
            zone,
            figures=[Figure(*ends, "%")],
            sheet=said,
            inputs=of_columns(["bare_pct", "moss_low_pct", "moss_high_pct"], ground, {}),
        )
    for rule in text(zone.get("stop_it_rules")).split():
        yield traced("what would stop the moss", rule, zone, inputs=of_rule(rule, ground, {}))
    if text(zone.get("causes")):
        given = of_columns(CAUSES, ground, {})
        yield traced("causes", "causes_seen", zone, sheet=text(zone["causes"]), inputs=given)
    for what, said, key in OTHERS:
        if text(zone.get(said)) and text(zone.get(key)):
            rule = text(zone[key])
            both = [*of_rule(rule, ground, {}), *of_columns(LIGHT, ground, {})]
            yield traced(what, rule, zone, sheet=text(zone[said]), inputs=both, used=WAYS[key])


def _chosen(ground: Ground, line: zone_text.Line, key: str) -> Traced:
    columns, choices = BY_RULE.get(key, ([], ()))
    inputs: list[Input] = [
        *of_rule(line.rule, ground, {}),
        *of_columns(columns, ground, {}),
        *of_choices(choices, ground),
    ]
    more: list[Value] = []
    if key == "blades_rule":
        known, more = of_machine(text(ground.zone.get("blades")), ground, PLACE)
        inputs += known
    return traced(
        line.label.lower(), line.rule, ground.zone, sheet=line.text, inputs=inputs, more=more
    )
