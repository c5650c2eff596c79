"""The source of the site: docs/ as it stands, README and DEVELOPERS, and the pages that are made.

docs/ is read on plain Git hosts too, so nothing in it speaks of a generator: what a generator needs
beside (the order of pages, pages of columns and rules) is added to a copy.
"""

from __future__ import annotations

import re
import shutil
import tomllib
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import api_pages
import column_pages
import export_pages
import reader_pages
import rule_pages
import treatment_pages

TOP = Path(__file__).parents[2]
DOCS = TOP / "docs"
HERE = Path(__file__).parent
BESIDE = {"README.md": "readme.md", "DEVELOPERS.md": "developers.md"}
LINK = re.compile(r"(\]\()([^)\s#]+)((?:#[^)\s]*)?\))")
FENCE = re.compile(r"(^```.*?^```[^\n]*$)", re.MULTILINE | re.DOTALL)
LAST = "More"
# Pages that are listed by another one, and lie below it.
BELOW = {
    "columns": "columns/",
    "rules/index": "rules/",
    "treatments/index": "treatments/",
    "readers/index": "readers/",
    "exports/index": "exports/",
    "commands/index": "commands/",
    "plans/index": "plans/",
    "scenarios/index": "scenarios/",
    "api/index": "api/",
}


def make(into: Path) -> None:
    """Write the source of the site into a folder that is emptied first.

    Raises
    ------
    FileNotFoundError
        When a page links to a file that is not there.
    """
    shutil.rmtree(into, ignore_errors=True)
    shutil.copytree(DOCS, into, ignore=shutil.ignore_patterns("website", "__pycache__"))
    for path in sorted(into.rglob("*.md")):
        name = path.relative_to(into)
        path.write_text(_relinked(path.read_text("utf-8"), DOCS / name, into), encoding="utf-8")
    for name, staged in BESIDE.items():
        text = _relinked((TOP / name).read_text("utf-8"), TOP / name, into)
        (into / staged).write_text(text, encoding="utf-8")
    for name, text in made().items():
        path = into / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    _ordered(into)


def made() -> dict[str, str]:
    """Return every page that is made from the code, by its path."""
    rooms = (column_pages, rule_pages, treatment_pages, reader_pages, export_pages, api_pages)
    return {name: text for room in rooms for name, text in room.pages().items()}


def sections() -> list[dict[str, Any]]:
    """Return the sections of the site in order, each with its title and its pages."""
    found: list[dict[str, Any]] = _navigation()["section"]
    return found


def titles() -> dict[str, str]:
    """Return titles for the navigation, of pages whose own says too little in a list."""
    found: dict[str, str] = _navigation()["titles"]
    return found


@cache
def _navigation() -> dict[str, Any]:
    return tomllib.loads((HERE / "navigation.toml").read_text(encoding="utf-8"))


def navigation(pages: Iterable[str]) -> list[dict[str, Any]]:
    """Return the sections with those of their pages that are there; the rest goes under the last.

    Parameters
    ----------
    pages : iterable of str
        Names of all pages, without suffix.
    """
    there = {each for each in pages if each != "index"}
    found = [
        {**each, "pages": [page for page in each["pages"] if page in there]} for each in sections()
    ]
    named = {page for each in found for page in each["pages"]}
    below = tuple(BELOW.values())
    rest = sorted(each for each in there - named if not each.startswith(below))
    return found + ([{"title": LAST, "pages": rest}] if rest else [])


def _relinked(text: str, origin: Path, into: Path) -> str:
    """Return a page with links that hold in the copy; what lies outside docs/ is copied beside."""

    def moved(link: re.Match[str]) -> str:
        target = link[2]
        if re.match(r"[a-z]+:", target):
            return link[0]
        there = (origin.parent / target).resolve()
        if origin.is_relative_to(DOCS) and there.is_relative_to(DOCS):
            return link[0]
        return f"{link[1]}{_staged(there, origin, into)}{link[3]}"

    parts = FENCE.split(text)
    return "".join(
        part if number % 2 else LINK.sub(moved, part) for number, part in enumerate(parts)
    )


def _staged(there: Path, origin: Path, into: Path) -> str:
    """Return where a file of the source tree lies in the copy, as seen from a page."""
    up = "../" * (len(origin.relative_to(DOCS).parts) - 1) if origin.is_relative_to(DOCS) else ""
    if there.is_dir() and (there / "index.md").exists():
        there /= "index.md"
    name = there.relative_to(TOP).as_posix()
    if name in BESIDE:
        return up + BESIDE[name]
    if there.is_relative_to(DOCS):
        return up + there.relative_to(DOCS).as_posix()
    copy = into / "source" / name
    copy.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(there, copy)
    return f"{up}source/{name}"


def _ordered(into: Path) -> None:
    """Add the order of the pages: sections to the first page, what lies below to each list."""
    suffixes = (".md", ".ipynb")
    pages = sorted(
        path.relative_to(into).with_suffix("").as_posix()
        for path in into.rglob("*")
        if path.suffix in suffixes
    )
    for each in navigation(pages):
        _append(into / "index.md", each["pages"], each["title"])
    for page, folder in BELOW.items():
        inside = [each for each in pages if each.startswith(folder) and each != page]
        _append(into / f"{page}.md", [each.removeprefix(_folder(page)) for each in inside], "")


def _folder(page: str) -> str:
    return page[: page.rfind("/") + 1]


def _append(path: Path, pages: Sequence[str], caption: str) -> None:
    options = [":hidden:", *([f":caption: {caption}"] if caption else [])]
    lines = ["", "```{toctree}", *options, "", *pages, "```", ""]
    with path.open("a", encoding="utf-8") as page:
        page.write("\n".join(lines))
