"""Every value has a unit, a source that exists and a standing; every rule can be said."""

import csv
import datetime as dt
import re
from dataclasses import fields
from importlib import resources
from itertools import pairwise

import pytest

from lawnmap import schema
from lawnmap.plugins import TREATMENT_KINDS
from lawnmap.reference import tables
from lawnmap.reference.rows import Gate, Season, SourceMissing

FILES = sorted(
    each.name
    for each in resources.files("lawnmap.reference").iterdir()
    if each.name.endswith(".csv")
)
LEAST_RULES = [
    "leave_alone",
    "light_work",
    "renovate",
    "staged_thatch",
    "not_for_grass",
    "blades_by_area",
    "blades_to_hand",
    "depth_by_turf",
    "passes_by_thatch",
    "crossing_right_angle",
    "crossing_one_way",
    "iron_before",
    "iron_after_petrol",
    "iron_none_deep_mat",
    "iron_none_site",
    "iron_none_product",
    "iron_none_new_turf",
    "iron_label_rate",
    "iron_pricing_only",
    "iron_above_limit",
    "water_by_applicator",
    "sand_label_rate",
    "seed_after_scarifying",
    "seed_rate",
    "arisings_by_class",
    "arisings_by_depth",
    "hours_by_capacity",
    "hours_by_hand",
    "mow_down",
    "feed_after",
    "feed_counted",
    "aerate",
    "top_dress_off",
    "top_dress",
    "water_seed",
    "clear_after",
    "not_set_water_strip",
]


def lines(name):
    text = resources.files("lawnmap.reference").joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


SOURCED = [
    pytest.param(line, id=f"{name}:{next(iter(line.values()))}")
    for name in FILES
    for line in lines(name)
    if "source" in line
]


@pytest.mark.parametrize("line", SOURCED)
def test_source_and_standing(line):
    assert line["standing"] in tables.STANDINGS
    for column in ("source", "size_source", "emerge_source"):
        if line.get(column):
            assert line[column] in tables.sources()
    if line["standing"] == "common practice, no source":
        assert not line["source"]
    if line["standing"] == "published":
        assert line["source"]
        assert tables.source(line["source"]).seen in {"read", "second hand"}


@pytest.mark.parametrize("value", tables.values().values(), ids=lambda value: value.id)
def test_values(value):
    assert value.unit
    assert value.conditions
    assert value.low <= value.high
    if value.value is not None:
        assert value.low <= value.value <= value.high
    if value.source and tables.source(value.source).grade == "D":
        assert value.value is None, "a weak source gives a range and never a default"


@pytest.mark.parametrize("source", tables.sources().values(), ids=lambda source: source.id)
def test_sources(source):
    assert source.grade in set("ABCD")
    assert source.where


def test_every_source_is_used():
    used = {word for rule in tables.rules().values() for word in rule.sources}
    for name in FILES:
        for line in lines(name):
            used |= {line.get(c, "") for c in ("source", "size_source", "emerge_source")}
    assert set(tables.sources()) <= used


def test_ids_are_single():
    for name in FILES:
        first = [next(iter(line.values())) for line in lines(name)]
        if name not in {"rating_scales.csv", "intervals.csv"}:
            assert len(first) == len(set(first)), name
    pairs = [(line["before"], line["after"]) for line in lines("intervals.csv")]
    assert len(pairs) == len(set(pairs))
    assert len(tables.values()) == len(lines("values.csv")) + len(lines("densities.csv"))


@pytest.mark.parametrize("rule", tables.rules().values(), ids=lambda rule: rule.id)
def test_rules(rule):
    assert all(each in tables.values() for each in rule.values)
    assert all(each in tables.sources() for each in rule.sources)
    assert rule.standing in tables.STANDINGS
    known = {c.name for c in schema.COLUMNS if c.table not in {"features", "totals"}}
    assert set(rule.inputs) <= known
    blanks = re.findall(r"\{(value:)?(\w+)\}", rule.sentence)
    assert {name for mark, name in blanks if mark} <= set(rule.values)
    assert {name for mark, name in blanks if not mark} <= set(rule.inputs)
    assert rule.sentence.count("{") == len(blanks)
    if rule.standing == "published":
        weakest = tables.weakest(tables.value(each).standing for each in rule.values)
        assert weakest in {"label", "published"}
        assert rule.sources


@pytest.mark.parametrize("rule", tables.rules().values(), ids=lambda rule: rule.id)
def test_every_rule_can_be_said(rule):
    row = dict.fromkeys(rule.inputs, 12.3456)
    said = tables.sentence(rule.id, row)
    assert "{" not in said
    assert "?" not in said
    assert ("12.3" in said) == bool(set(re.findall(r"\{(\w+)\}", rule.sentence)))
    assert tables.sentence(rule.id, {}).count("?") == len(re.findall(r"\{\w+\}", rule.sentence))


def test_the_rules_a_plan_needs():
    assert set(LEAST_RULES) <= set(tables.rules())


def test_how_a_sentence_is_filled():
    said = tables.sentence(
        "blades_by_area", {"blades": "petrol scarifier", "ground_area_m2": 899.6}
    )
    assert said.startswith("petrol scarifier for 900 m²: a rake to about 100 m²")
    assert "33.3 %" in tables.sentence("mow_down", {"cut_height_mm": float("nan")})
    assert tables.sentence("mow_down", {"cut_height_mm": float("nan")}).startswith("From ? mm")
    assert "2 to 4 for bulking" in tables.sentence("arisings_by_depth", {})


