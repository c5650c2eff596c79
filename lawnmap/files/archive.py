"""Zip archives, checked in memory before any of it is believed, and never unpacked to disk.

The standard library reads archives whose entries share bytes (4 GB from 60 kB) up to Python 3.11.7
(CVE-2024-0450), so that check, too, is made here.
"""

from __future__ import annotations

import io
import re
import stat
import struct
import unicodedata
import zipfile
from itertools import pairwise
from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE, Limits

if TYPE_CHECKING:
    from collections.abc import Callable

CENTRAL_HEADER = b"PK\x01\x02"
LOCAL_HEADER = struct.Struct("<4s22xHH")  # signature, length of the name, length of the extra field
LOCAL_SIGNATURE = b"PK\x03\x04"
ENCRYPTED = 0x1 | 0x40 | 0x2000  # plain, strong, and with masked headers: APPNOTE.TXT 4.4.4
FILES = {0, stat.S_IFREG, stat.S_IFDIR}  # 0: made by a system without file types
METHODS = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
SMALL = 1_000_000  # bytes; below this the ratio says nothing: a table of blanks packs very well
LONGEST_SHOWN = 80  # characters of an entry's name, which may have 65,535
NESTED = (".zip", ".kmz", ".7z", ".rar", ".gz", ".tar")


def entry_names(data: bytes, *, name: str, limits: Limits = SITE) -> list[str]:
    """Return the names of the files in an archive that passes every check, folders left out.

    Raises
    ------
    InputRefused
        As :func:`read_entries`.
    """
    with _opened(data, name) as archive:
        return [_plain(info.filename) for info in _checked(archive, data, name, limits)]


def read_entries(
    data: bytes, *, name: str, wanted: Callable[[str], bool], limits: Limits = SITE
) -> dict[str, bytes]:
    """Return the content of the wanted files of an archive by name.

    Parameters
    ----------
    data : bytes
        The whole archive.
    name : str
        File name for messages.
    wanted : callable
        Told each name (with ``/`` between folders); only what it wants is unpacked.
    limits : Limits
        Entries, unpacked bytes in sum, and ratio allowed.

    Raises
    ------
    InputRefused
        When the archive is damaged, encrypted, too large unpacked, or holds links, names that lead
        out of it, names that stand twice, entries that overlap, or archives of its own.
    """
    found: dict[str, bytes] = {}
    with _opened(data, name) as archive:
        for info in _checked(archive, data, name, limits):
            entry = _plain(info.filename)
            if wanted(entry):
                found[entry] = _read(archive, info, name)
    return found


def _opened(data: bytes, name: str) -> zipfile.ZipFile:
    # Opening builds an object an entry; this bound costs nothing and comes before that.
    if data.count(CENTRAL_HEADER) > SITE.archive_entries:
        raise _too_many(name, SITE)
    try:
        return zipfile.ZipFile(io.BytesIO(data))
    except Exception as error:
        raise _damaged(name) from error


def _checked(
    archive: zipfile.ZipFile, data: bytes, name: str, limits: Limits
) -> list[zipfile.ZipInfo]:
    """Return the entries that are files, once all entries are known to be harmless."""
    entries = archive.infolist()
    if len(entries) > limits.archive_entries:
        raise _too_many(name, limits)
    if sum(info.file_size for info in entries) > limits.archive_bytes:
        raise InputRefused(
            f"unpacks to more than {limits.archive_bytes / 1e6:.0f} MB",
            file=name,
            remedy="Zip the plan alone.",
        )
    for info in entries:
        flaw = _flaw(info, limits)
        if flaw:
            raise InputRefused(
                flaw, file=name, place=_shown(info), remedy="Zip the plan's own files again."
            )
    _refuse_twins(entries, name)
    _refuse_overlap(archive, entries, data, name)
    return [info for info in entries if not _plain(info.filename).endswith("/")]


def _flaw(info: zipfile.ZipInfo, limits: Limits) -> str:
    """Return what is wrong with one entry taken alone, or nothing."""
    entry = _plain(info.filename)
    leads_out = entry.startswith("/") or re.match(r"[A-Za-z]:", entry) or ".." in entry.split("/")
    flaws = {
        "the name holds a NUL character": "\0" in info.orig_filename,
        "the name leads out of the archive": leads_out,
        "is a link or a device, not a file": stat.S_IFMT(info.external_attr >> 16) not in FILES,
        "is encrypted": info.flag_bits & ENCRYPTED,
        "is packed by a method other than deflate": info.compress_type not in METHODS,
        f"unpacks to more than {limits.archive_ratio} times its size": info.file_size
        > max(SMALL, limits.archive_ratio * info.compress_size),
        "is an archive within the archive": entry.lower().endswith(NESTED),
    }
    return next((words for words, found in flaws.items() if found), "")


def _refuse_twins(entries: list[zipfile.ZipInfo], name: str) -> None:
    """Refuse names that are one on some disk: a reader might check the one and read the other."""
    seen: set[str] = set()
    for info in entries:
        folded = unicodedata.normalize("NFC", _plain(info.filename)).casefold()
        if folded in seen:
            raise InputRefused(
                "the name stands twice in the archive",
                file=name,
                place=_shown(info),
                remedy="Zip the plan's own files again.",
            )
        seen.add(folded)


def _refuse_overlap(
    archive: zipfile.ZipFile, entries: list[zipfile.ZipInfo], data: bytes, name: str
) -> None:
    """Refuse entries that share bytes with the next one or with the list of entries."""
    ordered = sorted(entries, key=lambda info: info.header_offset)
    starts = [*(info.header_offset for info in ordered), archive.start_dir]
    for info, (start, end) in zip(ordered, pairwise(starts), strict=True):
        header = data[start : start + LOCAL_HEADER.size]
        if len(header) < LOCAL_HEADER.size or not header.startswith(LOCAL_SIGNATURE):
            raise _damaged(name)
        _, name_length, extra_length = LOCAL_HEADER.unpack(header)
        if start + LOCAL_HEADER.size + name_length + extra_length + info.compress_size > end:
            raise InputRefused(
                "overlaps another entry of the archive",
                file=name,
                place=_shown(info),
                remedy="Zip the plan's own files again.",
            )


def _read(archive: zipfile.ZipFile, info: zipfile.ZipInfo, name: str) -> bytes:
    try:
        with archive.open(info) as stream:
            # One byte more than declared: the end is reached, and with it the check of the CRC.
            content = stream.read(info.file_size + 1)
    except Exception as error:
        raise _damaged(name, _shown(info)) from error
    if len(content) != info.file_size:
        raise _damaged(name, _shown(info))
    if content.startswith(LOCAL_SIGNATURE):
        raise InputRefused(
            "is an archive within the archive",
            file=name,
            place=_shown(info),
            remedy="Zip the plan's own files again.",
        )
    return content


def _plain(filename: str) -> str:
    """Return an entry's name with ``/`` between folders, whatever made the archive."""
    return filename.replace("\\", "/")


def _shown(info: zipfile.ZipInfo) -> str:
    """Return an entry's name short enough to leave room for what is wrong with it."""
    name = info.orig_filename
    return name if len(name) <= LONGEST_SHOWN else f"{name[: LONGEST_SHOWN - 1]}…"


def _damaged(name: str, entry: str = "") -> InputRefused:
    return InputRefused(
        "is a damaged zip archive", file=name, place=entry, remedy="Make the archive again."
    )


def _too_many(name: str, limits: Limits) -> InputRefused:
    return InputRefused(
        f"holds more than {limits.archive_entries:,} files", file=name, remedy="Zip the plan alone."
    )
