"""Some of the zones, a column at a time."""

import numpy as np
import pandas as pd

from lawnmap.model import Specification
from lawnmap.treatments.chosen import Chosen

ZONES = pd.DataFrame(
    {"area": [1.0, 2.0, 3.0], "kind": ["a", None, "b"]},
    index=pd.Index(["x", "y", "z"], dtype=object),
)


def test_where_and_at_go_by_place():
    some = Chosen(ZONES).where(np.array([True, False, True]))
    assert (len(some), list(some.index), some.numbers("area").tolist()) == (2, ["x", "z"], [1, 3])
    twice = some.at(np.array([1, 1, 0]))
    assert list(twice.names("kind")) == ["b", "b", "a"]
    assert twice.table["area"].tolist() == [3, 3, 1]
    assert "kind" in twice
    assert "site_id" not in twice


def test_among_is_false_for_nothing():
    for dtype in ("object", "str", "category"):
        zones = Chosen(ZONES.astype({"kind": dtype}))
        assert zones.among("kind", "a", "c").tolist() == [True, False, False]
        assert zones.where(np.array([False, True, True])).among("kind", "b").tolist() == [
            False, True,
        ]  # fmt: skip


def test_only_zones_with_choices_of_their_own_are_asked_for():
    specification = Specification({"use": "verge"}, by_zone={"z": {"use": "pitch"}, "gone": {}})
    asked = []

    def agreed(zone_id):
        asked.append(zone_id)
        return specification.choice("use", zone_id) == "pitch"

    assert Chosen(ZONES).agree(specification, agreed).tolist() == [False, False, True]
    assert asked == ["", "z"]
    assert list(Chosen(ZONES).choice(specification, "use")) == ["verge", "verge", "pitch"]
    assert Chosen(ZONES).choice(Specification({}), "use") == ""
