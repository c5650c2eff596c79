"""What differs between systems: limits on a process, its network, locks on a file.

Nothing else in lawnmap imports ``fcntl``, ``resource`` or ``msvcrt``, or calls the system through
ctypes, and this module can be imported where they are missing. The Linux branches are tested;
those for macOS and Windows are meant to work and have not been run there.
"""

from __future__ import annotations

import ctypes
import errno
import importlib
import os
import struct
import subprocess
import sys
from pathlib import Path
from typing import Any


def _where_present(name: str) -> Any:
    """Return the module `name`, or None on a system without it."""
    try:
        return importlib.import_module(name)
    except ImportError:
        return None


fcntl = _where_present("fcntl")
resource = _where_present("resource")
msvcrt = _where_present("msvcrt")


# Limits ------------------------------------------------------------------------------------------


def limit_process(*, cpu_s: int, memory_bytes: int, file_bytes: int) -> None:
    """Limit this process and all it starts; there is no way back.

    Parameters
    ----------
    cpu_s : int
        Computing time [s]; then the system sends SIGXCPU, and SIGKILL one second later.
    memory_bytes : int
        Address space [byte].
    file_bytes : int
        The largest file it may write [byte].

    Notes
    -----
    A limit the system does not know is left out (whoever started the process watches it as well);
    one that is already tighter stays as it is.
    """
    if resource is None:
        return
    for name, soft, hard in (
        ("RLIMIT_CPU", cpu_s, cpu_s + 1),
        ("RLIMIT_AS", memory_bytes, memory_bytes),
        ("RLIMIT_FSIZE", file_bytes, file_bytes),
        ("RLIMIT_CORE", 0, 0),  # a crash must not leave the plan behind in a core file
    ):
        _limit(getattr(resource, name, None), soft, hard)


def _limit(kind: int | None, soft: int, hard: int) -> None:
    """Set one limit, never above what is allowed already."""
    if kind is None:
        return
    most = resource.getrlimit(kind)[1]
    if most != resource.RLIM_INFINITY:
        soft, hard = min(soft, most), min(hard, most)
    try:
        resource.setrlimit(kind, (soft, hard))
    except (OSError, ValueError):  # macOS takes no limit on address space
        return


def limits_held() -> dict[str, int | None]:
    """Return the limits on *this* process: computing time [s], memory and file size [byte].

    None is no limit. To learn what holds in the guarded child, ask there (``child.bounds``).
    """
    kinds = {"cpu_s": "RLIMIT_CPU", "memory_bytes": "RLIMIT_AS", "file_bytes": "RLIMIT_FSIZE"}
    held: dict[str, int | None] = dict.fromkeys(kinds)
    for name, kind in kinds.items():
        if resource is not None and hasattr(resource, kind):
            soft = resource.getrlimit(getattr(resource, kind))[0]
            held[name] = None if soft == resource.RLIM_INFINITY else soft
    return held


def bounds() -> dict[str, Any]:
    """Return what keeps *this* process in bounds: its ``network`` lock and its ``limits``."""
    return {"network": network_lock(), "limits": limits_held()}


def resident_bytes(pid: int) -> int | None:
    """Return the memory that process `pid` holds [byte], or None when the system will not tell.

    Sources: proc(5), field 2 of ``statm``; ``ps -o rss`` in KiB; GetProcessMemoryInfo of psapi.h.
    """
    if sys.platform == "win32":
        return _windows_resident_bytes(pid)
    try:
        pages = Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1]
        return int(pages) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, IndexError):
        return _listed_resident_bytes(pid)


def _listed_resident_bytes(pid: int) -> int | None:
    """Ask ``ps``, which macOS has where Linux has ``/proc``."""
    command = ["/bin/ps", "-o", "rss=", "-p", str(pid)]
    try:
        listed = subprocess.run(command, capture_output=True, check=True, timeout=5)  # noqa: S603  (fixed words and a number)
        return int(listed.stdout) * 1024
    except (OSError, ValueError, subprocess.SubprocessError):
        return None


class _ProcessMemory(ctypes.Structure):
    """PROCESS_MEMORY_COUNTERS of psapi.h."""

    _fields_ = (
        ("size", ctypes.c_uint32),
        ("page_faults", ctypes.c_uint32),
        ("peak_resident", ctypes.c_size_t),
        ("resident", ctypes.c_size_t),
        ("pools_and_pagefile", ctypes.c_size_t * 6),
    )


def _windows_resident_bytes(pid: int) -> int | None:
    kernel = ctypes.CDLL("kernel32")
    kernel.OpenProcess.restype = ctypes.c_void_p
    query_limited_information = 0x1000
    process = ctypes.c_void_p(kernel.OpenProcess(query_limited_information, 0, pid))
    memory = _ProcessMemory(size=ctypes.sizeof(_ProcessMemory))
    told = process and kernel.K32GetProcessMemoryInfo(process, ctypes.byref(memory), memory.size)
    kernel.CloseHandle(process)
    return int(memory.resident) if told else None


# Network -----------------------------------------------------------------------------------------

SECCOMP = "seccomp"
NAMESPACE = "namespace"
NO_LOCK = "no network lock"

