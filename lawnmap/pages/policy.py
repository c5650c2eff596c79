"""A content security policy by hashes: the page runs what it came with and calls nobody.

Standard: W3C Content Security Policy Level 3, sections 2.3.1 (hash sources) and 3.3 (meta element).
The policy is the second wall; the first is :mod:`lawnmap.pages.escape`.
"""

from __future__ import annotations

import base64
import hashlib
import re
from html.parser import HTMLParser

from lawnmap.pages.escape import Html
from lawnmap.pages.tiles import HOST

PLACE = "<!--policy-->"


def digest(text: str) -> str:
    """Return the hash source of one inline script or style.

    Newlines are brought to LF first, as the browser does before it hashes (WHATWG HTML, 13.2.3.5).

    Examples
    --------
    >>> digest("alert('Hello, world.');")
    "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    raw = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(raw).decode('ascii')}'"


def policy(page: str, *, images_from: str = "") -> str:
    """Return the policy that lets exactly the inline scripts and styles of `page` work.

    Parameters
    ----------
    page : str
    images_from : str
        The one host that pictures may come from, by https; empty for nobody.

    Raises
    ------
    ValueError
        When that is not the plain name of a host: it would be a policy of its own.
    """
    if images_from and not re.fullmatch(HOST, images_from):
        raise ValueError(f"{images_from!r} is not the name of a host")
    images = f"data: https://{images_from}" if images_from else "data:"
    inline = _Inline()
    inline.feed(page)
    inline.close()
    sources = {
        kind: " ".join(dict.fromkeys(digest(text) for text in texts)) or "'none'"
        for kind, texts in inline.texts.items()
    }
    return (
        f"default-src 'none'; img-src {images}; "
        f"style-src {sources['style']}; script-src {sources['script']}; "
        "base-uri 'none'; form-action 'none'"
    )


def sealed(page: Html, *, images_from: str = "") -> Html:
    """Return the page, newlines as LF, with its policy written where ``<!--policy-->`` stands."""
    text = page.replace("\r\n", "\n").replace("\r", "\n")
    allowed = policy(text, images_from=images_from)
    meta = f'<meta http-equiv="Content-Security-Policy" content="{allowed}">'
    return Html(text.replace(PLACE, meta, 1))


class _Inline(HTMLParser):
    """Collects the text of inline scripts and styles; a data block is no script."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: dict[str, list[str]] = {"script": [], "style": []}
        self._open = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "style" or (tag == "script" and not dict(attrs).get("type")):
            self._open = tag
            self.texts[tag].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == self._open:
            self._open = ""

    def handle_data(self, data: str) -> None:
        if self._open:
            self.texts[self._open][-1] += data
