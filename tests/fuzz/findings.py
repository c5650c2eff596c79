"""What is a finding, for every target alike."""

from __future__ import annotations

import math
import resource
import sys
import time
from collections.abc import Callable
from typing import Any

from lawnmap.errors import LawnmapError
from tests.readers.mutants import SLOW_S, unforeseen

MOST_BYTES = 1_000_000_000  # that one input may add to the memory of the process
PEAK_UNIT = 1 if sys.platform == "darwin" else 1024  # of ru_maxrss


class Finding(Exception):
    """An input does what none may do."""


def judged(act: Callable[[bytes], object], data: bytes) -> str:
    """Give one input to a target; return ``read`` or ``refused``, or raise Finding.

    The target itself asserts what has to hold of what it accepted. Time is that of this process's
    processor, so that a busy machine finds nothing.
    """
    before, began = _peak_bytes(), time.process_time()
    try:
        act(data)
    except LawnmapError as error:
        outcome = "refused"
        told = unforeseen(error)
        if told:
            raise Finding(told) from error
        if not str(error).isprintable():
            raise Finding(f"the message is not printable: {str(error)!a}") from error
    except Exception as error:
        raise Finding(f"{type(error).__name__}: {error}") from error
    else:
        outcome = "read"
    took, more = time.process_time() - began, _peak_bytes() - before
    if took > SLOW_S:
        raise Finding(f"took {took:.1f} s")
    if more > MOST_BYTES:
        raise Finding(f"took {more / 1e6:,.0f} MB")
    return outcome


def frame_of(error: BaseException) -> str:
    """Return where a finding arose: kind and the innermost line of ours, to tell it from others."""
    cause = error.__cause__ or error
    cause = cause.__cause__ or cause
    trace, where = cause.__traceback__, ""
    while trace is not None:
        name = trace.tb_frame.f_code.co_filename
        if "lawnmap/" in name.replace("\\", "/") or "fuzz/targets" in name:
            where = f"{name.rpartition('/')[2]}:{trace.tb_lineno}"
        trace = trace.tb_next
    return f"{type(cause).__name__} at {where}" if where else str(error)[:80]


def finite(value: Any) -> None:
    """Assert that every number in a value, however deep, is finite."""
    if isinstance(value, float):
        assert math.isfinite(value), f"{value} was accepted"
    elif isinstance(value, dict):
        for key, each in value.items():
            finite(key)
            finite(each)
    elif isinstance(value, list | tuple | set | frozenset):
        for each in value:
            finite(each)


def _peak_bytes() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * PEAK_UNIT
