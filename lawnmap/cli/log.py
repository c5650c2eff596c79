"""The log of faults in lawnmap: what broke and where in our code, never whose lawn it was."""

from __future__ import annotations

import logging
import os
import traceback
from importlib.metadata import version
from logging.handlers import RotatingFileHandler
from pathlib import Path

import click

SIZE = 1_000_000
FILES = 5


def folder() -> Path:
    """Return the folder the log is kept in."""
    return Path(click.get_app_dir("lawnmap")) / "log"


def write_fault(command: str, fault: BaseException) -> Path | None:
    """Append a fault to the log and return where it is; None when it could not be written.

    Frames are written without their values, and the exception by its kind only: a message can hold
    a client's name or a path.
    """
    frames = [
        f"  {Path(frame.filename).name}:{frame.lineno} in {frame.name}"
        for frame in traceback.extract_tb(fault.__traceback__)
    ]
    text = "\n".join([f"lawnmap {version('lawnmap')} {command}: {type(fault).__name__}", *frames])
    try:
        folder().mkdir(parents=True, exist_ok=True, mode=0o700)
        path = folder() / "lawnmap.log"
        handler = RotatingFileHandler(path, maxBytes=SIZE, backupCount=FILES - 1, encoding="utf-8")
        try:
            os.chmod(path, 0o600)  # noqa: PTH101 - Path.chmod follows links the same way
            handler.setFormatter(logging.Formatter("%(asctime)s %(message)s"))
            handler.emit(logging.LogRecord("lawnmap", logging.ERROR, "", 0, text, None, None))
        finally:
            handler.close()
    except OSError:
        return None
    return path
