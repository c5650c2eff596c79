"""What happens inside the guarded child: lock the door, call the function, write the answer.

Nothing is imported before the network is gone but this module, what it needs, and the standard
library. The outside half, and the reason for all of it, is :mod:`lawnmap.files.child`.
"""

from __future__ import annotations

import errno
import importlib
import json
import os
import sys
import traceback
from typing import TYPE_CHECKING, Any, BinaryIO, NamedTuple

from lawnmap import errors
from lawnmap.errors import LawnmapError
from lawnmap.files import json_text, platform

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


class Allowance(NamedTuple):
    """What a child may spend: computing and waiting time [s], memory and output [byte]."""

    cpu_s: int = 20
    wall_s: float = 30
    memory_bytes: int = 4_000_000_000
    output_bytes: int = 100_000_000


def answer(request: Mapping[str, Any]) -> None:
    """Lock the door, call the function, write the answer. Runs inside the child only."""
    allowance = Allowance(*request["allowance"])
    lock_door(allowance)
    sys.modules.update(dict.fromkeys(request["without"]))  # None: it is not there
    with own_output() as stream:
        stream.write(_answered(request, allowance))


def lock_door(allowance: Allowance) -> None:
    """Take the network away, and set limits; there is no way back."""
    platform.close_network()
    platform.die_with_parent()
    platform.limit_process(
        cpu_s=allowance.cpu_s,
        memory_bytes=allowance.memory_bytes,
        file_bytes=allowance.output_bytes,
    )


def own_output() -> BinaryIO:
    """Return standard output for us alone: what a library prints must not land in the answer."""
    stream = os.fdopen(os.dup(1), "wb")
    with open(os.devnull, "wb") as nowhere:  # noqa: PTH123  (a device, not a path)
        os.dup2(nowhere.fileno(), 1)
    return stream


def _answered(request: Mapping[str, Any], allowance: Allowance) -> bytes:
    """Return the answer as JSON: a value, a refusal, or a fault with its frames."""
    try:
        value = function_of(request)(**request["arguments"])
        text = json_text.dumps({"value": value}).encode()
    except Exception as error:  # noqa: BLE001  (the outer net of whatever runs in here)
        return told_of(error)
    if len(text) <= allowance.output_bytes:
        return text
    return json.dumps({"fault": "output"}).encode("ascii")


def function_of(request: Mapping[str, Any]) -> Callable[..., Any]:
    """Return the function that is asked for, its module imported now."""
    module, _, name = request["function"].partition(":")
    function: Callable[..., Any] = getattr(importlib.import_module(module), name)
    return function


def told_of(error: Exception) -> bytes:
    """Return an error as JSON: a refusal in full, of anything else its kind and frames."""
    if isinstance(error, LawnmapError):
        return json.dumps({"refused": _fields(error)}).encode("ascii")
    frames = "".join(traceback.format_tb(error.__traceback__))
    return json.dumps({"fault": _kind(error), "frames": frames}).encode("ascii")


def _fields(error: LawnmapError) -> dict[str, str]:
    names = ("problem", "file", "place", "done", "remedy")
    return {"class": _nearest_class(error), **{name: getattr(error, name) for name in names}}


def _nearest_class(error: LawnmapError) -> str:
    """Return the class's name, or for a plugin's own class that of the nearest one of ours."""
    return next(kind.__name__ for kind in type(error).__mro__ if kind.__name__ in errors.__all__)


def _kind(error: Exception) -> str:
    number = error.errno if isinstance(error, OSError) else None
    if isinstance(error, MemoryError) or number == errno.ENOMEM:
        return "memory"
    if number == errno.EFBIG:
        return "output"
    return type(error).__name__
