"""A season later: work on record from before the new survey is planned again where it is needed."""

import datetime as dt

from lawnmap.jobs.assess import assess
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.start import start
from lawnmap.jobs.survey import again, survey
from lawnmap.store import record
from lawnmap.store.folder import find

WORK = dt.date(2026, 9, 20)


def scarifying(path, today):
    opened = open_site(path)
    made = plan(
        opened.site,
        choices(opened, depot=None, personal=path / "nobody", today=today),
        calendar(opened),
        today=today,
    )
    steps = made.steps[made.steps["zone_id"].eq("terrace")].set_index("operation")
    return steps.loc["scarifying", "status"]


def test_last_seasons_work_is_not_counted_as_done_again(tmp_path):
    path = tmp_path / "garden"
    start(path, sample=True)
    survey(path, day=dt.date(2026, 9, 1))
    row = {"record_id": "r1", "zone_id": "terrace", "operation": "scarifying",
           "date": WORK.isoformat()}  # fmt: skip
    find(path).record.write_bytes(record.with_rows(record.read(find(path)), [row]))
    assert scarifying(path, dt.date(2026, 9, 25)) == "done"
    again(path, day=dt.date(2027, 8, 1))
    assess(path, {"terrace": {"moss_rating": 3, "thatch_mm": 16}})
    assert scarifying(path, dt.date(2027, 8, 2)) == "do"
    survey(path, day=dt.date(2027, 8, 3))
    assert scarifying(path, dt.date(2027, 8, 4)) == "do"
