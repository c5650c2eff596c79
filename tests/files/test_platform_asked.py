"""What the system is asked for, call by call, where the real thing has no way back or is elsewhere.

The real locks and limits are tried in processes of their own in ``test_platform.py``. Here the
system is played, so that every branch runs, those of Windows and macOS too.
"""

import ctypes
import errno
import os
import struct
import subprocess
from pathlib import Path
from types import SimpleNamespace

import pytest

from lawnmap.files import platform

EVERY_LIMIT = ("RLIMIT_CPU", "RLIMIT_AS", "RLIMIT_FSIZE", "RLIMIT_CORE")


# Limits ------------------------------------------------------------------------------------------


class Resource:
    """The module ``resource`` of a system that knows some limits."""

    RLIM_INFINITY = -1

    def __init__(self, held=(-1, -1), names=EVERY_LIMIT, refuses=None):
        self.held, self.refuses = held, refuses
        self.kinds = {name: number for number, name in enumerate(names, 1)}
        self.set = {}
        for name, number in self.kinds.items():
            setattr(self, name, number)

    def getrlimit(self, kind):
        assert kind in self.kinds.values()
        return self.held

    def setrlimit(self, kind, limits):
        if self.refuses:
            raise self.refuses
        name = next(name for name, number in self.kinds.items() if number == kind)
        self.set[name] = limits


@pytest.fixture
def limited(monkeypatch):
    def ask(**options):
        resource = Resource(**options)
        monkeypatch.setattr(platform, "resource", resource)
        platform.limit_process(cpu_s=7, memory_bytes=3_000, file_bytes=500)
        return resource.set

    return ask


WANTED = {
    "RLIMIT_CPU": (7, 8),
    "RLIMIT_AS": (3_000, 3_000),
    "RLIMIT_FSIZE": (500, 500),
    "RLIMIT_CORE": (0, 0),
}


def test_every_limit_is_set_as_asked(limited):
    assert limited() == WANTED
    assert limited(held=(-1, 10**9)) == WANTED


def test_a_tighter_limit_stays(limited):
    assert limited(held=(1, 100)) == {
        "RLIMIT_CPU": (7, 8),
        "RLIMIT_AS": (100, 100),
        "RLIMIT_FSIZE": (100, 100),
        "RLIMIT_CORE": (0, 0),
    }
    assert limited(held=(1, 7))["RLIMIT_CPU"] == (7, 7)
    assert limited(held=(1, 0))["RLIMIT_CPU"] == (0, 0)


def test_a_limit_that_the_system_does_not_know_is_left_out(limited):
    assert limited(names=("RLIMIT_CPU", "RLIMIT_CORE")) == {
        "RLIMIT_CPU": (7, 8),
        "RLIMIT_CORE": (0, 0),
    }


@pytest.mark.parametrize("error", [OSError(errno.EINVAL, "no"), ValueError("no")])
def test_a_limit_that_is_not_taken_is_left_out(limited, error):
    assert limited(refuses=error) == {}


def test_limits_that_hold_are_told(monkeypatch):
    monkeypatch.setattr(platform, "resource", Resource(held=(5, 9), names=("RLIMIT_AS",)))
    assert platform.limits_held() == {"cpu_s": None, "memory_bytes": 5, "file_bytes": None}
    monkeypatch.setattr(platform, "resource", Resource(held=(-1, 9)))
    assert set(platform.limits_held().values()) == {None}
    monkeypatch.setattr(platform, "resource", Resource(held=(6, 9)))
    everything = {"cpu_s": 6, "memory_bytes": 6, "file_bytes": 6}
    assert platform.bounds() == {"network": platform.network_lock(), "limits": everything}
    monkeypatch.setattr(platform, "resource", None)
    assert set(platform.limits_held().values()) == {None}
    assert platform.limit_process(cpu_s=1, memory_bytes=1, file_bytes=1) is None


# Memory ------------------------------------------------------------------------------------------


def test_memory_is_the_resident_pages(monkeypatch):
    asked = []

    class Statm:
        def __init__(self, path):
            asked.append(path)

        def read_text(self, encoding):
            assert encoding == "ascii"
            return "900 25 3 1 0 20 0\n"

    monkeypatch.setattr(platform, "Path", Statm)
    monkeypatch.setattr(os, "sysconf", {"SC_PAGE_SIZE": 4096}.__getitem__)
    assert platform.resident_bytes(77) == 25 * 4096
    assert asked == ["/proc/77/statm"]