@pytest.mark.parametrize(
    ("cell", "text"),
    [(None, "?"), ("", "?"), ("rake", "rake"), (0, "0"), (2.0, "2"), (0.12345, "0.123"),
     (float("inf"), "?"), (12345.6, "12346"), (3.125, "3.125"), (99.994, "100"), ([], "?")],
)  # fmt: skip
def test_shown(cell, text):
    assert tables.shown(cell) == text


@pytest.mark.parametrize("name", ["moss", "thatch", "thatch fine"])
def test_scales_have_no_gap(name):
    classes = tables.scale(name)
    assert [each.rating for each in classes] == list(range(len(classes)))
    for below, above in pairwise(classes):
        assert below.upper == above.lower
    assert len({each.word for each in classes}) == len(classes)
    assert all(each.arisings == "" or each.arisings in tables.values() for each in classes)


def test_scales_match_the_schema():
    ranges = {c.name: (c.low, c.high) for c in schema.COLUMNS if c.table == "zones"}
    assert ranges["moss_rating"] == (0, len(tables.scale("moss")) - 1)
    assert ranges["thatch_rating"] == (0, len(tables.scale("thatch")) - 1)


def test_more_moss_never_asks_for_less():
    classes = tables.scale("moss")
    for column in ("most_passes", "applications"):
        asked = [getattr(each, column) for each in classes]
        assert asked == sorted(asked)
    high = [tables.value(each.arisings).high if each.arisings else 0 for each in classes]
    assert high == sorted(high)


def test_turf_types_are_those_of_the_schema():
    (column,) = [c for c in schema.COLUMNS if c.table == "zones" and c.name == "turf_type"]
    assert set(tables.turfs()) == set(column.words)
    for turf in tables.turfs().values():
        tables.scale(turf.scale)
        limits = [tables.value(key).number for key in (turf.act, turf.staged, turf.too_deep)]
        assert limits == sorted(limits)
        edges = [lower for lower, _ in tables.bands(turf.scale)]
        assert set(limits) <= set(edges)
        assert tables.value(turf.depth).low > 0
    assert tables.turf("cricket square").crossing == "one way"


def test_waits():
    # The longest published wait from iron to seed is six weeks; the label beats it.
    assert tables.interval("iron", "seed").least_days == 42
    # Only a label can say when new turf may take iron.
    assert tables.interval("seed", "iron").least_days is None
    assert tables.interval("seed", "iron").standing == "label"
    for each in tables.intervals().values():
        days = [d for d in (each.least_days, each.usual_days, each.most_days) if d is not None]
        assert days == sorted(days)


def test_machines():
    for each in tables.machines().values():
        by_speed = (each.width_m, each.speed_km_h, each.efficiency_low, each.efficiency_high)
        by_area = (each.area_low_m2_h, each.area_high_m2_h)
        assert all(number is None for number in (by_speed if by_area[0] else by_area))
        low, high = by_area if by_area[0] else by_speed[2:]
        assert 0 < low <= high
        assert by_area[0] or high <= 1


def test_seeds():
    # University of Nebraska: overseeding takes half the rate of a new lawn.
    for each in tables.seeds().values():
        assert each.overseed_low_g_m2 == pytest.approx(each.new_low_g_m2 / 2, rel=0.01)
        assert each.overseed_high_g_m2 == pytest.approx(each.new_high_g_m2 / 2, rel=0.01)
        assert each.emerge_low_d <= each.emerge_high_d


def test_cautions_are_for_something():
    for each in tables.cautions():
        assert each.applies_to in {*TREATMENT_KINDS, "iron", "electric", "battery", "petrol"}
        assert "safe for" not in each.sentence.lower()


def test_no_clearance_is_guessed():
    # Label, law or site rule set a strip to water: the tables hold none.
    for each in tables.values().values():
        if each.unit == "m":
            assert "water" not in each.id
            assert "drain" not in each.id


def test_what_is_not_there_is_our_fault():
    for look in (tables.value, tables.source, tables.rule, tables.scale, tables.turf,
                 tables.machine, tables.seed, tables.salt):  # fmt: skip
        with pytest.raises(SourceMissing, match="nothing-like-it") as missing:
            look("nothing-like-it")
        assert missing.value.exit_code == 1
    with pytest.raises(SourceMissing, match="wait"):
        tables.interval("seed", "seed")
    with pytest.raises(SourceMissing, match="range"):
        _ = tables.value("hand_rake_m2_h").number


def test_weakest():
    assert tables.weakest(["published", "label", "from memory"]) == "from memory"
    assert tables.weakest([]) == "label"


def test_columns_and_fields_agree():
    # A column nobody reads is a column nobody checks.
    for kind, name in [(tables.ReferenceValue, "values"), (tables.Rule, "rules"),
                       (tables.Turf, "turf"), (tables.GenericMachine, "machines")]:  # fmt: skip
        assert list(lines(f"{name}.csv")[0]) == [each.name for each in fields(kind)]


@pytest.mark.parametrize("season", tables.seasons(), ids=lambda season: season.id)
def test_seasons(season):
    assert season.season in {"spring", "autumn", "any"}
    assert season.seed in {"yes", "no", "any"}
    assert season.rule in tables.rules()
    assert season.flag in {"", *tables.rules()}
    assert season.first < season.last, "north of the equator none runs over the turn of the year"
    for month, day in (season.first, season.last):
        assert dt.date(2027, month, day).month == month


def test_what_stands_in_a_season_or_gate_is_read():
    for kind, name in [(Season, "seasons"), (Gate, "gates")]:
        assert list(lines(f"{name}.csv")[0]) == [each.name for each in fields(kind)]
