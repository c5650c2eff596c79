import os
import socket
import subprocess
import sys
import textwrap
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from lawnmap.files import platform

linux = pytest.mark.skipif(sys.platform != "linux", reason="this lock is Linux's")
HOUSE = Path(platform.__file__).parents[2]


def alone(code):
    """Run `code` in an interpreter of its own, since locks and limits have no way back."""
    ended = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)],
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert ended.returncode == 0, ended.stderr
    return ended.stdout.split()


@linux
def test_seccomp_leaves_unix_sockets_only():
    told = alone(
        """
        import errno, socket
        from lawnmap.files import platform
        print(platform.network_lock().replace(" ", "_"))
        print(platform.close_network(), platform.network_lock())
        for family in (socket.AF_INET, socket.AF_INET6, socket.AF_NETLINK, socket.AF_PACKET):
            try:
                socket.socket(family, socket.SOCK_RAW if family > 10 else socket.SOCK_STREAM)
            except OSError as error:
                print(errno.errorcode[error.errno])
        socket.socket(socket.AF_UNIX).close()
        one, other = socket.socketpair()
        one.send(b"x"); print(other.recv(1).decode())
        """
    )
    if told[1] != platform.SECCOMP:
        pytest.skip(f"this kernel offers {told[1]}")
    assert told == ["no_network_lock", "seccomp", "seccomp", *["EACCES"] * 4, "x"]


@linux
def test_the_filter_holds_in_threads_and_children():
    told = alone(
        """
        import subprocess, sys, threading, socket
        from lawnmap.files import platform
        if platform.close_network() != platform.SECCOMP:
            print("OSError OSError"); raise SystemExit
        def attempt():
            try:
                socket.socket()
            except OSError:
                print("OSError", flush=True)
        thread = threading.Thread(target=attempt); thread.start(); thread.join()
        code = "import socket\\ntry: socket.socket()\\nexcept OSError: print('OSError')"
        subprocess.run([sys.executable, "-c", code], check=True)
        """
    )
    assert told == ["OSError", "OSError"]


@linux
def test_without_seccomp_a_namespace_of_its_own_has_no_network(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        told = alone(
            f"""
            import pathlib, socket
            from lawnmap.files import platform
            platform.SOCKET_CALLS = {{}}
            print(platform.close_network().replace(" ", "_"))
            try:
                socket.create_connection(("127.0.0.1", {port}), timeout=2)
                print("reached")
            except OSError:
                print("closed")
            pathlib.Path({str(tmp_path / "made")!r}).write_text("a file can still be made")
            """
        )
    if told[0] == "no_network_lock":
        pytest.skip("no user namespaces here")
    assert told == ["namespace", "closed"]
    assert (tmp_path / "made").read_text() == "a file can still be made"


def test_limits_hold_and_an_already_tighter_one_stays():
    pytest.importorskip("resource")
    told = alone(
        """
        import resource
        from lawnmap.files import platform
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        platform.limit_process(cpu_s=7, memory_bytes=3_000_000_000, file_bytes=5_000)
        for name in ("CPU", "AS", "FSIZE", "CORE"):
            print(*resource.getrlimit(getattr(resource, "RLIMIT_" + name)))
        """
    )
    numbers = [int(word) for word in told]
    assert numbers[:2] == [7, 8]
    if sys.platform == "linux":
        assert numbers[2:4] == [3_000_000_000] * 2
    assert numbers[4:] == [1000, 1000, 0, 0]


def test_memory_of_a_process_is_told_alike_by_both_ways():
    block = bytearray(30_000_000)
    block[::4096] = b"x" * len(block[::4096])
    held = platform.resident_bytes(os.getpid())
    assert held > len(block)
    listed = platform._listed_resident_bytes(os.getpid())
    if listed is not None:  # no ps in a bare container
        assert listed == pytest.approx(held, rel=0.2)


def test_memory_of_nobody_is_unknown():
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    assert platform.resident_bytes(ended.pid) is None


def test_a_lock_is_for_one_and_is_freed_by_closing(tmp_path):
    first, second = (os.open(tmp_path / "lock", os.O_RDWR | os.O_CREAT) for _ in range(2))
    assert platform.lock_exclusive(first)
    assert not platform.lock_exclusive(second)
    platform.unlock(first)
    assert platform.lock_exclusive(second)
    os.close(second)
    assert platform.lock_exclusive(first)
    os.close(first)


def test_where_there_is_no_flock_the_other_system_s_lock_is_asked(tmp_path, monkeypatch):
    asked = []

    def locking(fd, mode, count):
        asked.append((mode, count, os.lseek(fd, 0, os.SEEK_CUR)))
        if asked == [("take", 1, 0)] * 2:
            raise PermissionError

    other = SimpleNamespace(LK_NBLCK="take", LK_UNLCK="free", locking=locking)
    monkeypatch.setattr(platform, "fcntl", None)
    monkeypatch.setattr(platform, "msvcrt", other)
    with (tmp_path / "lock").open("w+b") as stream:
        stream.write(b"not at the start")
        assert platform.lock_exclusive(stream.fileno())
        assert not platform.lock_exclusive(stream.fileno())
        platform.unlock(stream.fileno())
    assert asked == [("take", 1, 0), ("take", 1, 0), ("free", 1, 0)]


def test_it_can_be_imported_where_the_system_modules_are_missing():
    told = alone(
        """
        import sys
        sys.modules.update(dict.fromkeys(("fcntl", "resource", "msvcrt")))
        from lawnmap.files import platform
        platform.limit_process(cpu_s=1, memory_bytes=1, file_bytes=1)
        print(platform.fcntl, platform.resource, platform.network_lock())
        """
    )
    assert told == ["None", "None", "no", "network", "lock"]


def test_off_linux_nothing_is_locked_and_it_says_so(monkeypatch):
    monkeypatch.setattr(platform.sys, "platform", "darwin")
    assert platform.close_network() == "no network lock"


def alive(pid):
    """Tell whether a process runs; one that has ended and waits to be collected does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


@linux
def test_a_child_does_not_outlive_its_parent(tmp_path):
    mark = tmp_path / "pid"
    child = f"""
        import os, pathlib, time
        from lawnmap.files import platform
        platform.die_with_parent()
        pathlib.Path({str(mark)!r}).write_text(str(os.getpid()))
        time.sleep(60)
    """
    alone(
        f"""
        import os, pathlib, subprocess, sys, textwrap, time
        subprocess.Popen([sys.executable, "-c", textwrap.dedent({child!r})],
                         stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        mark = pathlib.Path({str(mark)!r})
        while not (mark.exists() and mark.read_text()):
            time.sleep(0.01)
        os._exit(0)
        """
    )
    pid = int(mark.read_text())
    end = time.monotonic() + 10
    while alive(pid):
        assert time.monotonic() < end, "still alive 10 s after its parent ended"
        time.sleep(0.01)
