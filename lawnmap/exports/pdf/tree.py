"""The page read back: its own HTML as a small tree of elements and text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from html.parser import HTMLParser

from lawnmap.pages.readings import SYSTEMS

VOID = frozenset({"br", "hr", "img", "input", "link", "meta", "source", "wbr"})
# For the screen only: what is pressed or typed into, what scripts fill, and scripts themselves.
SCREEN = frozenset({"script", "style", "template", "button", "select", "textarea", "head", "input"})
SCREEN_CLASSES = frozenset({"live", "screen", "patterns"})


@dataclass
class Element:
    """One element, its attributes in lower case, and what is in it in its order."""

    name: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Element | str] = field(default_factory=list)

    @cached_property
    def classes(self) -> list[str]:
        """Return the names in its class attribute."""
        return self.attributes.get("class", "").split()

    @property
    def elements(self) -> list[Element]:
        """Return its children without the text between them."""
        return [each for each in self.children if isinstance(each, Element)]

    def walk(self) -> Iterator[Element]:
        """Yield the element and all below it, in the order of the page."""
        yield self
        for each in self.elements:
            yield from each.walk()

    def text(self) -> str:
        """Return all text in it."""
        return "".join(each if isinstance(each, str) else each.text() for each in self.children)

    def first(self, name: str = "", *, class_: str = "") -> Element | None:
        """Return the first element below it of a name or class."""
        for each in self.walk():
            if each is not self and (each.name == name or (class_ and class_ in each.classes)):
                return each
        return None


def read(page: bytes) -> Element:
    """Return the page as a tree; its root holds the ``html`` element.

    A page of ours closes what it opens; in any other, an end tag closes all that is open inside
    its element, and one that closes nothing is passed over.
    """
    reader = _Reader()
    reader.feed(page.decode("utf-8", "replace"))
    reader.close()
    return reader.root


def on_paper(element: Element) -> Element:
    """Return the page without what is for the screen only.

    Of a figure that stands in several systems of units, the one the page opens with is left.
    """
    body = element.first("body")
    return _kept(element, body.attributes.get("data-units", "") if body else "")


def within(element: Element, name: str) -> list[Element]:
    """Return its children, words that stand bare between them each in an element of a name."""
    return [
        each if isinstance(each, Element) else Element(name, {}, [each])
        for each in element.children
        if isinstance(each, Element) or each.strip()
    ]


def without(element: Element, gone: Element) -> Element:
    """Return the element as it is but for one that is somewhere in it."""
    children = [
        each if isinstance(each, str) else without(each, gone)
        for each in element.children
        if each is not gone
    ]
    return replace(element, children=children)


def _kept(element: Element, units: str) -> Element:
    children = [
        each if isinstance(each, str) else _kept(each, units)
        for each in element.children
        if isinstance(each, str) or not (_of_screen(each) or _in_other_units(each, units))
    ]
    return replace(element, children=children)


def _in_other_units(element: Element, units: str) -> bool:
    systems = set(SYSTEMS).intersection(element.classes)
    return bool(units and systems) and units not in systems


def _of_screen(element: Element) -> bool:
    if element.name in SCREEN or "hidden" in element.attributes:
        return True
    if not SCREEN_CLASSES.isdisjoint(element.classes):
        return True
    if element.name == "p" and "still" in element.classes:
        return True  # it tells who sees the page without its scripts what a browser would show
    # A legend's line belongs to a layer of the map: on paper stand those that are shown.
    box = element.first("input") if element.name == "li" else None
    return box is not None and "checked" not in box.attributes


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("page")
        self._open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Element(tag, {name: value or "" for name, value in attrs})
        self._open[-1].children.append(made)
        if tag not in VOID:
            self._open.append(made)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        for place in range(len(self._open) - 1, 0, -1):
            if self._open[place].name == tag:
                del self._open[place:]
                return

    def handle_data(self, data: str) -> None:
        if self._open[-1].name not in ("script", "style"):
            self._open[-1].children.append(data)
