"""Replies from shared pages: found in a file or a mail, and kept as ``replies/SHA256.json``.

A reply is one JSON object: ``lawnmap_reply`` (its format), ``content`` (JSON as text) and
``digest``, the SHA-256 of the content's UTF-8 bytes. Kept under its digest, the same reply is the
same file however it came.
"""

from __future__ import annotations

import base64
import binascii
import contextlib
import hashlib
import os
import re
from dataclasses import dataclass, field
from typing import Any

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.files.utf8 import decode
from lawnmap.store.folder import Folder, not_listed, not_opened
from lawnmap.store.inside import make_folder

VERSION = 1
LARGEST = 5_000_000  # bytes; 300 zones with every fact changed are 200,000
NESTING = 12
MOST_BLOCKS = 20  # in one mail, quoted ones among them
MEMBERS = {"lawnmap_reply", "digest", "content"}
NAME = re.compile(r"([0-9a-f]{64})\.json")
BEGIN = re.compile(r"BEGIN[\s>|]{1,20}LAWNMAP[\s>|]{1,20}REPLY")
END = re.compile(r"END[\s>|]{1,20}LAWNMAP[\s>|]{1,20}REPLY")
FOREIGN = re.compile(r"[^A-Za-z0-9+/=]+")  # what quoting and wrapping put between base64
AGAIN = "Ask for the reply once more, as a file."
WHOLE = (
    "Paste all of it: from the line BEGIN LAWNMAP REPLY down to the line END LAWNMAP REPLY, with "
    "both of them."
)


@dataclass(frozen=True)
class Envelope:
    """A reply whose digest holds; what its content says is not looked at yet.

    Attributes
    ----------
    digest : str
        SHA-256 of the content, 64 hexadecimal digits.
    content : dict
        As parsed.
    data : bytes
        The file to keep.
    """

    digest: str
    content: dict[str, Any] = field(repr=False)
    data: bytes = field(repr=False)

    @property
    def path(self) -> str:
        """Where it is kept, from the site's folder."""
        return f"replies/{self.digest}.json"


def opened(data: bytes, *, name: str) -> Envelope:
    """Return the reply in a file, or in the text of a mail.

    Parameters
    ----------
    data : bytes
        The reply's file; or text with the same in base64 between ``BEGIN LAWNMAP REPLY`` and
        ``END LAWNMAP REPLY``, quoted and wrapped as mails are.
    name : str
        File name for messages.

    Raises
    ------
    InputRefused
        When there is no whole reply, more than one, or its digest does not match.
    """
    if len(data) > LARGEST:
        raise InputRefused(
            f"is larger than {LARGEST / 1e6:.0f} MB", file=name, remedy="No reply is so large."
        )
    try:
        if decode(data, name).lstrip().startswith("{"):
            return _opened(data, name)
        found = {each.digest: each for each in (_opened(raw, name) for raw in _blocks(data, name))}
        if len(found) > 1:
            raise InputRefused(  # noqa: TRY301 - gets the file's name as all others do
                f"holds {len(found)} different replies", remedy="Save each in a file of its own."
            )
        return next(iter(found.values()))
    except InputRefused as error:
        raise error.within(file=name) from error.__cause__


def known(folder: Folder, digest: str, *, disk: Disk = DISK) -> bool:
    """Tell whether a reply was accepted before.

    Raises
    ------
    InputRefused
        When the disk does not say.
    """
    path = folder.replies / f"{digest}.json"
    try:
        return disk.look(path) is not None
    except OSError as error:
        raise not_opened(path, error) from error


def keep(folder: Folder, envelope: Envelope, *, disk: Disk = DISK) -> tuple[str, ...]:
    """Keep a reply that changes nothing else: the site stays at its revision.

    Returns
    -------
    tuple of str
        Warnings of the disk.

    Raises
    ------
    InputRefused
        When a link leads it out of the folder.
    WriteFailed
        When the disk does not take it.
    """
    path = folder.together(envelope.path)
    try:
        with locked(folder.lock, guards=folder.name, disk=disk):
            make_folder(folder, folder.replies, disk=disk)
            sweep(path, disk=disk)
            return commit(path, envelope.data, force=True, disk=disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(path, error) from error


def listed(folder: Folder, *, disk: Disk = DISK) -> tuple[list[Envelope], tuple[str, ...]]:
    """Return the accepted replies, the oldest first, and a warning for each that is damaged.

    Raises
    ------
    InputRefused
        When the folder cannot be listed: a reply that was read before would be taken for new.
    """
    try:
        names = disk.do(os.listdir, folder.replies)
    except FileNotFoundError:
        return [], ()
    except OSError as error:
        raise not_listed(folder.replies, error) from error
    found: list[Envelope] = []
    warnings: list[str] = []
    for name in sorted(filter(NAME.fullmatch, names)):
        try:
            each = opened(read_regular(folder.replies / name, limit=LARGEST), name=name)
        except InputRefused as error:
            warnings.append(f"A kept reply was left out: {error.file}: {error.problem}.")
        else:
            found.append(each)
    return sorted(found, key=lambda each: (str(each.content.get("at")), each.digest)), tuple(
        warnings
    )


def _blocks(data: bytes, name: str) -> list[bytes]:
    """Return what stands between the marks of a mail, out of base64."""
    text = decode(data, name)
    found: list[bytes] = []
    for start in BEGIN.finditer(text):
        end = END.search(text, start.end())
        if end is None:
            raise InputRefused("is cut off: the reply's last line is missing", remedy=WHOLE)
        if len(found) == MOST_BLOCKS:
            raise InputRefused("holds many replies", remedy=AGAIN)
        # "=3D" is an equals sign in quoted-printable, as a saved mail may have it.
        letters = FOREIGN.sub("", text[start.end() : end.start()]).replace("=3D", "=")
        with contextlib.suppress(binascii.Error, ValueError):
            found.append(base64.b64decode(letters, validate=True))
            continue
        raise InputRefused("the text between its marks is damaged", remedy=AGAIN)
    if not found:
        raise InputRefused("holds no reply that is whole: its first line is missing", remedy=WHOLE)
    return found


def _opened(data: bytes, name: str) -> Envelope:
    value = json_text.loads(data, name=name, nesting=NESTING)
    if not isinstance(value, dict) or "lawnmap_reply" not in value:
        raise InputRefused("is not a reply", remedy=AGAIN)
    version = value["lawnmap_reply"]
    if type(version) is not int or version < 1:
        raise InputRefused("lawnmap_reply is not a whole number", remedy=AGAIN)
    if version > VERSION:
        raise InputRefused(
            f"is a reply of format {version}, made by a newer lawnmap",
            remedy="Read it with that lawnmap.",
        )
    content, digest = value.get("content"), value.get("digest")
    if set(value) != MEMBERS or not isinstance(content, str) or not isinstance(digest, str):
        raise InputRefused("is not made as a reply is", remedy=AGAIN)
    if hashlib.sha256(content.encode()).hexdigest() != digest.lower():
        raise InputRefused(
            "was damaged or changed after it was made (its digest does not match)", remedy=AGAIN
        )
    parsed = json_text.loads(content.encode(), name=name, nesting=NESTING)
    if not isinstance(parsed, dict):
        raise InputRefused("the content is not an object", remedy=AGAIN)
    kept = {"lawnmap_reply": version, "digest": digest.lower(), "content": content}
    return Envelope(digest.lower(), parsed, (json_text.dumps(kept) + "\n").encode())
