"""The table of days: what may not be done as planned says so."""

import pytest

from lawnmap.exports.map.work_days import work_days
from lawnmap.exports.parts.days import days_table, span
from tests.exports.dated import dated


@pytest.mark.parametrize("status", ["for pricing only", "not set: do not apply"])
def test_work_that_may_not_be_done_is_marked_and_is_no_day_of_work(status):
    rows = [
        ("z0", 1, "mowing", "do", "2027-09-06", "", 1, {}),
        ("z1", 1, "feeding", status, "2027-09-07", "", 1, {}),
    ]
    given = dated(rows)
    mowing, feeding = days_table(given).split("<tr>")[2:]
    assert "badge" not in mowing
    assert f'">{status.capitalize()}</strong>' in feeding or f'">{status}</strong>' in feeding
    assert span(given) == "Monday 6 September 2027"
    assert [each["at"] for each in work_days(given)["days"]] == ["2027-09-06"]
