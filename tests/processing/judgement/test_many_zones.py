"""Figures and rules of very many zones are those of each zone on its own, word for word."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap import schema
from lawnmap.model import Machine
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.machines import generic
from lawnmap.treatments.bladed import effort

WORDS = ("causes", "stop_it", "stop_it_rules", "ways_out", "blades_others", "blades_weighed")
MACHINES = [
    *generic().values(),
    Machine("wide", "tractor", width_m=1.2, overall_width_m=1.4, hire_a_day=90.0),
    Machine("sturdy", "petrol", width_m=0.4, most_slope_deg=25.0, weight_kg=40.0),
]
FACTS = [column for column in schema.facts("zones") if column.words]
RATED = {"moss_rating": 6, "thatch_rating": 5}
MEASURED = {
    "moss_cover_pct": (0, 100), "thatch_mm": (0, 40), "moss_depth_mm": (0, 30),
    "bare_pct": (0, 60), "sun_hours_seen": (2, 10), "soil_ph": (4, 8), "cut_height_mm": (10, 60),
    "ground_area_m2": (5, 600), "slope_deg": (0, 30),
}  # fmt: skip
NEVER = {"ground_area_m2", "slope_deg"}  # measured of every zone
OWN = [
    {"leave": True}, {"turf_type": "cricket square"}, {"iron": "not on this site"},
    {"blades": "wide"}, {"operations": ("raking", "clearing")}, {"blades": "no such"},
]  # fmt: skip


def row(rng, number):
    """Return the facts of a zone, about half of them missing."""
    found = {"zone_id": f"z{number}", "moss_rating": None, "thatch_rating": None}
    for name, (low, high) in MEASURED.items():
        if name in NEVER or rng.random() < 0.3:
            found[name] = float(np.round(rng.uniform(low, high)))
    for name, classes in RATED.items():
        if rng.random() < 0.7:
            found[name] = int(rng.integers(classes))
    for column in FACTS:
        if rng.random() < 0.5:
            found[column.name] = str(rng.choice(column.words))
    if rng.random() < 0.3:
        found["sown_last"] = str(rng.choice(["2027-02-01", "2026-11-01", "2020-05-05", ""]))
    found["water_strip_from"] = str(rng.choice(["not set", "none mapped", "law"]))
    return found


def site(lawn, seed, zones=40):
    """Return zones with random facts and choices of every kind, in figures alone."""
    rng = np.random.default_rng(seed)
    table = lawn.zones(*(row(rng, number) for number in range(zones)))
    own = {f"z{number}": OWN[number] for number in range(len(OWN)) if rng.random() < 0.5}
    hand = [each for each in MACHINES if rng.random() < 0.7] or MACHINES
    cards = [
        [],
        [lawn.iron],
        [lawn.card(form="lawn sand", most_doses_a_year=2, least_days_between=28)],
        [lawn.card(seed_to_iron_days=28, country="DE")],
    ][int(rng.integers(4))]
    changes = [{}, {"postponed": "iron"}, {"blades_light": True}, {"blades": "scarifying rake"}]
    choices = lawn.choices(*cards, own=hand, zones=own, **changes[int(rng.integers(4))])
    return table, replace(choices, words=False)


def assert_same(one, other):
    """Assert that two tables say the same, whether in words or in categories."""
    assert list(one.columns) == list(other.columns)
    for name in one.columns.drop("geometry"):
        pd.testing.assert_series_equal(
            pd.Series(one[name].to_numpy()), pd.Series(other[name].to_numpy()), check_dtype=False
        )


@given(st.integers(0, 2**32))
@settings(max_examples=10)
def test_as_with_words(lawn, seed):
    zones, choices = site(lawn, seed)
    told = choose(zones, lawn.features(), replace(choices, words=True))
    assert_same(choose(zones, lawn.features(), choices), told.drop(columns=list(WORDS)))


def test_as_zone_by_zone(lawn):
    zones, choices = site(lawn, 7, zones=25)
    whole = choose(zones, lawn.features(), choices)
    told = replace(choices, words=True)
    each = [choose(zones.iloc[[place]], lawn.features(), told) for place in range(len(zones))]
    assert_same(whole, pd.concat(each).drop(columns=list(WORDS)))
    assert whole["verdict"].nunique() >= 4, "the sample is to hold work, none, and what is unknown"
    assert whole["blades_rule"].nunique() >= 4


def test_blades_weighed_without_a_word(lawn):
    """A petrol machine on the small lawns too, once it is there: as test_weighing has it."""
    own = [Machine("rake", "rake"), replace(MACHINES[-1], speed_km_h=3.0, field_efficiency=0.7)]
    zones, choices = site(lawn, 3)[0], lawn.choices(own=own, money={"hour_rate": 30.0})
    told = choose(zones, lawn.features(), choices, effort)
    assert "blades_by_cost" in set(told["blades_rule"])
    found = choose(zones, lawn.features(), replace(choices, words=False), effort)
    assert_same(found, told.drop(columns=list(WORDS)))


@given(st.integers(0, 2**32), st.integers(1, 39))
@settings(max_examples=5)
def test_neither_order_nor_cuts_matter(lawn, seed, cut):
    zones, choices = site(lawn, seed)
    whole = choose(zones, lawn.features(), choices)
    mixed = zones.iloc[np.random.default_rng(seed).permutation(len(zones))]
    parts = [choose(part, lawn.features(), choices) for part in (mixed[:cut], mixed[cut:])]
    assert_same(whole, pd.concat(parts).loc[zones.index])


def test_facts_as_categories_and_rows_by_number(lawn):
    zones, choices = site(lawn, 11)
    choices = replace(choices, by_zone={})  # which go by names
    text = [column.name for column in schema.facts("zones") if column.dtype == "object"]
    text = [name for name in (*text, "water_strip_from") if name in zones]
    bulk = zones.astype(dict.fromkeys(text, "category")).reset_index(drop=True)
    found = choose(bulk, lawn.features(), choices)
    added = found.columns.difference(zones.columns)
    assert_same(found[["geometry", *added]],
         choose(zones, lawn.features(), choices)[["geometry", *added]])  # fmt: skip


def test_nothing_known_of_any_zone(lawn):
    zones = lawn.zones(*({"moss_rating": None, "thatch_rating": None} for _ in range(4)))
    found = choose(zones, lawn.features(), replace(lawn.choices(lawn.iron), words=False))
    assert set(found["verdict"]) == {"not rated"}
    assert set(found["blades"]) == {""}


def test_no_zone_at_all(lawn):
    none = lawn.zones({}).iloc[:0]
    assert choose(none, lawn.features(), replace(lawn.choices(lawn.iron), words=False)).empty


def test_a_turf_type_that_nobody_knows_is_a_fault(lawn):
    zones = lawn.zones({"turf_type": "moon lawn"})
    with pytest.raises(LookupError, match="moon lawn"):
        choose(zones, lawn.features(), lawn.choices())
