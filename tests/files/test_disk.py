"""The one door to the system: what it asks of the system, call by call."""

import errno
import os
import stat

import pytest

from lawnmap.files.alone import put
from lawnmap.files.disk import DISK, FOLDER, NEW_FILE, OWN_LOG, Disk
from tests.disks import Recording, Without

posix = pytest.mark.skipif(os.name != "posix", reason="needs modes and links")


def mode_of(path):
    return stat.S_IMODE(path.stat().st_mode)


def test_a_new_file_has_its_content_and_the_usual_rights(tmp_path):
    disk = Recording()
    disk.write_new(tmp_path / "new", b"12345")
    assert (tmp_path / "new").read_bytes() == b"12345"
    (tmp_path / "usual").touch()
    assert mode_of(tmp_path / "new") == mode_of(tmp_path / "usual")
    assert disk.names == ["open", "write", "fsync", "close"]
    assert disk.calls[0].args == (tmp_path / "new", NEW_FILE, 0o666)


@posix
@pytest.mark.parametrize("mode", [0o640, 0o600, 0o666, 0o444])
def test_a_new_file_can_have_rights_of_its_own(tmp_path, mode):
    disk = Recording()
    disk.write_new(tmp_path / "new", b"1", mode=mode)
    assert mode_of(tmp_path / "new") == mode
    assert disk.names == ["open", "fchmod", "write", "fsync", "close"]
    assert disk.calls[0].args[2] == 0o600  # nobody else looks in before the rights are set


def test_where_there_is_no_fchmod_rights_are_left(tmp_path, monkeypatch):
    monkeypatch.delattr(os, "fchmod", raising=False)
    disk = Recording()
    disk.write_new(tmp_path / "new", b"1", mode=0o640)
    disk.append(tmp_path / "log", b"1")
    assert disk.names == ["open", "write", "fsync", "close", "open", "write", "close"]


def test_what_is_there_is_not_written_over(tmp_path):
    (tmp_path / "there").write_bytes(b"old")
    with pytest.raises(FileExistsError):
        DISK.write_new(tmp_path / "there", b"new")
    assert (tmp_path / "there").read_bytes() == b"old"


@posix
def test_no_link_is_followed(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path / "outside")
    with pytest.raises(FileExistsError):
        DISK.write_new(tmp_path / "link", b"new")
    with pytest.raises(OSError, match="symbolic links"):
        DISK.append(tmp_path / "link", b"new")
    assert not (tmp_path / "outside").exists()


@pytest.mark.parametrize("name", ["write", "fsync", "close"])
def test_a_file_that_failed_is_taken_away(tmp_path, name):
    disk = Without(name, error=errno.EIO)
    with pytest.raises(OSError, match=os.strerror(errno.EIO)):
        disk.write_new(tmp_path / "new", b"1")
    assert list(tmp_path.iterdir()) == []


def test_the_first_failure_is_the_news(tmp_path):
    full = Without("write", error=errno.ENOSPC)
    disk = Without("unlink", disk=full, error=errno.EIO)
    with pytest.raises(OSError, match=os.strerror(errno.ENOSPC)):
        disk.write_new(tmp_path / "new", b"12")
    assert (tmp_path / "new").read_bytes() == b""  # it could not be taken away


@posix
def test_a_log_is_added_to_and_is_its_owner_s(tmp_path):
    log = tmp_path / "log"
    log.write_bytes(b"one\n")
    log.chmod(0o644)
    disk = Recording()
    disk.append(log, b"two\n")
    assert log.read_bytes() == b"one\ntwo\n"
    assert mode_of(log) == 0o600
    assert disk.names == ["open", "fchmod", "write", "close"]
    assert disk.calls[0].args == (log, OWN_LOG, 0o600)


def test_a_log_is_made_when_there_is_none(tmp_path):
    DISK.append(tmp_path / "log", b"one\n")
    assert (tmp_path / "log").read_bytes() == b"one\n"


class Slow(Disk):
    """Takes two bytes at a time."""

    def do(self, call, /, *args, **kwargs):
        if call is os.write:
            return os.write(args[0], args[1][:2])
        return super().do(call, *args, **kwargs)


def test_a_disk_that_takes_little_at_a_time_gets_it_all(tmp_path):
    Slow().write_new(tmp_path / "new", b"12345")
    Slow().append(tmp_path / "new", b"678")
    assert (tmp_path / "new").read_bytes() == b"12345678"


@posix
def test_the_system_s_own_marks_of_a_file():
    """open(2): exclusive and new; nothing followed, nothing inherited by a child."""
    assert NEW_FILE & (os.O_EXCL | os.O_CREAT | os.O_WRONLY) == os.O_EXCL | os.O_CREAT | os.O_WRONLY
    assert OWN_LOG & (os.O_APPEND | os.O_CREAT) == os.O_APPEND | os.O_CREAT
    assert not OWN_LOG & (os.O_EXCL | os.O_TRUNC)
    for flags in (NEW_FILE, OWN_LOG):
        assert flags & os.O_NOFOLLOW
        assert flags & os.O_CLOEXEC
    assert FOLDER & os.O_DIRECTORY
    assert FOLDER & os.O_CLOEXEC


@posix
def test_a_folder_is_synced_and_closed(tmp_path):
    disk = Recording()
    disk.sync_folder(tmp_path)
    assert [call.name for call in disk.calls] == ["open", "fsync"]
    handle = disk.calls[0].result
    assert disk.calls[1].args == (handle,)
    with pytest.raises(OSError, match="Bad file"):
        os.fstat(handle)


@posix
def test_a_folder_that_cannot_be_synced_is_closed_all_the_same(tmp_path):
    before = os.listdir("/proc/self/fd") if os.path.isdir("/proc/self/fd") else []  # noqa: PTH112, PTH208
    with pytest.raises(OSError, match=os.strerror(errno.EIO)):
        Without("fsync", error=errno.EIO).sync_folder(tmp_path)
    after = os.listdir("/proc/self/fd") if before else []  # noqa: PTH208
    assert len(after) == len(before)


def test_on_windows_folders_are_not_synced(tmp_path):
    disk = Recording()
    disk.windows = True
    disk.sync_folder(tmp_path)
    assert disk.calls == []


def test_what_is_not_there_is_told_from_what_cannot_be_seen(tmp_path):
    (tmp_path / "there").write_bytes(b"12")
    assert DISK.look(tmp_path / "there").st_size == 2
    assert DISK.look(tmp_path / "none") is None
    with pytest.raises(NotADirectoryError):
        DISK.look(tmp_path / "there" / "in it")


def test_removing_tells_whether_there_was_one(tmp_path):
    (tmp_path / "there").touch()
    assert DISK.remove(tmp_path / "there") is True
    assert DISK.remove(tmp_path / "there") is False
    with pytest.raises(OSError, match=os.strerror(errno.EIO)):
        Without("unlink", error=errno.EIO).remove(tmp_path / "there")


@posix
def test_a_write_alone_asks_the_system_through_the_door_from_its_first_call_to_its_last(tmp_path):
    disk = Recording()
    put(tmp_path / "a.csv", b"1", force=False, disk=disk)
    names = disk.names
    assert names[: names.index("write")].count("resolve") == 3  # the folder, the sweep, the write
    assert [name for name in names if name in {"write", "fsync", "replace"}] == [
        "write",
        "fsync",
        "replace",
        "fsync",
    ]
