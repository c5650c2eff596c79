"""The page of weak spots: ``lawnmap/reference/weak_spots.csv`` as people read it."""

from __future__ import annotations

from page_text import page, table

from lawnmap.reference.weak_spots import WeakSpot, weak_spots


def weak_spots_page() -> str:
    """Return the page of weak spots."""
    head = ["id", "part", "mended in", "weakness", "what lawnmap does", "told by", "standing"]
    return page(
        "Weak spots",
        "`lawnmap/reference/weak_spots.csv`",
        "Known faults of Python and of the libraries in use that a stranger's file or text could "
        "reach, and what lawnmap does about each, mended or not. `lawnmap about` says which of "
        "them are open in the versions on your machine. Versions are compared as they are: a "
        "distribution may have mended a fault under an older number. The list is what we know and "
        "no audit: see *Security* in `DEVELOPERS.md`.",
        table(head, map(_row, weak_spots())),
    )


def _row(spot: WeakSpot) -> list[str]:
    mended = ", ".join(spot.fixed_in) or "no version known"
    return [
        spot.id, spot.part, mended, spot.weakness, spot.guard, spot.told_by, spot.standing
    ]  # fmt: skip
