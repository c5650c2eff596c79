"""The record against the plan that was issued last, on the sample site."""

import datetime as dt

import pytest

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.jobs.applied import applied
from lawnmap.jobs.issue import issue
from lawnmap.jobs.start import start
from lawnmap.store import record
from lawnmap.store.folder import find
from tests.jobs.test_plan import planned

TODAY = dt.date(2026, 9, 14)


@pytest.fixture(scope="module")
def garden(tmp_path_factory):
    path = tmp_path_factory.mktemp("site") / "garden"
    start(path, sample=True)
    issue(find(path), planned(path, today=TODAY), audience="crew", name="Crew")
    return path


def test_nothing_is_recorded_yet(garden):
    reply = applied(garden)
    assert reply.day == "2026-09-14"
    assert reply.names["terrace"] == "Round the terrace"
    assert set(reply.table["applied_times"]) == {0}
    assert reply.table["said"].str.endswith("not recorded").all()


def test_what_was_put_on(garden):
    table = applied(garden).table
    iron = table[(table["operation"] == "iron_soluble") & (table["zone_id"] == "terrace")].iloc[0]
    row = {"zone_id": "terrace", "operation": "iron_soluble", "date": "2026-09-20",
           "amount": f"{iron['planned'] * 1.1:.1f}", "unit": "g", "area_m2": "278"}  # fmt: skip
    folder = find(garden)
    folder.record.write_bytes(record.with_rows(record.read(folder), [row]))
    table = applied(garden).table
    found = table[(table["operation"] == "iron_soluble") & (table["zone_id"] == "terrace")].iloc[0]
    assert found["difference"] == pytest.approx(iron["planned"] * 0.1, abs=0.1)
    assert found["said"].endswith("(10 %) more than planned")


def test_without_an_issued_plan_there_is_nothing_to_hold_it_against(tmp_path):
    start(tmp_path / "new", sample=True)
    with pytest.raises(InputRefused, match="no plan has been issued"):
        applied(tmp_path / "new")


def test_a_damaged_plan_is_named(garden, tmp_path):
    start(tmp_path / "other", sample=True)
    issued, _ = issue(
        find(tmp_path / "other"), planned(garden, today=TODAY), audience="crew", name="Crew"
    )
    (issued.path / "plan.json").write_text("[]", encoding="utf-8")
    with pytest.raises(SiteDamaged, match="not as it was handed over"):
        applied(tmp_path / "other")
    (issued.path / "files.json").unlink()  # as of a plan that was issued before there was a list
    with pytest.raises(SiteDamaged, match="has no table steps"):
        applied(tmp_path / "other")
    (issued.path / "plan.json").write_text("{", encoding="utf-8")
    with pytest.raises(SiteDamaged, match="is not JSON"):
        applied(tmp_path / "other")