@pytest.mark.parametrize("text", [None, "", "900"])
def test_where_there_is_no_such_file_ps_is_asked(monkeypatch, text):
    class Statm:
        def __init__(self, _):
            pass

        def read_text(self, **_):
            if text is None:
                raise FileNotFoundError
            return text

    ran = []

    def run(command, **options):
        ran.append((command, options))
        return SimpleNamespace(stdout=b" 12\n")

    monkeypatch.setattr(platform, "Path", Statm)
    monkeypatch.setattr(subprocess, "run", run)
    assert platform.resident_bytes(77) == 12 * 1024
    command = ["/bin/ps", "-o", "rss=", "-p", "77"]
    assert ran == [(command, {"capture_output": True, "check": True, "timeout": 5})]


@pytest.mark.parametrize(
    "outcome",
    [
        FileNotFoundError(),
        subprocess.CalledProcessError(1, "ps"),
        subprocess.TimeoutExpired("ps", 5),
        SimpleNamespace(stdout=b""),
    ],
)
def test_what_ps_does_not_tell_is_unknown(monkeypatch, outcome):
    def run(*_, **__):
        if isinstance(outcome, Exception):
            raise outcome
        return outcome

    monkeypatch.setattr(subprocess, "run", run)
    assert platform._listed_resident_bytes(77) is None


class Kernel:
    """kernel32.dll, as far as it is asked for memory."""

    def __init__(self, handle=5, told=1):
        self.told, self.closed, self.asked = told, [], []

        def opening(*given):
            self.asked.append(given)
            return handle

        self.OpenProcess = opening

    def K32GetProcessMemoryInfo(self, process, memory, size):  # noqa: N802 - its name there
        assert process.value == 5
        counters = ctypes.cast(memory, ctypes.POINTER(platform._ProcessMemory)).contents
        assert counters.size == size == ctypes.sizeof(platform._ProcessMemory)
        counters.resident, counters.peak_resident = 123_456, 999_999
        return self.told

    def CloseHandle(self, process):  # noqa: N802 - its name there
        self.closed.append(process.value)


@pytest.mark.parametrize(
    ("options", "held"), [({}, 123_456), ({"told": 0}, None), ({"handle": None}, None)]
)
def test_on_windows_the_kernel_is_asked(monkeypatch, options, held):
    kernel, libraries = Kernel(**options), []
    monkeypatch.setattr(platform.sys, "platform", "win32")
    monkeypatch.setattr(ctypes, "CDLL", lambda name: libraries.append(name) or kernel)
    assert platform.resident_bytes(77) == held
    assert libraries == ["kernel32"]
    assert kernel.asked == [(0x1000, 0, 77)]  # PROCESS_QUERY_LIMITED_INFORMATION of winnt.h
    assert kernel.OpenProcess.restype is ctypes.c_void_p  # a handle is as wide as a pointer
    assert len(kernel.closed) == 1


# Network -----------------------------------------------------------------------------------------


class Library:
    """libc, as far as it is asked to close the network; it keeps the filter it is given."""

    def __init__(self, *, prctl=0, unshare=0):
        self.options, self.unshared, self.steps = [], [], ()

        def controlling(option, value, address, *rest):
            self.options.append((option, value, *rest))
            if option == 22 and prctl == 0:
                program = ctypes.cast(address, ctypes.POINTER(platform._Program)).contents
                code = ctypes.string_at(program.filter, 8 * program.length)
                self.steps = tuple(struct.iter_unpack("=HBBI", code))
            return prctl if option == 22 else 0

        def unsharing(flags):
            self.unshared.append(flags)
            return unshare

        self.prctl, self.unshare = controlling, unsharing

    def answers(self, architecture, call, first=0):
        """Run the filter as the kernel does (linux/bpf_common.h) on one system call."""
        data = struct.pack("=iIQ6Q", call, architecture, 0, first, 0, 0, 0, 0, 0)
        value, at = 0, 0
        while True:
            operation, if_true, if_false, operand = self.steps[at]
            at += 1
            if operation == 0x20:
                (value,) = struct.unpack_from("=I", data, operand)
            elif operation == 0x15:
                at += if_true if value == operand else if_false
            elif operation == 0x35:
                at += if_true if value >= operand else if_false
            else:
                assert operation == 0x06
                return operand


@pytest.fixture
def library(monkeypatch):
    def play(machine="x86_64", maxsize=2**63 - 1, **options):
        made = Library(**options)
        monkeypatch.setattr(platform, "_held", platform.NO_LOCK)
        monkeypatch.setattr(platform.sys, "platform", "linux")
        monkeypatch.setattr(platform.sys, "maxsize", maxsize)
        monkeypatch.setattr(os, "uname", lambda: SimpleNamespace(machine=machine))
        monkeypatch.setattr(ctypes, "CDLL", lambda name, use_errno: made)
        return made

    return play


