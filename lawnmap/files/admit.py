"""The front door for files: stat, size, one read, and the kind by content.

Nothing later reopens the user's path: a reader gets bytes and a name. So no library ever sees a
"file name" that is really an address, a driver prefix or inline XML, and a file that changes while
it is being read cannot be half of one thing and half of another.
"""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from lawnmap.errors import InputRefused
from lawnmap.files.kind import kind_of
from lawnmap.files.limits import SITE

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

# Plans that are several files of one name, and the sisters that carry anything for us: the parts of
# a loose shapefile, the world file of a picture and its CRS.
SISTERS = {
    "shp": (".shx", ".dbf", ".prj", ".cpg"),
    "png": (".pgw", ".pngw", ".wld", ".prj"),
    "jpeg": (".jgw", ".jpgw", ".jpegw", ".wld", ".prj"),
    "tiff": (".tfw", ".tifw", ".tiffw", ".wld", ".prj"),
}

PUT_BACK = "Put back a copy of yours."  # helps with any file but a plan

# Kinds that may come through a pipe.
TEXTS = {"geojson", "kml", "gpx", "osm", "csv", "tape", "dxf", "reply"}


@dataclass(frozen=True)
class Source:
    """Admitted bytes with a name, never a path.

    Attributes
    ----------
    name : str
        File name without its folder.
    data : bytes
        The whole content.
    kind : str
        What the content is, as ``files/kind.py`` tells it (``geojson``, ``dxf``, ``tape``, …), or
        the suffix that an outside reader offers.
    parts : mapping of str to bytes
        The sister files by lower-case suffix: ``.dbf`` of a loose shapefile, ``.pgw`` of a picture.
    """

    name: str
    data: bytes = field(repr=False)
    kind: str
    parts: Mapping[str, bytes] = field(default_factory=dict, repr=False)


def is_address(text: str) -> bool:
    """Tell an address from the path of a file."""
    return "://" in text


def refuse_address(text: str) -> None:
    """Refuse a "path" that some library would take for an address, a driver or inline content."""
    low = text.lower()
    if "\0" in text:
        raise InputRefused("the file name holds a NUL character", remedy="Give the path of a file.")
    if is_address(text) or low.startswith(("/vsi", "<", "{")):
        raise InputRefused(
            "this is not the path of a file",
            remedy="Addresses and inline content are not read: save the file and give its path.",
        )


def read_regular(path: Path, *, limit: int = SITE.file_bytes, remedy: str = PUT_BACK) -> bytes:
    """Return the bytes of one regular file of at most `limit` bytes.

    Parameters
    ----------
    path : Path
    limit : int
    remedy : str
        What to do when it is empty or too large; where it is itself empty, what helps with a plan.

    Raises
    ------
    InputRefused
        When the path is missing, a folder, a pipe or a device, unreadable, empty or too large.
    """
    refuse_address(str(path))
    name = path.name or str(path)
    try:
        # O_NONBLOCK: opening a named pipe must not wait for a writer that never comes.
        handle = os.open(
            path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        )
    except OSError as error:
        raise InputRefused(
            f"cannot be opened ({error.strerror})", file=name, remedy="Check the path."
        ) from error
    except UnicodeEncodeError as error:
        raise InputRefused(
            "has a name that cannot be one here", file=name, remedy="Check the path."
        ) from error
    try:
        # The handle itself is asked: os.fdopen would not take a folder.
        mode = os.fstat(handle).st_mode
        if stat.S_ISDIR(mode):
            raise InputRefused("is a folder", file=name, remedy="Give a file in it.")
        if not stat.S_ISREG(mode):
            raise InputRefused("is not an ordinary file", file=name, remedy="Give a file on disk.")
        with os.fdopen(handle, "rb", closefd=False) as stream:
            return read_stream(stream, name, limit=limit, remedy=remedy)
    finally:
        os.close(handle)


def read_stream(
    stream: BinaryIO, name: str, *, limit: int = SITE.file_bytes, remedy: str = ""
) -> bytes:
    """Return all bytes of `stream`, refusing more than `limit` before holding more than that."""
    try:
        data = stream.read(limit + 1) or b""  # None: the kernel has nothing to give yet
    except OSError as error:
        raise InputRefused(
            f"cannot be read ({error.strerror})", file=name, remedy="Copy it to another disk."
        ) from error
    if len(data) > limit:
        raise InputRefused(
            f"is larger than {limit / 1e6:.0f} MB",
            file=name,
            remedy=remedy or "Cut the plan down to the site, or split it.",
        )
    if not data:
        raise InputRefused(
            "is empty (0 bytes)", file=name, remedy=remedy or "Export the plan again."
        )
    return data


def admit(path: Path | str, *, also: Collection[str] = ()) -> Source:
    """Read one site plan from disk, once, and tell its kind by its content.

    Parameters
    ----------
    path : Path or str
        A regular file. For a loose shapefile, the ``.shp``; for a picture, the picture itself: its
        sisters are read with it.
    also : collection of str
        Kinds that outside readers are for, as :func:`lawnmap.files.kind.kind_of` takes them.

    Returns
    -------
    Source
        Bytes, name and kind.

    Raises
    ------
    InputRefused
        When the file cannot be read, is too large, or its content and suffix disagree.
    """
    refuse_address(str(path))
    path = Path(path)
    data = read_regular(path, remedy="")
    kind = kind_of(data, path.name, also)
    parts: dict[str, bytes] = {}
    if kind in SISTERS and path.suffix.lower() != ".zip":
        parts = _parts(path, len(data), SISTERS[kind])
    return Source(name=path.name, data=data, kind=kind, parts=parts)


def admit_stream(stream: BinaryIO, name: str = "standard input") -> Source:
    """Admit text from a pipe, its kind told by its content, up to the site limit."""
    data = read_stream(stream, name)
    try:
        kind = kind_of(data, "")
    except InputRefused as error:
        raise error.within(file=name) from error.__cause__
    if kind not in TEXTS:
        raise InputRefused(
            f"holds {kind}, which is not text", file=name, remedy="Give this kind as a file."
        )
    return Source(name=name, data=data, kind=kind)


def _parts(path: Path, size: int, suffixes: tuple[str, ...]) -> dict[str, bytes]:
    """Read the sister files of a plan, whatever the case of their suffixes."""
    parts: dict[str, bytes] = {}
    for sister in _sisters(path, suffixes):
        suffix = sister.suffix.lower()
        if suffix not in parts:
            parts[suffix] = read_regular(sister, limit=SITE.file_bytes - size, remedy="")
            size += len(parts[suffix])
    return parts


def _sisters(path: Path, suffixes: tuple[str, ...]) -> list[Path]:
    """List the sisters of a plan that are not empty; what is no file is left for the read."""
    try:
        return [
            each
            for each in sorted(path.parent.iterdir())
            if each.stem == path.stem
            and each.suffix.lower() in suffixes
            and (not each.is_file() or each.stat().st_size > 0)
        ]
    except OSError as error:
        raise InputRefused(
            f"the folder of the file cannot be listed ({error.strerror})",
            file=path.name,
            remedy=f"Copy it with its {', '.join(suffixes)} to a folder of your own.",
        ) from error
