"""What pages of columns, rules, treatments, readers and exports share: links, tables, sources."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import code_read

from lawnmap import plugins, schema
from lawnmap.reference import tables

DOCS = Path(__file__).parents[1]
FOLDER = {"column": "columns", "rule": "rules", "treatment": "treatments"} | {
    "reader": "readers",
    "export": "exports",
}
# What the prose pages say of a plugin stands in one place, and is shown on its own page as well.
SECTION = re.compile(r"^## (.+?)\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\((?!https?:|#)([^)\s]+)\)")
OWN = re.compile(r"\]\(#([^)\s]+)\)")


def link(kind: str, name: str, *, here: str = "..") -> str:
    """Return a link to the page of one thing, from a page one folder down."""
    return f"[`{name}`]({here}/{FOLDER[kind]}/{name}.md)"


def column_link(name: str, *, here: str = "..") -> str:
    """Return a link to a column that the schema knows; else the name alone."""
    return link("column", name, here=here) if name in by_name() else f"`{name}`"


def links(kind: str, names: Iterable[str]) -> str:
    """Return links beside each other."""
    return ", ".join(link(kind, each) for each in names)


@cache
def by_name() -> dict[str, tuple[schema.Column, ...]]:
    """Return the columns by name, each with every table that it stands in."""
    found: dict[str, tuple[schema.Column, ...]] = {}
    for each in schema.COLUMNS:
        found[each.name] = (*found.get(each.name, ()), each)
    return found


@cache
def ours(group: str) -> dict[str, str]:
    """Return the module of each of lawnmap's own plugins of a group, by name."""
    return {
        name: point.module
        for name, points in plugins.available(group).items()
        for point in points
        if plugins.owner(point) == "lawnmap"
    }


@cache
def plugin(group: str, name: str) -> Any:
    """Return one plugin."""
    return plugins.load(group, name)


def named(name: str) -> str:
    """Return the name of a source with a link to where it stands."""
    return f"[{name}](../reference_values.md#{name})"


def cited(ids: Iterable[str]) -> list[str]:
    """Return a line for each source: what it is, who says it, and a link to the list of sources."""
    lines = []
    for each in map(tables.source, ids):
        said = [each.author, each.title, each.publisher, each.year]
        lines.append(f"{named(each.id)}: {', '.join(part for part in said if part)}")
    return lines


def bullets(lines: Iterable[str], none: str) -> str:
    """Return a list, or a sentence when there is nothing to list."""
    return "\n".join(f"* {each}" for each in lines) or none


def values_table(ids: Iterable[str]) -> str:
    """Return a table of reference values with what they hold for and who says so."""
    rows = []
    for each in map(tables.value, dict.fromkeys(ids)):
        single = "" if each.value is None else f"{each.value:.12g}"
        spread = "" if each.low == each.high else f"{each.low:.12g} to {each.high:.12g}"
        source = named(each.source) if each.source else ""
        rows.append(
            [f"`{each.id}`", single, spread, each.unit, each.conditions, each.standing, source]
        )
    return table(["value", "figure", "range", "unit", "holds for", "standing", "source"], rows)


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a Markdown table."""
    cells = [[cell.replace("|", "\\|").replace("\n", " ") for cell in row] for row in rows]
    lines = [list(head), ["---"] * len(head), *cells]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def facts(rows: Iterable[tuple[str, str]]) -> str:
    """Return a table of two columns, without what is empty; the right is a header to nobody."""
    return table(["", ""], [[f"**{name}**", said] for name, said in rows if said])


def page(title: str, *parts: str) -> str:
    """Return a whole page."""
    return "\n\n".join([f"# {title}", *(each.strip() for each in parts if each.strip())]) + "\n"


def section(name: str, heading: str) -> str:
    """Return what a page of docs/ says under a heading, its links as seen from a folder below.

    Raises
    ------
    KeyError
        When there is no such heading.
    """
    text = (DOCS / name).read_text(encoding="utf-8")
    return moved(dict(SECTION.findall(text))[heading].strip(), name)


def moved(text: str, name: str) -> str:
    """Return text of a page of docs/ with its links as seen from a folder below."""
    return OWN.sub(rf"](../{name}#\1)", LINK.sub(r"](../\1)", text))


@cache
def row_of(name: str, heading: str) -> dict[str, dict[str, str]]:
    """Return the rows of the first table under a heading of a page, by each name in their cell."""
    head, _, *rows = [
        [cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]
        for line in section(name, heading).splitlines()
        if line.startswith("|")
    ]
    found = {}
    for row in rows:
        for each in re.findall(r"`([^`]+)`", row[0]):
            found[each] = dict(zip(head, row, strict=True))
    return found


def module_line(module: str) -> str:
    """Return a module with what it is."""
    return f"`{module}`: {code_read.first_line(module)}"
