"""XML without the parts that have cost others their machines: no DTD, no entities, no depth.

Expat reads the text; nothing is fetched and nothing is expanded. What comes back is a small tree
that cannot be changed, in which every element knows the line it stands on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple
from xml.parsers import expat  # no DTD gets past this module, so expat's dangers do not arise

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.files.utf8 import decode

if TYPE_CHECKING:
    from collections.abc import Mapping

# A point of a recorded track is one to five elements and two attributes; the most that may stand
# in one file keeps the tree of the largest file under 300 MB.
MOST_PARTS = 5 * SITE.vertices

ENCODING = re.compile(rb"^(?:\xef\xbb\xbf)?<\?xml[^>]*?\sencoding\s*=\s*[\"']([\w.-]{1,40})[\"']")
UTF8 = {"utf-8", "utf8", "us-ascii", "ascii"}
ONE_BYTE = {"iso-8859-1": "latin-1", "windows-1252": "cp1252"}
SEPARATOR = " "  # cannot stand in a name, nor unescaped in a namespace


class Element(NamedTuple):
    """One element.

    Attributes
    ----------
    name : str
        Local name, without a prefix.
    namespace : str
        Empty when there is none.
    attributes : mapping of str to str
        Those without a prefix.
    text : str
        The element's own characters, without those of its children.
    children : tuple of Element
        In order.
    line : int
        Line of the start tag, from 1.
    """

    name: str
    namespace: str
    attributes: Mapping[str, str]
    text: str
    children: tuple[Element, ...]
    line: int

    def every(self, name: str) -> list[Element]:
        """Return the children of that name and of this element's own namespace."""
        space = self.namespace
        return [each for each in self.children if each.name == name and each.namespace == space]

    def first(self, name: str) -> Element | None:
        """Return the first child of that name and of this element's own namespace, if any."""
        return next(iter(self.every(name)), None)

    def text_of(self, name: str) -> str:
        """Return the text of the first child of that name without blanks around it, or nothing."""
        child = self.first(name)
        return child.text.strip() if child else ""


def parse(data: bytes, *, name: str, nesting: int = SITE.nesting) -> Element:
    """Return the root element of an XML text.

    Parameters
    ----------
    data : bytes
        UTF-8, or an encoding of one byte a character that the declaration names.
    name : str
        File name for messages.
    nesting : int
        The deepest element allowed.

    Raises
    ------
    InputRefused
        With the line, for XML that is not well formed, is nested too deep, holds too many
        elements, or has a DOCTYPE (the only place entities can come from).
    """
    text = _text(data, name)
    if text.count("=") > MOST_PARTS:
        raise _too_many(name)
    tree = _Tree(nesting)
    try:
        tree.parser.Parse(text, True)  # noqa: FBT003 - a C function: takes no keyword
    except expat.ExpatError as error:
        raise InputRefused(
            f"is not well-formed XML ({expat.ErrorString(error.code)})",
            file=name,
            place=f"line {error.lineno}, column {error.offset + 1}",
            remedy="Export the file again.",
        ) from error
    except InputRefused as error:
        raise error.within(file=name, place=f"line {tree.parser.CurrentLineNumber}") from None
    (root,) = tree.roots
    return root


def _text(data: bytes, name: str) -> str:
    """Decode by the declared encoding, if it is one of the few that are plainly safe."""
    declared = ENCODING.match(data)
    encoding = declared.group(1).decode("ascii").lower() if declared else "utf-8"
    if encoding in UTF8:
        return decode(data, name)
    if encoding not in ONE_BYTE:
        raise InputRefused(f"is in the encoding {encoding}", file=name, remedy="Save it as UTF-8.")
    try:
        return data.decode(ONE_BYTE[encoding])
    except UnicodeDecodeError as error:
        raise InputRefused(
            f"is not {encoding}, as it says (byte {error.start + 1})",
            file=name,
            remedy="Save it as UTF-8.",
        ) from error


def _too_many(name: str = "") -> InputRefused:
    return InputRefused(
        f"holds more than {MOST_PARTS:,} elements or attributes",
        file=name,
        remedy="Cut the plan down to the site, or split it.",
    )


@dataclass(slots=True)
class _Open:
    """An element whose end tag has not come yet."""

    name: str
    namespace: str
    attributes: dict[str, str]
    line: int
    text: list[str] = field(default_factory=list)
    children: list[Element] = field(default_factory=list)


class _Tree:
    """Builds elements from what expat reports."""

    def __init__(self, nesting: int) -> None:
        self.nesting = nesting
        self.parts = 0
        self.open: list[_Open] = []
        self.roots: list[Element] = []
        self.parser = expat.ParserCreate(namespace_separator=SEPARATOR)
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._data

    def _doctype(self, *_: object) -> None:
        raise InputRefused(
            "has a DOCTYPE, which can name other files and swell without end",
            remedy="Take the DOCTYPE out, or export the file again.",
        )

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        if len(self.open) >= self.nesting:
            raise InputRefused(
                f"elements are nested more than {self.nesting} deep", remedy="Flatten the folders."
            )
        self.parts += 1
        if self.parts > MOST_PARTS:
            raise _too_many()
        namespace, _, name = tag.rpartition(SEPARATOR)
        own = {key: value for key, value in attributes.items() if SEPARATOR not in key}
        self.open.append(_Open(name, namespace, own, self.parser.CurrentLineNumber))

    def _data(self, text: str) -> None:
        self.open[-1].text.append(text)

    def _end(self, _tag: str) -> None:
        done = self.open.pop()
        element = Element(
            done.name,
            done.namespace,
            done.attributes,
            "".join(done.text),
            tuple(done.children),
            done.line,
        )
        (self.open[-1].children if self.open else self.roots).append(element)
