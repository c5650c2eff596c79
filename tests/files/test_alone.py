"""A write that no site's lock guards: swept, one at a time, and whole where folders do not lock."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from lawnmap.errors import Busy, UsageProblem, WriteFailed
from lawnmap.files.alone import held, put
from lawnmap.files.commit import temp_of
from lawnmap.files.disk import DISK, Disk
from tests.disks import Recording, Without

HOLD = """
import sys, time
from pathlib import Path
from lawnmap.files.alone import held
from lawnmap.files.disk import DISK
with held(Path(sys.argv[1]), 5.0, DISK) as ours:
    print(ours, flush=True)
    time.sleep(60)
"""


@pytest.fixture
def target(tmp_path):
    path = tmp_path / "map.html"
    path.write_bytes(b"old")
    return path


def names(folder):
    return sorted(each.name for each in folder.iterdir())


def test_what_a_killed_writer_left_is_swept(target):
    temp_of(target).write_bytes(b"half")
    assert put(target, b"new", force=True) == ()
    assert target.read_bytes() == b"new"
    assert names(target.parent) == ["map.html"]


def test_behind_a_link_it_is_swept_where_it_lies(target, tmp_path):
    (tmp_path / "desk").mkdir()
    link = tmp_path / "desk" / "link.html"
    link.symlink_to(target)
    temp_of(target).write_bytes(b"half")
    put(link, b"new", force=True)
    assert target.read_bytes() == b"new"
    assert (names(link.parent), names(tmp_path)) == (["link.html"], ["desk", "map.html"])


def test_what_is_there_needs_force_and_a_folder_must_be_there(target):
    with pytest.raises(UsageProblem, match="--force"):
        put(target, b"new", force=False)
    assert target.read_bytes() == b"old"
    with pytest.raises(WriteFailed, match="folder does not exist"):
        put(target.parent / "nowhere" / "map.html", b"new", force=True)


def test_a_loop_of_links_is_told(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    with pytest.raises(WriteFailed):
        put(tmp_path / "a", b"new", force=True)


def test_another_writer_is_waited_for_and_then_told(target):
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(target)],
        cwd=Path(__file__).parents[2],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout.readline() == "True\n"
        temp_of(target).write_bytes(b"of the other")
        with pytest.raises(Busy, match="another lawnmap") as caught:
            put(target, b"new", force=True, wait_s=0.05)
        assert (caught.value.exit_code, caught.value.file) == (6, "map.html")
        assert temp_of(target).read_bytes() == b"of the other"
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
    put(target, b"new", force=True, wait_s=5)
    assert target.read_bytes() == b"new"


class OnWindows(Recording):
    windows = True


@pytest.mark.parametrize(
    "disk",
    [OnWindows(), Without("lock_exclusive"), Without("resolve", Disk())],
    ids=["windows", "no lock", "no resolve"],
)
def test_without_locks_of_folders_what_is_left_is_told(target, disk):
    with held(target, 0.0, disk) as ours:
        assert not ours
    if not isinstance(disk, Without) or disk.name != "resolve":
        put(target, b"new", force=True, disk=disk)
        assert target.read_bytes() == b"new"
        temp_of(target).write_bytes(b"half")
        with pytest.raises(Busy, match="delete"):
            put(target, b"newer", force=True, disk=disk)


def test_a_folder_is_free_after_a_failure(target):
    with pytest.raises(KeyError), held(target, 0.0, DISK):
        raise KeyError
    with held(target, 0.0, DISK) as ours:
        assert ours
    first = os.open(os.devnull, os.O_RDONLY)
    os.close(first)
    for _ in range(5):
        put(target, b"new", force=True)
    again = os.open(os.devnull, os.O_RDONLY)
    os.close(again)
    assert again == first  # the lowest number that is free: none was kept open
