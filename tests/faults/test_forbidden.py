"""Full disks, limits, folders and files without the right to write, links and modes: every writer.

As an ordinary user, also where the tests run as the owner of the machine.
"""

import os
import subprocess
import tempfile

import pytest

from lawnmap.errors import WriteFailed
from lawnmap.exports.gis import geopackage
from lawnmap.files import child
from tests.faults.child import PLACES, told_by

REMEDY = {
    "size": "raise the limit",
    "folder": "right to write",
    "file": "read-only",
}


def test_what_is_forbidden_is_told_and_changes_nothing(memory, figure):
    memory.chmod(0o777)
    told = told_by("forbidden", memory / "forbidden")
    refused = 0
    for name, found in told.items():
        condition = name.rpartition(", ")[2]
        assert found["torn"] == [], (name, found)
        assert found["left"] == [], (name, found)
        if condition in REMEDY:
            refused += 1
            assert found["code"] == 5, (name, found)
            assert REMEDY[condition] in found["told"], (name, found)
            assert found["again"], (name, found)
            assert found["state"] == "old" or name.startswith("sites: p"), (name, found)
        else:  # the refusals are due to what was taken away, and to nothing else
            assert (found["code"], found["state"]) == (0, "new"), (name, found)
    links = [found["stays"] for name, found in told.items() if name.endswith(", link")]
    assert all(links)
    assert refused >= 2 * len(PLACES)
    figure(
        12,
        f"Every writer: {refused} of {refused} refusals of {len(PLACES)} writers (limit on size, "
        f"folder and file that may not be written) with exit code 5 and nothing changed; "
        f"{len(links)} of {len(links)} links and modes kept",
    )


def test_a_full_disk(tmp_path, figure):
    place = tmp_path / "small"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", place], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("nobody but the owner of the machine may mount")
    try:
        told = told_by("full", place)
    finally:
        subprocess.run(["umount", place], check=True)
    assert told.pop("sites: partitions")["state"] == "new"  # what goes first makes room
    for name, found in told.items():
        assert found["code"] == 5, (name, found)
        assert "Make room" in found["told"], (name, found)
        assert (found["torn"], found["left"]) == ([], []), (name, found)
        assert found["again"], (name, found)
    assert len(told) == len(PLACES) - 1
    figure(12, f"Every writer: full disk told by {len(told)} of {len(told)} writers, 0 half files")


def test_there_is_a_user_without_rights():
    """The test above means something: nobody's id is not ours."""
    assert os.getuid() != 65534


def _nowhere(tmp_path, monkeypatch):
    """Let the system's folder for what passes be one that is not there."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "nowhere"))


def test_no_room_for_a_guarded_child_is_not_the_inputs_fault(tmp_path, monkeypatch):
    _nowhere(tmp_path, monkeypatch)
    with pytest.raises(WriteFailed, match="temporary folder: could not be written") as caught:
        child.run("lawnmap.files.platform:network_lock", {"a.bin": b"a"})
    assert caught.value.exit_code == 5
    assert str(tmp_path) not in str(caught.value)


def test_no_room_for_a_geopackage_is_told(tmp_path, monkeypatch):
    _nowhere(tmp_path, monkeypatch)
    monkeypatch.setattr(geopackage, "refuse_without_place", lambda paper: None)
    with pytest.raises(WriteFailed, match="temporary folder: could not be written") as caught:
        geopackage.render(None)
    assert caught.value.exit_code == 5
