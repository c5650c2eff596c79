"""What a picture is called after."""

from __future__ import annotations

from pathlib import PurePath

from lawnmap.files.admit import Source


def stem(source: Source) -> str:
    """Return the name of a file without its suffix."""
    return PurePath(source.name).stem
