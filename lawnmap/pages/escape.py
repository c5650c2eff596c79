"""The two doors through which a person's words may enter a page: as text, or as one JSON block.

Whatever is not :class:`Html` is text and is escaped. ``Html`` is made here and from the package's
own files, nowhere else, so that a forgotten escape is a ``TypeError`` and not a script in a
client's browser.
"""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from lawnmap.pages.readings import BETWEEN, END, FIGURE, grouped, reading

# HTML cannot hold these (WHATWG HTML, 3.2.1.1 "noncharacters", 13.2.3.5), not even escaped.
UNFIT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff]")
HALF = re.compile("[\ud800-\udfff]")
NAME = re.compile(r"[a-zA-Z][a-zA-Z0-9-]*")
# A page names no address, runs nothing and is styled by its sheet alone.
REFUSED = re.compile(
    r"on.*|style|src|srcset|srcdoc|action|formaction|data|ping|background", re.IGNORECASE
)
WHOLE = frozenset({int, bool, type(None)})  # what needs no look
VOID = frozenset({"br", "hr", "input", "meta"})
TEXT_ONLY = frozenset({"title", "option", "textarea", "text", "tspan"})  # can hold no other element


class Html(str):
    """Markup: text that has been escaped, or that came with the package."""

    __slots__ = ()


def clean(text: str) -> str:
    """Return `text` without the characters that HTML cannot hold.

    Control characters are dropped; half a surrogate pair becomes the replacement character.
    """
    return HALF.sub("\ufffd", UNFIT.sub("", text.replace("\r\n", "\n").replace("\r", "\n")))


def escape(text: object) -> Html:
    """Return anything as markup: ``Html`` as it is, all else as escaped text.

    Examples
    --------
    >>> escape("<b>Back & 'side'</b>")
    '&lt;b&gt;Back &amp; &#x27;side&#x27;&lt;/b&gt;'
    """
    if isinstance(text, Html):
        return text
    # Marked figures are made into elements only now, when all that they say has been escaped.
    escaped = html.escape(_tidy(str(text)), quote=True).replace("`", "&#96;")
    return Html(FIGURE.sub(_spans, escaped) if END in escaped else escaped)


def join(parts: Iterable[object], between: str = "") -> Html:
    """Return the parts as markup, one after the other."""
    return Html(escape(between).join(escape(part) for part in parts))


def tag(name: str, /, *children: object, **attributes: object) -> Html:
    """Return one element.

    Parameters
    ----------
    name : str
        Element name.
    *children : object
        Text, which is escaped, or Html.
    **attributes : object
        ``class_`` stands for class, ``stroke_width`` for stroke-width. None and False leave an
        attribute out, True writes it without a value.

    Raises
    ------
    ValueError
        For an attribute that could run code, carry style or name an address.

    Examples
    --------
    >>> tag("td", "3 < 4", class_="area")
    '<td class="area">3 &lt; 4</td>'
    """
    start = "".join(_attribute(key, value) for key, value in attributes.items())
    if name in VOID:
        return Html(f"<{name}{start}>")
    if name in TEXT_ONLY:
        children = tuple(x if isinstance(x, Html) else reading(str(x)) for x in children)
    return Html(f"<{name}{start}>{join(children)}</{name}>")


def said(text: object) -> Html:
    """Return a person's words, set apart so that their reading direction stays their own."""
    return tag("bdi", text)


def block(identifier: str, value: Any) -> Html:
    r"""Return `value` as a JSON block that a script reads by ``JSON.parse``.

    NaN and infinities become null, since JSON has neither. Everything outside ASCII and ``< > &``
    is written as an escape of four digits, so that nothing in it can end the block. Marked figures
    stay as they are, for the script to make elements of.
    """
    text = json_text(value)
    for char in "<>&":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return Html(f'<script type="application/json" id="{escape(identifier)}">{text}</script>')


def json_text(value: Any, *, ascii_only: bool = True) -> str:
    """Return `value` as JSON: NaN and infinities as null, strings cleaned."""
    return json.dumps(
        _finite(value), ensure_ascii=ascii_only, allow_nan=False, separators=(",", ":")
    )


def _tidy(text: str) -> str:
    """Return a text cleaned but for its marked figures, which stay whole."""
    if END not in text:
        return clean(text)
    kept, at = [], 0
    for figure in FIGURE.finditer(text):
        readings = BETWEEN.join(map(clean, figure.groups()[1:]))
        kept += [clean(text[at : figure.start()]), f"{figure[1]}{readings}{END}"]
        at = figure.end()
    return "".join([*kept, clean(text[at:])])


def _spans(figure: re.Match[str]) -> str:
    """Return a marked figure, already escaped, as an element for each of its readings."""
    return "".join(
        f'<span class="{" ".join(systems)}">{text}</span>'
        for text, systems in grouped(figure).items()
    )


def _attribute(key: str, value: object) -> str:
    if value is None or value is False:
        return ""
    name = key.rstrip("_").replace("_", "-")
    if not NAME.fullmatch(name) or REFUSED.fullmatch(name):
        raise ValueError(f"the attribute {name!r} is not allowed in a page")
    if name.lower() == "href" and not str(value).startswith("#"):
        raise ValueError("a page links to places in itself only")
    return f" {name}" if value is True else f' {name}="{escape(reading(str(value)))}"'


def _finite(value: Any) -> Any:
    """Return `value` with NaN and infinities as None, and text without unfit characters."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, str):
        return _tidy(value)
    if isinstance(value, Mapping):
        return {clean(str(key)): _finite(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        if set(map(type, value)) <= WHOLE:  # ten thousand outlines are a million of these
            return value
        return [_finite(each) for each in value]
    return value
