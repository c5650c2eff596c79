"""Which address may stand for map tiles in a page, and the one host that it names."""

from __future__ import annotations

import re

HOST = r"(?:[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?\.)+[a-z][a-z0-9-]{0,61}[a-z0-9]"
# RFC 3986, 3.3 and 3.4: the letters of a path and a query. A quote could end what it stands in,
# and another blank than these three (a sub-domain, a key) would be filled by nobody.
ADDRESS = re.compile(rf"https://({HOST})/((?:[A-Za-z0-9._~!$&*+,=:@%/?-]|\{{[zxy]\}})+)")
BLANKS = ("{z}", "{x}", "{y}")
WANTED = (
    "an address such as https://tiles.example.org/{z}/{x}/{y}.png: https, a plain name of a host, "
    "and each of {z}, {x} and {y} once"
)


def tile_host(url: str) -> str:
    """Return the host of a tile address.

    Parameters
    ----------
    url : str
        https, a host by its DNS name alone (no port, no user, no number), and each of the blanks
        ``{z}``, ``{x}`` and ``{y}`` once behind it.

    Raises
    ------
    ValueError
        For any other address.

    Examples
    --------
    >>> tile_host("https://tiles.example.org/grey/{z}/{x}/{y}.png")
    'tiles.example.org'
    """
    found = ADDRESS.fullmatch(url)
    if found is None or any(found[2].count(each) != 1 for each in BLANKS):
        raise ValueError(f"is not {WANTED}")
    return found[1]
