"""Signs of lawnmap's own words on a terminal that cannot show them: what stands for them there."""

from __future__ import annotations

import codecs
import io
from typing import TextIO

HANDLER = "lawnmap"
ASCII = "lawnmap-ascii"

# What cannot be shown and is not here, such as a letter of a name, is escaped: it must stay
# what it is.
PLAIN = {
    "²": "2", "³": "3", "㎡": "m2", "µ": "u", "½": "1/2", "¼": "1/4", "¾": "3/4",
    "°": " deg", "′": "'", "″": '"', "±": "+/-", "×": "x", "·": "*", "√": "root ", "−": "-",
    "≈": "~", "≤": "<=", "≥": ">=", "→": "->", "…": "...", "–": "-", "—": "-", "‘": "'",
    "’": "'", "“": '"', "”": '"', "‹": "<", "›": ">", "▸": ">", "©": "(c)", "€": "EUR ",
    "£": "GBP ", "\u00a0": " ", "\u2009": " ", "\u202f": " ",
    "＝": "=", "＋": "+", "－": "-", "＠": "@", "─": "-", "│": "|", "├": "+", "└": "+",
}  # fmt: skip


def plain(error: UnicodeError) -> tuple[str, int]:
    r"""Return what stands for the signs that an encoding does not have (an error handler).

    Examples
    --------
    >>> "12 m² at 5°, Bänk".encode("ascii", HANDLER)
    b'12 m2 at 5 deg, B\\xe4nk'
    """
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end]
    shown = [PLAIN.get(each) or each.encode("ascii", "backslashreplace").decode() for each in signs]
    return "".join(shown), error.end


def _ascii(name: str) -> codecs.CodecInfo | None:
    """Return ASCII under our name for it."""
    if name.replace("_", "-") != ASCII:
        return None
    found = codecs.lookup("ascii")
    return codecs.CodecInfo(
        found.encode,
        found.decode,
        found.streamreader,
        found.streamwriter,
        found.incrementalencoder,
        found.incrementaldecoder,
        name=ASCII,
    )


def write_plainly(stream: TextIO) -> None:
    """Have a stream write out plainly what it cannot show.

    An ASCII stream gets our name for its encoding: click takes "ascii" for a slip of the system and
    writes UTF-8 to it all the same.
    """
    if not isinstance(stream, io.TextIOWrapper):
        return
    if codecs.lookup(stream.encoding).name == "ascii":
        stream.reconfigure(encoding=ASCII, errors=HANDLER)
    else:
        stream.reconfigure(errors=HANDLER)


codecs.register_error(HANDLER, plain)
codecs.register(_ascii)
