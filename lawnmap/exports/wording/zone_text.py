"""What a page says of one zone, as text: what was found, what was chosen, and for what reason."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.exports.wording.amounts import (
    area,
    day,
    missing,
    number,
    plain,
    quantity,
    span,
    text,
)
from lawnmap.exports.wording.bands import band_label
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.widths import clear
from lawnmap.pages.words import known, word
from lawnmap.reference.tables import bands

Row = Mapping[str, Any]
NO_STRIP = "not set"
NO_WATER = "none mapped"
LEGAL = ("water_strip", "feed_strip")
STEEP_ENOUGH_DEG = 0.5  # below this a slope is not worth a line
# Facts shown as they are, in the schema's words.
SAID = ("compaction", "drainage", "wear", "tug_test", "grass", "turf_type", "iron")
DAYS = ("fed_last", "sown_last")


class Line(NamedTuple):
    """A label, what is said under it, and the rule behind it if it was worked out."""

    label: str
    text: str
    rule: str = ""


def name(row: Row, zone_id: str) -> str:
    """Return what people call a zone."""
    return text(row.get("name")) or zone_id


def notes(row: Mapping[Any, Any]) -> str:
    """Return the notes on a zone or feature that its reader may see; a private one by name only."""
    found = (text(row.get(column)) for column in ("public_note", "private_note"))
    return " · ".join(each for each in found if each)


def numbered(zones: pd.DataFrame) -> dict[str, tuple[int, str]]:
    """Return the number of each zone on the plan, and what people call it."""
    return {
        zone_id: (number, name(row, zone_id))
        for number, (zone_id, row) in enumerate(zone_rows(zones), start=1)
    }


def subtitle(row: Row) -> str:
    """Return the numbers others know a zone by: the client's own, lot, round."""
    parts = [
        word(f"zone.{column}", value=text(row[column]))
        for column in ("client_number", "lot", "beat", "looked_after_by")
        if not missing(row.get(column))
    ]
    return " · ".join(parts)


def found(row: Row, units: str) -> list[Line]:
    """Return what was measured and seen."""
    return [*_areas(row, units), *strips(row, units), *_sward(row, units), *_ground(row)]


def watched(row: Row, units: str) -> list[Line]:
    """Return what whoever works there has to watch for: strips, what lies hidden, a slope."""
    kept = [each for each in strips(row, units) if each.label != word("zone.iron_area")]
    return [*kept, *_hidden(row), *_slope(row)]


def chosen(row: Row, units: str = METRIC) -> list[Line]:
    """Return what the plan chose for the zone, each with its rule."""
    lines = [
        Line(word("zone.causes"), text(row.get("causes"))),
        Line(word("zone.stop_it"), text(row.get("stop_it"))),
        Line(word("zone.ways_out"), text(row.get("ways_out")), text(row.get("ways_rule"))),
        Line(word("zone.blades"), text(row.get("blades")), text(row.get("blades_rule"))),
        Line(word("zone.passes"), passes(row), text(row.get("passes_rule"))),
        Line(word("zone.crossing"), text(row.get("crossing")), text(row.get("crossing_rule"))),
        Line(word("zone.depth"), _range(row, "depth", "mm", units), text(row.get("depth_rule"))),
        Line(
            word("zone.iron_order"),
            known("iron", text(row.get("iron_order"))),
            text(row.get("iron_rule")),
        ),
    ]
    if text(row.get("blades")):
        bare = _range(row, "bare_after", "%", units, name="pct")
        lines.append(Line(word("zone.bare_after"), bare))
        grasses = text(row.get("seed_mixture"))
        lines.append(Line(word("zone.seed_mixture"), grasses, text(row.get("seed_rule"))))
    if row.get("deep_mat") is True or text(row.get("deep_mat")) == "True":
        lines.append(Line(word("zone.deep_mat"), word("zone.deep_mat_text")))
    return [line for line in lines if line.text]


def verdict(row: Row) -> Line:
    """Return what is to be done with the zone, and the rule that says so."""
    said = text(row.get("verdict"))
    return Line(word("zone.verdict"), known("verdict", said), text(row.get("verdict_rule")))


def moss(row: Row, units: str = METRIC) -> str:
    """Return the moss in words and per cent; a class stays a class."""
    return _measured_or_class(row, "moss_cover_pct", "moss_rating", "moss", "%", units)


def thatch(row: Row, units: str = METRIC) -> str:
    """Return the thatch in words and millimetres; a class stays a class."""
    return _measured_or_class(row, "thatch_mm", "thatch_rating", "thatch", "mm", units)


def sun(row: Row, units: str = METRIC) -> str:  # noqa: ARG001 - called as moss and thatch are
    """Return the hours of direct sun a day, as seen, else as worked out."""
    if not missing(row.get("sun_hours_seen")):
        return word("zone.sun_seen", hours=plain(float(row["sun_hours_seen"])))
    if missing(row.get("sun_hours")):
        return ""
    return word("zone.sun_worked_out", hours=plain(round(float(row["sun_hours"]), 1)))


def ground(row: Row, units: str) -> str:
    """Return the ground area with its standard error."""
    for column in ("ground_area_m2", "plan_area_m2", "outline_area_m2"):
        if not missing(row.get(column)):
            return area(float(row[column]), units=units, sigma=row.get("area_sigma_m2"))
    return ""


