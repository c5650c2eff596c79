"""What a crew's papers need comes back as it was."""

import pandas as pd
import pytest

from lawnmap import schema
from lawnmap.jobs.sites.crew import packed, stacked, unpacked
from tests.jobs.sites import gardens


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    folder = tmp_path_factory.mktemp("crew")
    gardens.depot(folder)
    return gardens.planned_alone(gardens.write(folder / "garden", 0, zones=2), folder)


def test_tables_come_back(plan):
    found = unpacked(packed(plan), "north/a")
    for name, table in (("steps", plan.steps), ("loads", plan.loads)):
        names = schema.names(name)
        assert list(found[name]) == ["site_id", *names]
        pd.testing.assert_frame_equal(
            found[name][names], table[names].reset_index(drop=True), check_dtype=False
        )
    assert list(found["zones"]["zone_id"]) == ["lawn-0", "lawn-1"]
    assert set(found["steps"]["site_id"]) == {"north/a"}


def test_sites_stand_under_one_another(plan):
    one, other = (unpacked(packed(plan), name) for name in "ab")
    both = stacked([one, other])
    assert len(both["steps"]) == 2 * len(plan.steps)
    assert list(both["zones"]["site_id"]) == ["a", "a", "b", "b"]
    assert stacked([]) == {}
