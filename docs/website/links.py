"""Whether every link of a built site leads somewhere: pages, files and places within pages.

Nothing is fetched. What leads out of the site is only looked at: it has to be a whole address.
"""

from __future__ import annotations

from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple
from urllib.parse import unquote, urlsplit

LEADING = ("href", "src", "poster", "data", "action")
# Addresses that stand in a page and lead nowhere by themselves.
WORDS = ("mailto:", "tel:")
INLINE = ("data:",)


class Read(NamedTuple):
    """A page as it was read: places in it, and what it leads to, with whether it is loaded."""

    places: frozenset[str]
    leads: tuple[tuple[str, bool], ...]
    twice: tuple[str, ...]


class Fault(NamedTuple):
    """A link that leads nowhere, on which page, and why."""

    page: str
    target: str
    why: str


class Links(NamedTuple):
    """What was found in a site: how much was looked at, what is wrong, and what leads out."""

    pages: int
    links: int
    faults: tuple[Fault, ...]
    outside: tuple[str, ...]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.places: list[str] = []
        self.leads: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name == "id" or (name == "name" and tag == "a"):
                self.places.append(value or "")
            elif name in LEADING and value is not None:
                self.leads.append((value, tag not in {"a", "area", "form"}))
            elif name == "srcset" and value:
                self.leads += [(each.split()[0], True) for each in value.split(",")]


def read(text: str) -> Read:
    """Return what a page holds."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    seen, twice = set(), []
    for each in reader.places:
        if each in seen:
            twice.append(each)
        seen.add(each)
    return Read(frozenset(seen), tuple(reader.leads), tuple(twice))


def check(site: Path) -> Links:
    """Follow every link of a built site.

    Parameters
    ----------
    site : Path
        Folder with the pages.
    """
    pages = {
        path.relative_to(site).as_posix(): read(path.read_text(encoding="utf-8"))
        for path in sorted(site.rglob("*.html"))
    }
    faults: list[Fault] = []
    outside: set[str] = set()
    for name, page in pages.items():
        faults += [Fault(name, f"#{each}", "this place stands twice") for each in page.twice]
        for target, loaded in page.leads:
            if target.startswith((*WORDS, *INLINE)):
                continue
            if urlsplit(target).scheme or target.startswith("//"):
                outside.add(target)
                faults += _wrong_outside(name, target, loaded=loaded)
            else:
                faults += _wrong_inside(site, name, target, pages)
    faults += [Fault(name, "", "no other page leads here") for name in _unreached(pages)]
    count = sum(len(page.leads) for page in pages.values())
    return Links(len(pages), count, tuple(faults), tuple(sorted(outside)))


def _wrong_outside(page: str, target: str, *, loaded: bool) -> Iterator[Fault]:
    parts = urlsplit(target)
    if loaded:
        yield Fault(page, target, "is loaded from outside")
    elif parts.scheme != "https" or "." not in parts.netloc or " " in target:
        yield Fault(page, target, "is not a whole https address")


def _wrong_inside(site: Path, page: str, target: str, pages: dict[str, Read]) -> Iterator[Fault]:
    parts = urlsplit(target)
    name = _resolved(page, parts.path)
    if name is None:
        yield Fault(page, target, "leads out of the site")
    elif not (site / name).is_file():
        yield Fault(page, target, "there is no such file")
    elif parts.fragment and name in pages and unquote(parts.fragment) not in pages[name].places:
        yield Fault(page, target, "there is no such place on that page")


def _resolved(page: str, path: str) -> str | None:
    """Return what a relative path leads to, as seen from the top of the site; None for outside."""
    if not path:
        return page
    parts = page.split("/")[:-1]
    for each in unquote(path).split("/"):
        if each == "..":
            if not parts:
                return None
            parts.pop()
        elif each not in {"", "."}:
            parts.append(each)
    return "/".join(parts)


def _unreached(pages: dict[str, Read]) -> list[str]:
    """Return pages that one does not come to from the first page by links."""
    left, reached = ["index.html"], set()
    while left:
        name = left.pop()
        if name in reached or name not in pages:
            continue
        reached.add(name)
        for target, _ in pages[name].leads:
            if not urlsplit(target).scheme and not target.startswith("//"):
                left.append(_resolved(name, urlsplit(target).path) or "")
    return [name for name in pages if name not in reached]
