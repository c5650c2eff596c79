import errno
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from lawnmap.errors import Busy, WriteFailed
from lawnmap.files import lock
from lawnmap.files.disk import Disk
from lawnmap.files.lock import locked
from tests.disks import Recording, Without

HOUSE = Path(__file__).parents[2]
HOLD = """
import sys, time
from pathlib import Path
from lawnmap.files.lock import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(60)
"""


@pytest.fixture
def path(tmp_path):
    return tmp_path / "site" / ".lawnmap" / "lock"


def holder(path):
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(path)], cwd=HOUSE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout.readline() == "held\n"
    return process


def end(process):
    process.kill()
    process.wait()
    process.stdout.close()


def test_one_at_a_time(path):
    second = locked(path, guards="front garden", wait_s=0.05)
    with locked(path), pytest.raises(Busy, match="front garden") as caught, second:
        pytest.fail("two holders")
    assert caught.value.exit_code == 6
    assert "Nothing was changed" in str(caught.value)
    with locked(path, wait_s=0):
        assert path.exists()


def test_the_lock_is_given_back_after_an_error(path):
    with pytest.raises(KeyError), locked(path):
        raise KeyError
    with locked(path, wait_s=0):
        assert path.exists()


def test_a_waiting_thread_gets_its_turn(path):
    turns = []

    def second():
        with locked(path):
            turns.append("second")

    with locked(path):
        thread = threading.Thread(target=second)
        thread.start()
        time.sleep(0.1)
        turns.append("first")
    thread.join(timeout=10)
    assert turns == ["first", "second"]


def test_a_killed_holder_gives_it_back_at_once(path):
    process = holder(path)
    with pytest.raises(Busy), locked(path, wait_s=0.05):
        pytest.fail("two holders")
    os.kill(process.pid, signal.SIGKILL)
    began = time.monotonic()
    with locked(path):
        waited = time.monotonic() - began
    end(process)
    assert waited < 1.0


def test_the_wait_is_bounded(path):
    process = holder(path)
    began = time.monotonic()
    try:
        with pytest.raises(Busy), locked(path):
            pytest.fail("two holders")
    finally:
        end(process)
    assert 4.9 < time.monotonic() - began < 15


def test_a_deleted_lock_file_does_not_make_two_holders(path):
    """Somebody may delete the folder between our opening the file and our locking it."""

    class Deleted(Recording):
        def do(self, call, /, *args, **kwargs):
            if call.__name__ == "lock_exclusive" and "lock_exclusive" not in self.names:
                path.unlink()
            return super().do(call, *args, **kwargs)

    disk = Deleted()
    with locked(path, disk=disk):
        assert disk.names.count("lock_exclusive") == 2
        with pytest.raises(Busy), locked(path, wait_s=0.05):
            pytest.fail("two holders")


def test_a_link_is_not_locked(path, tmp_path):
    path.parent.mkdir(parents=True)
    path.symlink_to(tmp_path / "outside")
    with pytest.raises(WriteFailed), locked(path):
        pytest.fail("a link was followed")
    assert not (tmp_path / "outside").exists()


def test_a_disk_without_locks_is_told(path):
    disk = Without("lock_exclusive", error=errno.ENOLCK)
    with pytest.raises(WriteFailed, match="cannot lock") as caught, locked(path, disk=disk):
        pytest.fail("not locked")
    assert caught.value.exit_code == 5


@pytest.mark.parametrize("name", ["makedirs", "open", "stat"])
def test_a_failing_disk_is_told(path, name):
    with pytest.raises(WriteFailed), locked(path, disk=Without(name, error=errno.EIO)):
        pytest.fail("not locked")
    with locked(path, wait_s=0):
        assert path.exists()


def test_a_failing_unlock_is_no_news(path):
    done = []
    with locked(path, disk=Without("unlock", error=errno.EIO)):
        done.append(True)
    with locked(path, wait_s=0):
        assert done == [True]


def test_windows_needs_no_second_look(path):
    class Windows(Disk):
        windows = True

    with locked(path, disk=Without("stat", disk=Windows(), error=errno.EIO)):
        held = path.exists()
    assert held is True


def test_the_lock_file_is_made_as_any_file_is_and_only_locked(path):
    disk = Recording()
    with locked(path, disk=disk):
        held = path.stat().st_size
    assert held == 0
    assert disk.names == ["makedirs", "open", "lock_exclusive", "stat", "unlock"]
    assert disk.calls[1].args[2] == 0o666
    wanted = os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC
    assert disk.calls[1].args[1] & wanted == wanted


def test_at_the_deadline_nobody_waits_on(path, monkeypatch):
    monkeypatch.setattr(lock.time, "monotonic", lambda: 1_000.0)
    monkeypatch.setattr(lock.time, "sleep", lambda _: pytest.fail("waits on"))
    with locked(path), pytest.raises(Busy), locked(path, wait_s=0):
        pytest.fail("two holders")


def test_so_long_is_waited_and_no_longer(path, monkeypatch):
    clock = [1_000.0]
    slept = []

    def sleep(seconds):
        slept.append(seconds)
        clock[0] += 0.5

    monkeypatch.setattr(lock.time, "monotonic", lambda: clock[0])
    monkeypatch.setattr(lock.time, "sleep", sleep)
    with locked(path), pytest.raises(Busy), locked(path):
        pytest.fail("two holders")
    assert slept == [0.01] * 10  # 5 s, looked at every 10 ms


def test_a_lock_that_was_not_had_is_closed(path):
    handles = []

    class Remembering(Recording):
        def do(self, call, /, *args, **kwargs):
            result = super().do(call, *args, **kwargs)
            if call is os.open:
                handles.append(result)
            return result

    with (
        locked(path),
        pytest.raises(Busy),
        locked(path, wait_s=0, disk=Remembering()),
    ):
        pytest.fail("two holders")
    with locked(path, disk=Remembering()):
        pass
    for handle in set(handles):
        with pytest.raises(OSError, match="Bad file"):
            os.fstat(handle)
    assert handles


def test_what_the_lock_guards_is_named_and_else_the_lock(path):
    for guards, told in (("front garden", "front garden"), ("", "lock")):
        with (
            pytest.raises(Busy) as caught,
            locked(path),
            locked(path, guards=guards, wait_s=0),
        ):
            pytest.fail("two holders")
        assert caught.value.file == told
