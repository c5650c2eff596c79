"""Disks for tests: one that remembers its calls, one that fails, one on which the process ends."""

from __future__ import annotations

import errno
import os
from typing import Any, NamedTuple

from lawnmap.files.disk import Disk

DIED = 77


class Call(NamedTuple):
    """One call that went well."""

    name: str
    args: tuple[Any, ...]
    result: Any


class Recording(Disk):
    """Remembers every call that went well, and when something was acknowledged."""

    def __init__(self):
        self.calls: list[Call] = []

    def do(self, call, /, *args, **kwargs):
        kept = tuple(bytes(arg) if isinstance(arg, memoryview) else arg for arg in args)
        result = super().do(call, *args, **kwargs)
        self.calls.append(Call(call.__name__, kept, result))
        return result

    def acknowledge(self, what):
        self.calls.append(Call("acknowledge", (what,), None))

    @property
    def names(self):
        return [call.name for call in self.calls]


class Failing(Disk):
    """Fails the n-th call, once or from then on; a failed write has written half."""

    def __init__(self, number, *, for_good=False, error=errno.EIO):
        self.number, self.for_good, self.error = number, for_good, error
        self.count = 0
        self.failed = ""
        self.all_failed: set[str] = set()

    def do(self, call, /, *args, **kwargs):
        self.count += 1
        if self.count != self.number and not (self.for_good and self.count > self.number):
            return super().do(call, *args, **kwargs)
        self.failed = self.failed or call.__name__
        self.all_failed.add(call.__name__)
        self.half(call, *args)
        if call is os.close:
            os.close(*args)
        raise OSError(self.error, os.strerror(self.error))

    def half(self, call, *args):
        if call is os.write:
            handle, data = args
            os.write(handle, data[: len(data) // 2])


class Dying(Failing):
    """Ends the process, as a kill does, in place of the n-th call."""

    def do(self, call, /, *args, **kwargs):
        if self.count + 1 == self.number:
            self.half(call, *args)
            os._exit(DIED)
        self.count += 1
        return Disk.do(self, call, *args, **kwargs)


class Without(Disk):
    """A disk that has no such call."""

    def __init__(self, name, disk=None, error=errno.EOPNOTSUPP):
        self.name, self.disk, self.error = name, disk or Disk(), error
        self.windows = self.disk.windows

    def do(self, call, /, *args, **kwargs):
        if call.__name__ == self.name:
            raise OSError(self.error, os.strerror(self.error))
        return self.disk.do(call, *args, **kwargs)
