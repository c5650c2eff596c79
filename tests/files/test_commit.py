import errno
import os
import stat
from pathlib import Path

import pytest

from lawnmap.errors import Busy, UsageProblem, WriteFailed
from lawnmap.files.commit import commit, move, sweep, temp_of, write_failed
from lawnmap.files.disk import Disk
from tests.disks import Failing, Recording, Without
from tests.power_cut import Model, cuts, dropping

OLD, NEW = b"old\n" * 500, b"new\n" * 700


@pytest.fixture
def target(tmp_path):
    path = tmp_path / "map.html"
    path.write_bytes(OLD)
    return path


def left(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_new_file_gets_the_mode_of_any_new_file(tmp_path):
    plain = tmp_path / "plain"
    plain.write_bytes(b"")
    assert commit(tmp_path / "a.csv", NEW, force=False) == ()
    assert (tmp_path / "a.csv").read_bytes() == NEW
    assert (tmp_path / "a.csv").stat().st_mode == plain.stat().st_mode
    assert left(tmp_path) == ["a.csv", "plain"]


def test_an_empty_file_can_be_written(tmp_path):
    commit(tmp_path / "empty", b"", force=False)
    assert (tmp_path / "empty").read_bytes() == b""


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_the_mode_is_kept(target, mode):
    target.chmod(mode)
    commit(target, NEW, force=True)
    assert stat.S_IMODE(target.stat().st_mode) == mode
    assert target.read_bytes() == NEW


def test_a_file_that_is_there_needs_force(target):
    with pytest.raises(UsageProblem, match="--force") as caught:
        commit(target, NEW, force=False)
    assert caught.value.exit_code == 2
    assert target.read_bytes() == OLD
    assert left(target.parent) == ["map.html"]


def test_a_link_is_followed_and_stays(tmp_path, target):
    (tmp_path / "elsewhere").mkdir()
    link = tmp_path / "elsewhere" / "link.html"
    link.symlink_to(target)
    commit(link, NEW, force=True)
    assert link.is_symlink()
    assert target.read_bytes() == NEW
    assert left(link.parent) == ["link.html"]


def test_a_link_to_nothing_yet_makes_its_target(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path / "later")
    commit(tmp_path / "link", NEW, force=False)
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "later").read_bytes() == NEW


