"""What a door lets in: each limit belongs to a door.

A person imports through the *site* door. Tables of the zones of very many sites come through the
*bulk* door, which never holds more than a batch of them: so its limits are on one site and on one
zone. The figures were chosen from measured costs: 2,000,000 vertices of GeoJSON took 4 s and 613 MB
to parse, 100,000 zones 3 s and 260 MB; a real site has 5 to 300 zones.
"""

from __future__ import annotations

from typing import NamedTuple


class Limits(NamedTuple):
    """The most that one door admits."""

    file_bytes: int
    zones: int
    vertices: int
    nesting: int
    name_length: int
    archive_entries: int
    archive_bytes: int
    archive_ratio: int
    pixels: int


SITE = Limits(
    file_bytes=50_000_000,
    zones=10_000,
    vertices=200_000,
    nesting=64,
    name_length=200,
    archive_entries=1_000,
    archive_bytes=100_000_000,
    archive_ratio=200,
    pixels=160_000_000,  # an A0 sheet at 300 dots an inch has 139 million
)

BULK = Limits(
    file_bytes=4_000_000_000,
    zones=100_000,  # of one site, since a batch holds whole sites
    vertices=20_000,  # of one zone
    nesting=64,
    name_length=200,
    archive_entries=0,  # no archives and no pictures
    archive_bytes=0,
    archive_ratio=0,
    pixels=0,
)
