"""The lock file and what pyproject.toml asks for, as the tests of the supply chain need them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from packaging.markers import Marker
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
LOCK = ROOT / ".ci" / "lock.txt"
PINNED = re.compile(r"([A-Za-z0-9][\w.-]*)==(\S+)(?: ; (.+?))? \\")
HASH = re.compile(r"    --hash=sha256:([0-9a-f]{64})(?: \\)?")


class Pin(NamedTuple):
    """One distribution of the lock: its one version, where it is wanted, and its hashes."""

    name: str
    version: str
    marker: str
    hashes: tuple[str, ...]


def pins(text: str) -> list[Pin]:
    """Return the pins of a lock; one distribution may have several, for different systems.

    Raises
    ------
    ValueError
        With the line that is neither a pin, a hash nor a comment.
    """
    found: list[Pin] = []
    for number, line in enumerate(text.splitlines(), start=1):
        pinned, digest = PINNED.fullmatch(line), HASH.fullmatch(line)
        if pinned:
            found.append(Pin(canonicalize_name(pinned[1]), pinned[2], pinned[3] or "", ()))
        elif digest and found:
            found[-1] = found[-1]._replace(hashes=(*found[-1].hashes, digest[1]))
        elif line and not line.startswith("#"):
            raise ValueError(f"line {number} is neither a pin nor a hash: {line!r}")
    return found


def for_here(found: list[Pin]) -> dict[str, Pin]:
    """Return the pins that hold on this system by name.

    Raises
    ------
    ValueError
        When one distribution is pinned twice for it.
    """
    chosen: dict[str, Pin] = {}
    for pin in found:
        if not pin.marker or Marker(pin.marker).evaluate():
            if pin.name in chosen:
                raise ValueError(f"{pin.name} is pinned twice")
            chosen[pin.name] = pin
    return chosen


def asked() -> Iterator[tuple[str, Requirement]]:
    """Yield what pyproject.toml asks for, each with who asks: run time, an extra, the build."""
    with (ROOT / "pyproject.toml").open("rb") as stream:
        read = tomllib.load(stream)
    project = read["project"]
    groups = {"run time": project["dependencies"], "build": read["build-system"]["requires"]}
    for who, texts in {**groups, **project["optional-dependencies"]}.items():
        for text in texts:
            yield who, Requirement(text)