def test_a_loop_of_links_is_refused(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    with pytest.raises(WriteFailed):
        commit(tmp_path / "a", NEW, force=True)
    with pytest.raises(WriteFailed):
        sweep(tmp_path / "a")


@pytest.mark.parametrize("make", [lambda path: path.mkdir(), os.mkfifo])
def test_only_ordinary_files_are_replaced(tmp_path, make):
    make(tmp_path / "there")
    before = (tmp_path / "there").lstat()
    with pytest.raises(WriteFailed, match=r"a folder|ordinary"):
        commit(tmp_path / "there", NEW, force=True)
    assert (tmp_path / "there").lstat() == before


def test_a_read_only_file_is_not_replaced(target):
    class Ordinary(Disk):
        """To the owner of the machine every file is writable; to this user none is."""

        def do(self, call, /, *args, **kwargs):
            return False if call is os.access else super().do(call, *args, **kwargs)

    with pytest.raises(WriteFailed, match="read-only"):
        commit(target, NEW, force=True, disk=Ordinary())
    assert target.read_bytes() == OLD


def test_a_missing_folder_is_told(tmp_path):
    with pytest.raises(WriteFailed, match="folder does not exist") as caught:
        commit(tmp_path / "none" / "a.csv", NEW, force=False)
    assert caught.value.exit_code == 5


def test_a_temp_file_in_the_way_is_not_written_into(target):
    outside = target.parent / "outside"
    outside.write_bytes(b"outside")
    temp_of(target).symlink_to(outside)
    with pytest.raises(Busy, match=r"\.map\.html\.tmp") as caught:
        commit(target, NEW, force=True)
    assert caught.value.exit_code == 6
    assert caught.value.file == "map.html"
    assert outside.read_bytes() == b"outside"
    assert target.read_bytes() == OLD
    sweep(target)
    assert outside.read_bytes() == b"outside"
    commit(target, NEW, force=True)
    assert target.read_bytes() == NEW


@pytest.mark.parametrize("for_good", [False, True])
def test_every_operation_fails(tmp_path, for_good):
    failed = []
    for number in range(1, 100):
        path = tmp_path / f"{for_good}-{number}"
        path.write_bytes(OLD)
        disk = Failing(number, for_good=for_good)
        told = None
        try:
            warnings = commit(path, NEW, force=True, disk=disk)
        except WriteFailed as error:
            told = error
        if told:
            assert path.read_bytes() == OLD
            assert "Nothing was changed" in str(told)
            assert told.exit_code == 5
        else:
            assert path.read_bytes() == NEW
            if not disk.failed:
                break
            assert "did not confirm" in warnings[0]
        failed.append(disk.failed)
        assert for_good or not temp_of(path).exists()
        temp_of(path).unlink(missing_ok=True)
    assert failed == [
        "resolve", "stat", "access", "open", "fchmod", "write", "fsync", "close", "replace",
        "open", "fsync",
    ]  # fmt: skip


def test_a_full_disk_is_told_with_a_remedy(target):
    disk = Failing(6, error=errno.ENOSPC)
    with pytest.raises(WriteFailed, match="Make room"):
        commit(target, NEW, force=True, disk=disk)
    assert disk.failed == "write"
    assert left(target.parent) == ["map.html"]


def test_a_disk_that_takes_little_at_a_time(target):
    class Slow(Disk):
        def do(self, call, /, *args, **kwargs):
            if call is os.write:
                return os.write(args[0], args[1][:100])
            return super().do(call, *args, **kwargs)

    commit(target, NEW, force=True, disk=Slow())
    assert target.read_bytes() == NEW


def test_an_interrupt_leaves_nothing_behind(target):
    class Interrupted(Disk):
        def do(self, call, /, *args, **kwargs):
            if call is os.fsync:
                raise KeyboardInterrupt
            return super().do(call, *args, **kwargs)

    with pytest.raises(KeyboardInterrupt):
        commit(target, NEW, force=True, disk=Interrupted())
    assert target.read_bytes() == OLD
    assert left(target.parent) == ["map.html"]


def test_an_unknown_error_has_a_remedy_too():
    assert "try again" in str(write_failed(temp_of(Path("a")), OSError("?")))


def record(target):
    before = Model.of(target.parent)
    disk = Recording()
    commit(target, NEW, force=True, disk=disk)
    disk.acknowledge(1)
    target.write_bytes(OLD)
    return before, disk.calls


def faults(before, calls, target):
    """Return the states after a power cut that break a promise, and how many states there are."""
    wrong, count = 0, 0
    for acknowledged, files, _ in cuts(before, calls):
        count += 1
        wanted = {NEW} if acknowledged else {OLD, NEW}
        wrong += files.get(target) not in wanted
    return wrong, count


def test_no_power_cut_damages_or_undoes(target):
    wrong, count = faults(*record(target), target)
    assert wrong == 0
    assert count >= 7  # before; temp empty, cut, zero, whole; renamed; both names late


def test_every_sync_is_needed(target):
    before, calls = record(target)
    syncs = [number for number, call in enumerate(calls) if call.name == "fsync"]
    assert len(syncs) == 2
    for number in syncs:
        wrong, _ = faults(before, dropping(calls, {number}), target)
        assert wrong > 0


class Windows(Disk):
    """Somebody has the file open for so many attempts; folders cannot be opened."""

    windows = True

    def __init__(self, attempts, number=32):
        self.attempts, self.number = attempts, number
        self.slept = 0.0

    def do(self, call, /, *args, **kwargs):
        if call.__name__ == "sleep":
            self.slept += args[0]
            return None
        if call is os.replace and self.attempts:
            self.attempts -= 1
            error = PermissionError(errno.EACCES, "in use")
            error.winerror = self.number
            raise error
        assert not (call is os.open and Path(args[0]).is_dir())
        return super().do(call, *args, **kwargs)


@pytest.mark.parametrize("attempts", [0, 1, 7])
def test_windows_waits_while_a_file_is_open(target, attempts):
    disk = Windows(attempts)
    assert commit(target, NEW, force=True, disk=disk) == ()
    assert target.read_bytes() == NEW
    assert disk.slept == pytest.approx(0.1 * attempts)


def test_windows_gives_up_after_two_seconds(target):
    disk = Windows(10_000)
    with pytest.raises(WriteFailed, match="could not be written"):
        commit(target, NEW, force=True, disk=disk)
    assert 1.9 < disk.slept < 2.1
    assert target.read_bytes() == OLD
    assert left(target.parent) == ["map.html"]


def test_windows_does_not_wait_for_other_errors(target):
    disk = Windows(1, number=19)  # ERROR_WRITE_PROTECT
    with pytest.raises(WriteFailed):
        commit(target, NEW, force=True, disk=disk)
    assert disk.slept == 0


def test_elsewhere_a_refused_rename_is_final(target):
    with pytest.raises(PermissionError):
        move(target, target.parent / "b", disk=Without("replace", error=errno.EACCES))
    assert target.read_bytes() == OLD


def test_elsewhere_nobody_waits_whatever_the_number(target):
    class Elsewhere(Windows):
        windows = False

    disk = Elsewhere(1)
    with pytest.raises(WriteFailed):
        commit(target, NEW, force=True, disk=disk)
    assert disk.slept == 0
    assert target.read_bytes() == OLD
