"""The job: cores there count, places go to the phone, and a wrong zone is named."""

import datetime as dt
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.sampling import Asked, Layout, sampling_of, waypoints

SAMPLE = Path(__file__).parents[2] / "sample_geo" / "site"
TODAY = dt.date(2026, 8, 1)


@pytest.fixture(scope="module")
def opened():
    found = open_site(SAMPLE)
    return found.site, choices(found, depot=None, personal=Path("nowhere"), today=TODAY)


def test_cores_on_the_site_are_not_asked_for_again(opened):
    reply = sampling_of(*opened, Asked(), Layout())
    table = reply.table.set_index("zone_id")
    assert (table.at["main", "taken"], table.at["main", "more"]) == (3, 2)
    assert (table.at["orchard", "taken"], table.at["orchard", "more"]) == (0, 5)
    assert len(reply.places) == table["more"].sum()


def test_only_the_zones_that_were_named(opened):
    reply = sampling_of(*opened, Asked(), Layout(), zones=["terrace"])
    assert set(reply.places["zone_id"]) == set(reply.table["zone_id"]) == {"terrace"}


def test_a_zone_that_is_not_there(opened):
    with pytest.raises(InputRefused, match="no zone terrasse") as caught:
        sampling_of(*opened, Asked(), Layout(), zones=["terrasse"])
    assert "front-west" in caught.value.remedy


def test_a_site_nowhere_on_earth_has_no_waypoints(opened):
    site, specification = opened
    reply = sampling_of(site.with_header(placed=False), specification, Asked(), Layout())
    assert len(reply.places) > 0  # a map can still show them
    with pytest.raises(InputRefused, match="no place on the earth"):
        waypoints(reply)
