"""The log of faults: every operation fails, and nothing that was noted before is lost by it."""

import itertools

import pytest

from lawnmap.cli import log
from tests.disks import Failing
from tests.faults.writers import on

NOTED = b"2027-03-01 10:00:00Z lawnmap plan: ValueError\n"


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(log, "folder", lambda: tmp_path / "log")
    return tmp_path / "log"


def noted(folder):
    return b"".join(path.read_bytes() for path in sorted(folder.glob("*"), reverse=True))


@pytest.mark.parametrize("for_good", [False, True])
@pytest.mark.parametrize("full", [False, True])
def test_a_failing_disk_is_told_and_loses_nothing(folder, capfd, figure, for_good, full):
    folder.mkdir()
    failed = 0
    for number in itertools.count(1):
        (folder / "lawnmap.log.1").write_bytes(b"older\n")
        (folder / "lawnmap.log").write_bytes(NOTED * (log.SIZE // len(NOTED) + 1 if full else 1))
        before = noted(folder)
        disk = Failing(number, for_good=for_good)
        with on(disk):
            path = log.write_frames("plan", ["ZeroDivisionError"])
        if not disk.failed:
            break
        failed += 1
        assert path is None
        assert noted(folder).startswith(before)
        for each in folder.iterdir():
            each.unlink()
    assert path == folder / "lawnmap.log"
    assert noted(folder).startswith(before)
    assert path.read_bytes().endswith(b" plan: ZeroDivisionError\n")
    assert path.stat().st_mode & 0o777 == 0o600
    assert capfd.readouterr().err == ""  # not a line: the fault itself is told already
    assert failed >= 5
    figure(10, f"The log of faults: {failed} failing operations, 0 lines lost, all told")


def test_a_full_log_gets_a_number_and_five_are_kept(folder):
    for number in range(7):
        log.write_frames("plan", [f"Fault{number}"])
        (folder / "lawnmap.log").write_bytes(b"%d" % number * log.SIZE)
    log.write_frames("plan", ["Last"])
    there = sorted(path.name for path in folder.iterdir())
    assert there == ["lawnmap.log", *(f"lawnmap.log.{number}" for number in range(1, 5))]
    first = [(folder / name).read_bytes()[:1] for name in there[1:]]
    assert first == [b"6", b"5", b"4", b"3"]


def test_a_link_in_the_place_of_the_log_is_not_followed(folder, tmp_path):
    folder.mkdir()
    (tmp_path / "mine").write_bytes(b"mine")
    (folder / "lawnmap.log").symlink_to(tmp_path / "mine")
    assert log.write_frames("plan", ["Fault"]) is None
    assert (tmp_path / "mine").read_bytes() == b"mine"
