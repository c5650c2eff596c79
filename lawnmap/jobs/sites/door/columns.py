"""Which column of a table is which of ours."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.jobs.sites.door.content import ZONES, Content

# What names a zone, the best first, when no column is called zone_id.
INSTEAD_OF_ZONE_ID = ("id", "fid")
MOST_SHOWN = 20


class Columns(NamedTuple):
    """Columns of a file.

    Attributes
    ----------
    used : dict of str to str
        The file's name for each of our columns that it has.
    unknown : tuple of str
        What is left out: names we do not know, and columns that are worked out again.
    """

    used: dict[str, str]
    unknown: tuple[str, ...]


def matched(names: Iterable[str], rename: Mapping[str, str], content: Content = ZONES) -> Columns:
    """Tell which of a file's columns are ours: by `rename`, else by name.

    Names are compared without regard to case, blanks and hyphens.

    Parameters
    ----------
    names : iterable of str
        Of the file's columns without its shapes.
    rename : mapping of str to str
        The file's name for a column of ours.
    content : Content

    Raises
    ------
    UsageProblem
        For a name in `rename` that is none of ours.
    InputRefused
        For one that the file does not have, and for two columns of one meaning.
    """
    there = tuple(names)
    _check(rename, there, content)
    used = dict(rename)
    known = set(content.columns)
    for name in there:
        own = plain(name)
        if own not in known or own in rename or name in rename.values():
            continue
        if own in used:
            raise InputRefused(
                f"two columns both stand for {own}: {used[own][:60]!r} and {name[:60]!r}",
                remedy="Keep one, or choose one with --rename.",
            )
        used[own] = name
    if content.named and "zone_id" not in used:
        by_name = {plain(name): name for name in there if name not in used.values()}
        instead = [by_name[each] for each in INSTEAD_OF_ZONE_ID if each in by_name]
        used.update({"zone_id": instead[0]} if instead else {})
    taken = set(used.values())
    return Columns(used, tuple(name for name in there if name not in taken))


def check_needed(columns: Columns, content: Content) -> None:
    """Refuse a table without a column that gives its rows their meaning.

    Raises
    ------
    InputRefused
        With the first column that is missing, and what others there are.
    """
    for name in content.needed:
        if name not in columns.used:
            shown = ", ".join(each[:40] for each in columns.unknown[:MOST_SHOWN])
            raise InputRefused(
                f"has no column {name}, and a table of {content.table} must have one",
                remedy=f"Add it, or say with --rename which it is. Others are: {shown or 'none'}.",
            )


def plain(name: str) -> str:
    """Return a column's name as the schema would write it."""
    return name.strip().lower().replace(" ", "_").replace("-", "_")


def _check(rename: Mapping[str, str], there: tuple[str, ...], content: Content) -> None:
    for own, theirs in rename.items():
        if own not in content.columns:
            raise UsageProblem(
                f"{own[:60]!r} is no column of a table of {content.table}",
                remedy=f"docs/columns.md lists the facts of a {content.one}.",
            )
        if theirs not in there:
            shown = ", ".join(name[:40] for name in there[:MOST_SHOWN])
            raise InputRefused(
                f"has no column {theirs[:60]!r}", remedy=f"Its columns are: {shown or 'none'}."
            )