ALLOW, DENY = 0x7FFF0000, 0x00050000 | errno.EACCES
# linux/audit.h and the table of system calls: architecture, socket, connect or something harmless.
MACHINES = {"x86_64": (0xC000003E, 41, 0), "aarch64": (0xC00000B7, 198, 63)}


@pytest.mark.parametrize("machine", MACHINES)
def test_the_filter_lets_unix_sockets_through_and_no_others(library, machine):
    libc = library(machine)
    assert platform.close_network() == platform.SECCOMP == platform.network_lock()
    assert libc.options == [(38, 1, 0, 0), (22, 2, 0, 0)]  # no new privileges first, then the lock
    assert libc.unshared == []
    architecture, socket, read = MACHINES[machine]
    assert libc.answers(architecture, socket, 1) == ALLOW
    for family in (0, 2, 10, 16, 17, 2**32 - 1):
        assert libc.answers(architecture, socket, family) == DENY
    assert libc.answers(architecture, read, 2) == ALLOW
    assert libc.answers(architecture, 425) == DENY  # io_uring_setup
    assert libc.answers(architecture, 424) == ALLOW
    assert libc.answers(architecture, 0x40000000) == DENY  # the calls of another ABI, x32
    assert libc.answers(architecture, 0x40000029) == DENY
    assert libc.answers(architecture, 0x3FFFFFFF) == ALLOW
    assert libc.answers(0x40000003, 102) == DENY  # 32 bits


@pytest.mark.parametrize(
    "where", [{"machine": "riscv64"}, {"maxsize": 2**31 - 1}, {"prctl": -1}, {"prctl": 22}]
)
def test_where_there_is_no_filter_the_namespace_is_left(library, tmp_path, monkeypatch, where):
    libc = library(**where)
    monkeypatch.setattr(platform, "Path", lambda *parts: tmp_path / parts[-1])
    monkeypatch.setattr(os, "getuid", lambda: 1001)
    monkeypatch.setattr(os, "getgid", lambda: 1002)
    assert platform.close_network() == platform.NAMESPACE == platform.network_lock()
    assert libc.unshared == [0x10000000 | 0x40000000]  # CLONE_NEWUSER, CLONE_NEWNET of sched.h
    assert (tmp_path / "setgroups").read_text() == "deny"
    assert (tmp_path / "uid_map").read_text() == "1001 1001 1"
    assert (tmp_path / "gid_map").read_text() == "1002 1002 1"


def test_a_mapping_that_is_not_taken_changes_nothing(library, monkeypatch):
    written = []

    class Own:
        def __init__(self, *parts):
            self.parts = parts

        def write_text(self, text, encoding):
            written.append((*self.parts, text, encoding))
            raise PermissionError

    library(machine="riscv64")
    monkeypatch.setattr(platform, "Path", Own)
    assert platform.close_network() == platform.NAMESPACE
    assert [each[:2] for each in written] == [
        ("/proc/self", "setgroups"),
        ("/proc/self", "uid_map"),
        ("/proc/self", "gid_map"),
    ]
    assert {each[3] for each in written} == {"ascii"}


def test_where_neither_holds_it_says_so(library):
    libc = library(machine="riscv64", unshare=-1)
    assert platform.close_network() == "no network lock" == platform.network_lock()
    assert len(libc.unshared) == 1


def test_a_child_asks_to_die_with_its_parent(library, monkeypatch):
    libc = library()
    platform.die_with_parent()
    assert libc.options == [(1, 9, 0, 0)]  # PR_SET_PDEATHSIG, SIGKILL
    monkeypatch.setattr(platform.sys, "platform", "darwin")
    platform.die_with_parent()
    assert len(libc.options) == 1


def test_a_pointer_goes_to_the_system_whole(library):
    libc = library()
    assert platform._prctl(libc, 1, 2, 2**40) is True
    assert libc.prctl.argtypes == (ctypes.c_int, *(ctypes.c_ulong,) * 4)
    assert platform._prctl(library(prctl=1), 22, 2) is False


def test_only_the_platform_asks_the_system():
    """Nothing else in lawnmap calls the system through ctypes."""
    house = Path(platform.__file__).parents[1]
    asking = [path for path in house.rglob("*.py") if "ctypes" in path.read_text(encoding="utf-8")]
    assert [path.name for path in asking] == ["platform.py"]
