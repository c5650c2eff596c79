"""What an agreed plan rests on has words, each of it, so that no change goes unsaid."""

from __future__ import annotations

import dataclasses
import datetime as dt

from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.issue import inputs_of
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.said import INPUTS
from lawnmap.jobs.start import start

TODAY = dt.date(2026, 8, 3)


def test_every_input_of_an_issued_plan_is_named(tmp_path):
    start(tmp_path / "garden", sample=True)
    opened = open_site(tmp_path / "garden")
    found = choices(opened, depot=None, personal=tmp_path, today=TODAY)
    made = plan(opened.site, found, calendar(opened), today=TODAY, setting_out=False)
    lit = made.zones.assign(sun_source="worked out")
    made = dataclasses.replace(made, zones=lit)
    inputs = inputs_of(made, opened.folder, audience="client", units="metric", survey="any")
    assert set(inputs) == set(INPUTS)
