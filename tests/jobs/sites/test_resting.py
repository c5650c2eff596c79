"""Whatever a plan is worked out from changes its digest, and nothing else does."""

import datetime as dt
import os

import pytest

from lawnmap.jobs.sites import resting
from lawnmap.store.folder import Folder
from tests.jobs.sites import gardens

RUN = "run"
COUNTS = [
    "site.geojson",
    "specification.toml",
    "record.csv",
    "closed.csv",
    "weather.csv",
    "heights.csv",
    "surface.json",
    ".lawnmap/journal",
    ".lawnmap/cache/sun-0123456789ab.json",
    "issued/2026-03-01-0123456789ab/plan.json",
    "issued/2026-03-01-0123456789ab/files.json",
    "../depot/products.toml",
    "../depot/machines.toml",
    "../depot/calibration.csv",
]
COUNTS_NOT = [
    "photos/0123.webp",
    "surveys/2026-03-01.geojson",
    "replies/0123.json",
    "exports/map.html",
    ".lawnmap/backups/1",
    ".lawnmap/cache/other.json",
    "notes.txt",
]


@pytest.fixture
def garden(tmp_path):
    (tmp_path / "depot").mkdir()
    return gardens.write(tmp_path / "garden", 1)


def digest(garden, run=RUN):
    return resting.of_site(Folder(garden), garden.parent / "depot", run)


def changed(garden, name):
    before = digest(garden)
    path = garden / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(path.read_bytes() + b" " if path.exists() else b"new")
    return digest(garden) != before


@pytest.mark.parametrize("name", COUNTS)
def test_what_a_plan_rests_on(garden, name):
    assert changed(garden, name)
    assert changed(garden, name)  # its content counts, not only that it is there


@pytest.mark.parametrize("name", COUNTS_NOT)
def test_what_it_does_not_rest_on(garden, name):
    assert not changed(garden, name)


def test_only_the_plan_that_was_issued_last_promises_days(garden):
    assert changed(garden, "issued/2026-04-01-0123456789ab/plan.json")
    assert not changed(garden, "issued/2026-03-01-0123456789ab/plan.json")


def test_the_run_counts(garden):
    assert digest(garden) != digest(garden, "other")
    day = dt.date(2026, 8, 20)
    assert resting.of_run(day) == resting.of_run(day)
    assert resting.of_run(day) != resting.of_run(day.replace(day=21))
    assert resting.of_run(day) != resting.of_run(day, "choice")


def test_which_files_there_are_is_not_mixed_up(garden):
    (garden / "closed.csv").write_bytes(b"same")
    one = digest(garden)
    (garden / "closed.csv").rename(garden / "weather.csv")
    assert digest(garden) != one


def test_a_pipe_in_place_of_a_file_holds_nobody_up(garden):
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes with a name here")
    (garden / "site.geojson").unlink()
    os.mkfifo(garden / "site.geojson")
    assert len(digest(garden)) == resting.LENGTH