# linux/audit.h, linux/prctl.h, linux/seccomp.h, linux/sched.h, asm/unistd.h of each machine.
SOCKET_CALLS = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}
IO_URING_SETUP = 425
X32_CALLS = 0x40000000
AF_UNIX = 1
PR_SET_PDEATHSIG = 1
PR_SET_SECCOMP = 22
PR_SET_NO_NEW_PRIVS = 38
SECCOMP_MODE_FILTER = 2
SECCOMP_RET_ERRNO = 0x00050000
SECCOMP_RET_ALLOW = 0x7FFF0000
SIGKILL = 9
CLONE_NEWUSER = 0x10000000
CLONE_NEWNET = 0x40000000

_held = NO_LOCK


class _Program(ctypes.Structure):
    """struct sock_fprog of linux/filter.h."""

    _fields_ = (("length", ctypes.c_uint16), ("filter", ctypes.c_void_p))


def network_lock() -> str:
    """Return which lock keeps *this* process off the network.

    ``seccomp``, ``namespace`` or ``no network lock``. To learn what holds in the guarded child, ask
    there: ``child.bounds()``.
    """
    return _held


def close_network() -> str:
    """Take the network from this process and all it starts, for good; return which lock holds.

    Neither way needs a privilege. Call it while there is one thread only.
    """
    global _held  # noqa: PLW0603  (a fact about the process, which has no better home)
    if sys.platform != "linux":
        return _held
    library = ctypes.CDLL(None, use_errno=True)
    if _filter_sockets(library):
        _held = SECCOMP
    elif _leave_network_namespace(library):
        _held = NAMESPACE
    return _held


def die_with_parent() -> None:
    """Have the system kill this process when the thread that started it ends (Linux)."""
    if sys.platform == "linux":
        _prctl(ctypes.CDLL(None, use_errno=True), PR_SET_PDEATHSIG, SIGKILL)


def _prctl(library: ctypes.CDLL, option: int, value: int, address: Any = 0) -> bool:
    library.prctl.argtypes = (ctypes.c_int, *(ctypes.c_ulong,) * 4)
    return bool(library.prctl(option, value, address, 0, 0) == 0)


def _filter_sockets(library: ctypes.CDLL) -> bool:
    """Make ``socket()`` fail with EACCES for every family but AF_UNIX (seccomp(2), filter mode)."""
    call = SOCKET_CALLS.get(os.uname().machine)
    if call is None or sys.maxsize < 2**32:
        return False
    architecture, socket = call
    load, equal, at_least, answer = 0x20, 0x15, 0x35, 0x06  # LD|W|ABS, JMP|JEQ|K, JMP|JGE|K, RET|K
    # (operation, steps to skip if true, if false, operand); what is loaded stands in struct
    # seccomp_data: the call's number at byte 0, the architecture at 4, the first argument at 16.
    steps = (
        (load, 0, 0, 4),
        (equal, 0, 7, architecture),  # another ABI numbers its calls differently: deny
        (load, 0, 0, 0),
        (at_least, 5, 0, X32_CALLS),
        (equal, 4, 0, IO_URING_SETUP),  # a ring can open sockets without calling socket()
        (equal, 0, 2, socket),
        (load, 0, 0, 16),
        (equal, 0, 1, AF_UNIX),
        (answer, 0, 0, SECCOMP_RET_ALLOW),
        (answer, 0, 0, SECCOMP_RET_ERRNO | errno.EACCES),
    )
    code = ctypes.create_string_buffer(b"".join(struct.pack("=HBBI", *step) for step in steps))
    program = _Program(len(steps), ctypes.addressof(code))
    return _prctl(library, PR_SET_NO_NEW_PRIVS, 1) and _prctl(
        library, PR_SET_SECCOMP, SECCOMP_MODE_FILTER, ctypes.addressof(program)
    )


def _leave_network_namespace(library: ctypes.CDLL) -> bool:
    """Move into a network namespace with no interface, owned by a user namespace of our own."""
    user, group = os.getuid(), os.getgid()
    if library.unshare(CLONE_NEWUSER | CLONE_NEWNET) != 0:
        return False
    # Without a mapping no file could be made any more (user_namespaces(7)).
    for name, text in (
        ("setgroups", "deny"),
        ("uid_map", f"{user} {user} 1"),
        ("gid_map", f"{group} {group} 1"),
    ):
        try:
            Path("/proc/self", name).write_text(text, encoding="ascii")
        except OSError:
            continue
    return True


# Locks -------------------------------------------------------------------------------------------


def lock_exclusive(fd: int) -> bool:
    """Try to lock an open file for this process alone; return whether it is ours. Never waits.

    The system frees the lock when the descriptor is closed or the process ends, however it ends.

    Raises
    ------
    OSError
        When the file system knows no locks.
    """
    try:
        if fcntl is not None:
            fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
        else:
            os.lseek(fd, 0, os.SEEK_SET)  # msvcrt locks bytes from where the file stands
            msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)
    except (BlockingIOError, PermissionError):  # EWOULDBLOCK of flock, EACCES of msvcrt
        return False
    return True


def unlock(fd: int) -> None:
    """Give back a lock taken by :func:`lock_exclusive`."""
    if fcntl is not None:
        fcntl.flock(fd, fcntl.LOCK_UN)
    else:
        os.lseek(fd, 0, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_UNLCK, 1)
