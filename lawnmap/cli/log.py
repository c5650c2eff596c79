"""The log of faults in lawnmap: what broke and where in our code, never whose lawn it was."""

from __future__ import annotations

import contextlib
import datetime as dt
import logging
import os
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path

import click

from lawnmap.errors import frames_of
from lawnmap.files.disk import DISK

SIZE = 1_000_000
FILES = 5


def folder() -> Path:
    """Return the folder the log is kept in."""
    return Path(click.get_app_dir("lawnmap")) / "log"


class _Note(logging.Handler):
    """Writes the faults of a server, which goes on after one, to the log."""

    def __init__(self, command: str) -> None:
        super().__init__(logging.ERROR)
        self.command = command

    def emit(self, record: logging.LogRecord) -> None:
        """Write the fault that a record is about, if any."""
        if record.exc_info and record.exc_info[1]:
            write_fault(self.command, record.exc_info[1])


@contextlib.contextmanager
def faults_noted(command: str) -> Iterator[None]:
    """Note what lawnmap's modules log as a fault, and keep it off the terminal."""
    own, note = logging.getLogger("lawnmap"), _Note(command)
    own.addHandler(note)
    own.propagate = False
    try:
        yield
    finally:
        own.propagate = True
        own.removeHandler(note)


def write_fault(command: str, fault: BaseException) -> Path | None:
    """Append a fault to the log and return where it is; None when it could not be written.

    Frames are written without their values, and the exception by its kind only: a message can hold
    a client's name or a path.
    """
    return write_frames(command, frames_of(fault))


def write_frames(command: str, frames: Sequence[str]) -> Path | None:
    """Append a fault that was noted elsewhere to the log, as :func:`write_fault` does."""
    text = "\n".join([f"lawnmap {version('lawnmap')} {command}: {frames[0]}", *frames[1:]])
    now = f"{dt.datetime.now(dt.UTC):%Y-%m-%d %H:%M:%SZ}"
    path = folder() / "lawnmap.log"
    try:
        DISK.do(os.makedirs, path.parent, mode=0o700, exist_ok=True)
        _turn(path)
        DISK.append(path, f"{now} {text}\n".encode())
    except OSError:
        return None
    return path


def _turn(path: Path) -> None:
    """Give a full log a number, and those before it the next; the oldest goes."""
    facts = DISK.look(path)
    if facts is None or facts.st_size < SIZE:
        return
    named = [path, *(path.with_name(f"{path.name}.{number}") for number in range(1, FILES))]
    for newer, older in reversed(list(pairwise(named))):
        if DISK.look(newer) is not None:
            DISK.do(os.replace, newer, older)