def _areas(row: Row, units: str) -> Iterator[Line]:
    shown = ground(row, units)
    if shown:
        source = text(row.get("outline_source"))
        how = word("zone.outline", source=known("outline", source)) if source else ""
        yield Line(word("zone.ground_area"), f"{shown}{how}")
    if _above(row, "slope_deg", STEEP_ENOUGH_DEG) and not missing(row.get("plan_area_m2")):
        yield Line(word("zone.plan_area"), area(float(row["plan_area_m2"]), units=units))
    if _above(row, "obstacle_area_m2", 0.05):
        yield Line(word("zone.obstacle_area"), area(float(row["obstacle_area_m2"]), units=units))
    if _above(row, "shared_area_m2", 0.05):
        yield Line(word("zone.shared_area"), area(float(row["shared_area_m2"]), units=units))


def passes(row: Row) -> str:
    """Return the number of passes of a zone or a step; a number is the most, never a promise."""
    if not _above(row, "passes", 0):
        return ""
    count = number(float(row["passes"]))
    return word("zone.one_pass") if count == "1" else word("zone.up_to_passes", count=count)


def strips(row: Row, units: str) -> Iterator[Line]:
    """Return what is kept clear of iron and feed, and the area that is left for iron."""
    yield from _legal(row, "water_strip", units)
    both = [[text(row.get(f"{each}_{end}")) for end in ("m", "from")] for each in LEGAL]
    if both[0] != both[1]:
        yield from _legal(row, "feed_strip", units)
    if _above(row, "hand_strip_m", 0.0):
        yield Line(word("zone.hand_strip"), clear(float(row["hand_strip_m"]), units))
    if not missing(row.get("iron_area_m2")):
        yield Line(word("zone.iron_area"), area(float(row["iron_area_m2"]), units=units))


def _legal(row: Row, what: str, units: str) -> Iterator[Line]:
    """Return the strip along water and drains that label, law or site rule set for iron or feed."""
    label = word("zone.clear_strip" if what == "water_strip" else f"zone.{what}")
    from_whom = text(row.get(f"{what}_from"))
    if from_whom.startswith(NO_STRIP):
        yield Line(label, word("zone.water_strip_not_set"))
    elif from_whom != NO_WATER and not missing(row.get(f"{what}_m")):
        wide = clear(float(row[f"{what}_m"]), units)
        yield Line(label, word("zone.strip_from", wide=wide, source=known("strip", from_whom)))


def _sward(row: Row, units: str) -> Iterator[Line]:
    for label, of_zone in SWARD.items():
        shown = of_zone(row, units)
        if shown:
            yield Line(word(f"theme.{label}"), shown)
    if not missing(row.get("moss_depth_mm")):
        form = text(row.get("moss_form"))
        deep = quantity(float(row["moss_depth_mm"]), "mm", units)
        yield Line(word("zone.moss_depth_mm"), f"{deep}, {form}" if form else deep)
    for column, unit in (("bare_pct", "%"), ("cut_height_mm", "mm")):
        if not missing(row.get(column)):
            yield Line(word(f"zone.{column}"), quantity(float(row[column]), unit, units))


def _slope(row: Row) -> Iterator[Line]:
    if _above(row, "slope_deg", STEEP_ENOUGH_DEG):
        degrees = float(row["slope_deg"])
        run = number(1 / math.tan(math.radians(degrees)))
        yield Line(word("zone.slope"), word("zone.slope_text", run=run, degrees=plain(degrees)))


def _hidden(row: Row) -> Iterator[Line]:
    if text(row.get("hidden")):
        yield Line(word("zone.hidden"), text(row["hidden"]))


def _ground(row: Row) -> Iterator[Line]:
    yield from _slope(row)
    if not missing(row.get("soil_ph")):
        yield Line(word("zone.soil_ph"), number(float(row["soil_ph"]), 1))
    yield from _hidden(row)
    for column in SAID:
        if not missing(row.get(column)):
            yield Line(word(f"zone.{column}"), text(row[column]))
    for column in DAYS:
        if not missing(row.get(column)):
            yield Line(word(f"zone.{column}"), day(row[column]))


def _range(row: Row, column: str, unit: str, units: str, *, name: str = "") -> str:
    name = name or unit
    return span(row.get(f"{column}_low_{name}"), row.get(f"{column}_high_{name}"), unit, units)


def _measured_or_class(  # noqa: PLR0917 - one scale in its columns
    row: Row, measured: str, rated: str, scale: str, unit: str, units: str
) -> str:
    """Return a measurement with the class the plan gave it, or the class that was seen."""
    called = text(row.get(f"{scale}_class"))
    if not missing(row.get(measured)):
        amount = word("zone.measured", amount=quantity(float(row[measured]), unit, units))
        return f"{amount}: {called}" if called else amount
    if text(row.get(f"{scale}_from")) == "cores":
        amount = word(
            "zone.cores", amount=_range(row, scale, unit, units, name=measured.rpartition("_")[-1])
        )
        return f"{amount}: {called}" if called else amount
    if missing(row.get(rated)):
        return ""
    return called or band_label(*bands(scale)[int(row[rated])], unit, units)


def _above(row: Row, column: str, least: float) -> bool:
    return not missing(row.get(column)) and float(row[column]) > least


# What is said of the sward, by the name of its theme.
SWARD = {"moss": moss, "thatch": thatch, "sun": sun}
