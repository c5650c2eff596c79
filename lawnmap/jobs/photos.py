"""Photos for a paper: drawn anew and small, so many as a page can carry, a pair a zone first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain, zip_longest

from lawnmap.errors import InputRefused
from lawnmap.jobs.earlier import Before, Names
from lawnmap.paper import Photo
from lawnmap.readers.picture.photo import small
from lawnmap.store import photos
from lawnmap.store.folder import Folder

LONGEST_SIDE = 1_000  # pixels
MOST_BYTES = 5_000_000  # of all photos on one paper: a third more in the page, which mail carries
MOST = 200  # photos, each drawn in a process of its own


def shown(folder: Folder, before: Before) -> tuple[tuple[Photo, ...], Names]:
    """Return the photos of two surveys, a zone's older ones first, and warnings.

    Raises
    ------
    ExtraNeeded
        When Pillow is not installed.
    InputRefused
        When there is none.
    """
    if not before.photos:
        raise InputRefused(
            "no zone has a photo",
            file=folder.name,
            remedy="Put one on a zone with lawnmap mark, or leave --photos out.",
        )
    days = (before.earlier.day, before.earlier.now) if before.earlier else ("", "")
    kept: list[Photo] = []
    left, room, warnings = 0, MOST_BYTES, []
    for zone_id, when, name in _in_turn(before.photos):
        if len(kept) == MOST or room <= 0:
            left += 1
            continue
        try:
            image, size = small(photos.read(folder, name), LONGEST_SIDE)
        except InputRefused as error:
            if isinstance(error, ImportError):
                raise
            warnings.append(f"A photo of {zone_id} is left out: {error}")
            continue
        if len(image) > room:
            left, room = left + 1, 0
            continue
        room -= len(image)
        kept.append(Photo(zone_id, days[when], image, size, earlier=when == 0))
    if left:
        warnings.append(
            f"{left} photos are left out: those of one page may have {MOST_BYTES / 1e6:.0f} MB."
        )
    return tuple(kept), tuple(warnings)


def _in_turn(of_zones: Mapping[str, tuple[Names, Names]]) -> Iterator[tuple[str, int, str]]:
    """Yield zone, survey (0 or 1) and name: the first pair of every zone, then the second."""
    rows = [
        [
            [(zone_id, when, name) for when, name in enumerate(pair) if name]
            for pair in zip_longest(then, since, fillvalue="")
        ]
        for zone_id, (then, since) in of_zones.items()
    ]
    for turn in zip_longest(*rows, fillvalue=[]):
        yield from chain.from_iterable(turn)
