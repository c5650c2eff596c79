"""A parcel: a value that is laid into a page deflated, for its script to open when it is wanted."""

from __future__ import annotations

import base64
import zlib
from typing import Any

from lawnmap.pages.escape import Html, json_text, tag

TIGHTEST = 9  # zlib's level


def parcel(name: str, value: Any) -> Html:
    """Return `value` as JSON in UTF-8, deflated with zlib's frame (RFC 1950) and written in Base64.

    A script reads it by ``DecompressionStream("deflate")``, as the Compression Standard of the
    WHATWG names that format. Strings are cleaned as in a block.
    """
    packed = zlib.compress(json_text(value, ascii_only=False).encode("utf-8"), TIGHTEST)
    text = Html(base64.b64encode(packed).decode("ascii"))  # letters, digits, + / =
    return tag("script", text, type="application/json", data_parcel=name)
