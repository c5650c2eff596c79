"""Site files of older formats, brought up in memory.

Each function takes the whole document in one format and returns it in the next. It changes nothing
on disk: the new form is written with the next save, and the old file is then kept for good.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lawnmap.errors import SiteDamaged
from lawnmap.model import FORMAT

Document = dict[str, Any]

# MIGRATIONS[1] brings a document from format 1 to format 2, and so on up to FORMAT.
MIGRATIONS: Mapping[int, Callable[[Document], Document]] = {}


def bring_up(
    document: Document,
    *,
    name: str,
    newest: int = FORMAT,
    migrations: Mapping[int, Callable[[Document], Document]] = MIGRATIONS,
) -> Document:
    """Return `document` in the newest format.

    Parameters
    ----------
    document : dict
        A site document whose ``lawnmap`` header has a whole number as its format.
    name : str
        File name for messages.
    newest : int
        The format of this lawnmap.
    migrations : mapping
        One function a format.

    Raises
    ------
    SiteDamaged
        When the format is newer than this lawnmap, or older than any it ever had.
    """
    found = document["lawnmap"]["format"]
    if found > newest:
        raise SiteDamaged(
            f"has format {found}, and this lawnmap knows formats up to {newest}",
            file=name,
            remedy="Install a newer lawnmap.",
        )
    for number in range(found, newest):
        if number not in migrations:
            raise SiteDamaged(
                f"has format {found}, which no lawnmap ever wrote",
                file=name,
                remedy="Restore a backup: lawnmap check SITE --restore.",
            )
        document = migrations[number](document)
        document = {**document, "lawnmap": {**document["lawnmap"], "format": number + 1}}
    return document
