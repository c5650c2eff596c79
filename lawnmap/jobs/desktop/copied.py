"""What was copied into a profile: the list that is kept beside it, and what became of the files.

The list says for each file which content was ours. So nothing that somebody changed or added is
ever written over or taken away, and a folder without a list is not ours.
"""

from __future__ import annotations

import hashlib
import os
import stat
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path, PurePosixPath
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.disk import DISK

LIST = "installed.json"
COMMAND = "command.json"
FORMAT = 1
BYTECODE = "__pycache__"


@dataclass(frozen=True)
class Placed:
    """The list of what was put there.

    Attributes
    ----------
    version : str
        Of the lawnmap that did.
    digests : mapping of str to tuple of str
        For each file, by its path with strokes, the digests of our content: one, or the old and
        the new while one takes the other's place.
    """

    version: str = ""
    digests: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def encoded(self) -> bytes:
        """Return the list as it is kept."""
        told = {
            "format": FORMAT,
            "lawnmap": self.version,
            "files": {name: list(each) for name, each in sorted(self.digests.items())},
        }
        return (json_text.dumps(told, indent=1) + "\n").encode("utf-8")


@dataclass(frozen=True)
class Compared:
    """What became of the files, each by its path with strokes."""

    changed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    added: tuple[str, ...] = ()


def ours() -> dict[str, bytes]:
    """Return the files of the plugin as they are in this lawnmap, with how to start it.

    Raises
    ------
    InputRefused
        When this Python does not say where it is.
    """
    found = dict(_walked(files("lawnmap").joinpath("desktop"), ""))
    return {**found, COMMAND: _command()}


def _walked(folder: Traversable, above: str) -> Iterator[tuple[str, bytes]]:
    for each in folder.iterdir():
        if each.is_file() and not each.name.endswith(".pyc"):
            yield f"{above}{each.name}", each.read_bytes()
        elif each.is_dir() and each.name != BYTECODE:
            yield from _walked(each, f"{above}{each.name}/")


def _command() -> bytes:
    """Return how to start lawnmap: with this very Python, whatever the path of the GIS says."""
    if not sys.executable:
        raise InputRefused("this Python does not say where it is", remedy="Run lawnmap as usual.")
    told = {"command": [sys.executable, "-P", "-m", "lawnmap"], "version": version("lawnmap")}
    try:
        return (json_text.dumps(told, indent=1) + "\n").encode("utf-8")
    except UnicodeEncodeError as error:
        raise InputRefused(
            "the path of this Python holds characters that are none",
            remedy="Install lawnmap in a folder with a plain name.",
        ) from error


def digest(data: bytes) -> str:
    """Return the digest of a file's content."""
    return hashlib.sha256(data).hexdigest()


def digest_at(folder: Path, name: str) -> str | None:
    """Return the digest of a file in the folder; None when nothing is there, empty for no file.

    A link is none of ours, wherever it leads, and neither is what lies behind one.
    """
    path = folder
    for part in PurePosixPath(name).parts:
        path = path / part
        try:
            facts = DISK.do(os.lstat, path)
        except (FileNotFoundError, NotADirectoryError):
            return None
        if stat.S_ISLNK(facts.st_mode):
            return ""
    return digest(content(path, facts.st_size)) if stat.S_ISREG(facts.st_mode) else ""


def content(path: Path, size: int) -> bytes:
    """Return the bytes of a file that may be empty."""
    return DISK.do(read_regular, path) if size else b""


def listed(folder: Path) -> Placed | None:
    """Return the list in a folder, None when the folder is not there or empty.

    Raises
    ------
    InputRefused
        When the folder is not ours, or its list is damaged.
    """
    try:
        names = DISK.do(os.listdir, folder)
    except FileNotFoundError:
        names = []
    except OSError as error:
        raise _not_ours(folder, f"cannot be listed ({error.strerror})") from error
    if os.path.islink(folder):  # noqa: PTH114 - never raises, whatever the name
        raise _not_ours(folder, "is a link, which lawnmap did not make")
    # What a killed writer of the list left does not make a folder somebody's.
    if not set(names) - {f".{LIST}.tmp"}:
        return None
    if LIST not in names:
        raise _not_ours(folder, "is there, and lawnmap did not make it")
    return _parsed(DISK.do(read_regular, folder / LIST))


def _not_ours(folder: Path, problem: str) -> InputRefused:
    return InputRefused(
        problem, file=folder.name, remedy="Move it out of the profile's python/plugins first."
    )


def _parsed(data: bytes) -> Placed:
    told = json_text.loads(data, name=LIST)
    if not (isinstance(told, dict) and told.get("format") == FORMAT and _is_list(told)):
        raise InputRefused(
            "is not a list of what lawnmap put there",
            file=LIST,
            remedy="Take the folder that it lies in away by hand, and install again.",
        )
    return Placed(told["lawnmap"], {name: tuple(each) for name, each in told["files"].items()})


def _is_list(told: Mapping[str, Any]) -> bool:
    entries = told.get("files")
    return (
        isinstance(told.get("lawnmap"), str)
        and isinstance(entries, dict)
        and all(_is_inside(name) for name in entries)
        and all(
            isinstance(each, list) and all(isinstance(one, str) for one in each)
            for each in entries.values()
        )
    )


def _is_inside(name: str) -> bool:
    """Tell whether a path stays in the folder: what is listed may be taken away."""
    parts = PurePosixPath(name).parts
    plain = "\\" not in name and ":" not in name and "/".join(parts) == name
    return plain and bool(parts) and not {"..", ".", "/"} & set(parts)


def compared(folder: Path, placed: Placed) -> Compared:
    """Tell which files were changed, are missing, or were added since."""
    found = {name: digest_at(folder, name) for name in placed.digests}
    there = {name: each for name, each in found.items() if each is not None}
    return Compared(
        tuple(sorted(name for name in there if there[name] not in placed.digests[name])),
        tuple(sorted(set(found) - set(there))),
        tuple(sorted(set(_names(folder)) - set(placed.digests) - {LIST})),
    )


def _names(folder: Path) -> Iterator[str]:
    """Yield what is in the folder but for what Python keeps of our modules."""
    for place, folders, names in os.walk(folder):
        links = [each for each in folders if os.path.islink(Path(place) / each)]  # noqa: PTH114
        folders[:] = [each for each in folders if each not in {BYTECODE, *links}]
        for name in (*names, *links):
            yield (Path(place) / name).relative_to(folder).as_posix()
