"""Zone ids: short, plain, never renumbered and never used again."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection

from lawnmap.errors import InputRefused
from lawnmap.schema import ZONE_ID

LONGEST = 32
# Names that Windows keeps for devices; files are named after zones, so no zone has them.
DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{n}" for port in ("com", "lpt") for n in range(10)),
}


def check_id(zone_id: str) -> str:
    """Return a zone id as it is.

    Raises
    ------
    InputRefused
        When it is not 1 to 32 plain letters, digits, hyphens and underscores.
    """
    if not ZONE_ID.fullmatch(zone_id) or zone_id.lower() in DEVICES:
        raise InputRefused(
            f"zone_id is {zone_id[:40]!r}",
            remedy="Use 1 to 32 letters, digits, hyphens and underscores, a letter or digit first.",
        )
    return zone_id


def new_id(name: str, taken: Collection[str]) -> str:
    """Return an id made from a name, different from all ids taken (in any case of letters).

    Examples
    --------
    >>> new_id("Bänk by the pond!", {"bank-by-the-pond"})
    'bank-by-the-pond-2'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[: LONGEST - 5].strip("-") or "zone"
    if stem in DEVICES:
        stem = f"zone-{stem}"
    low = {each.lower() for each in taken}
    number = 1
    while True:
        made = stem if number == 1 else f"{stem}-{number}"
        if made not in low:
            return made
        number += 1
