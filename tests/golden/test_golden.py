"""Every example of a plan and of a card gives what it gave before, to the last bit.

Made again by ``python -m tests.golden.examples``: after a change that is meant, and only then.
"""

import json

import numpy as np
import pytest

from lawnmap.jobs.reading import Reading
from tests.golden import examples


def kept(name):
    return json.loads((examples.HERE / f"{name}.json").read_text("utf-8"))


def changed(old, new):
    """Return what differs, in words: the summary's entries, and the parts by name."""
    said = [
        f"{name}: {old['summary'].get(name)} before, {new['summary'].get(name)} now"
        for name in sorted({*old["summary"], *new["summary"]})
        if old["summary"].get(name) != new["summary"].get(name)
    ]
    names = sorted({*old["parts"], *new["parts"]})
    return [*said, *(name for name in names if old["parts"].get(name) != new["parts"].get(name))]


@pytest.mark.parametrize("name", examples.PLANS)
def test_a_plan_gives_what_it_gave(name, figure):
    other = changed(kept("plans")[name], examples.plan(name))
    figure(28, f"{len(examples.PLANS)} examples of site plans: {len(other)} changed")
    assert other == []


def test_cards_give_what_they_gave(figure):
    old, new = kept("cards"), examples.cards()
    told = {name: changed(old[name], each) for name, each in new.items() if name in old}
    other = {name: each for name, each in told.items() if each}
    values = sum(len(each["parts"]) for each in new.values())
    figure(28, f"{len(new)} examples of cards and choices, {values} values: {len(other)} changed")
    assert other == {}
    assert set(old) == set(new)


def test_nothing_is_left_out():
    assert set(kept("plans")) == set(examples.PLANS)
    files = {file for file, _ in examples.PLANS.values()}
    controls = {how["control"] for _, how in examples.PLANS.values() if "control" in how}
    there = {path.name for path in (examples.SAMPLES / "plans").iterdir() if path.suffix != ".py"}
    read = {file.removeprefix("plans/") for file in files if file.startswith("plans/")} | controls
    # Each of these is a mistake on purpose, or given to a site with a picture; docs/plans shows it.
    assert there - read == {"control_slip.csv", "control_three.csv", "corners.csv"}
    for name in ("plan.geojson", "plan.kml", "plan.kmz", "plan.gpkg", "plan.parquet", "plan.gpx"):
        assert name in files
    kinds = [name for name, each in kept("plans").items() if "refused" in each["summary"]]
    assert kinds == ["OSM"]  # it holds several layers, and asks which


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (0.1 + 0.2, 0.3),
        (np.array([1.0, 2.0]), np.array([1.0, np.nextafter(2.0, 3.0)])),
        ([1, 2], [2, 1]),
        ({"a": None}, {}),
        (Reading(crs="local"), Reading(crs="EPSG:4326")),
        ("1", 1),
        (b"a", b"b"),
    ],
)
def test_a_digest_sees_the_last_bit(one, other):
    assert examples.digest(one) == examples.digest(one)
    assert examples.digest(one) != examples.digest(other)


def test_a_change_is_told_by_name():
    old = {"summary": {"zones_m2": 12.0, "notes": 1}, "parts": {"site: shapes": "a", "notes": "b"}}
    new = {"summary": {"zones_m2": 12.5, "notes": 1}, "parts": {"site: shapes": "c", "notes": "b"}}
    assert changed(old, new) == ["zones_m2: 12.0 before, 12.5 now", "site: shapes"]
    assert changed(old, {"summary": {"refused": "x"}, "parts": {}})[-1] == "site: shapes"
