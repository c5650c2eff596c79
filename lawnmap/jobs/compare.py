"""The job ``compare``: did it work? Two surveys of a site, zone by zone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from lawnmap.errors import InputRefused
from lawnmap.model import Site
from lawnmap.processing import compare as step
from lawnmap.store import site as site_store
from lawnmap.store import surveys
from lawnmap.store.folder import Folder, find

NOW = "now"
LEVEL = 0.95
MANY = 10  # judged rows, from which one in twenty by chance is worth a word


@dataclass(frozen=True)
class CompareReply:
    """Names of the two surveys (``now`` is the site as it stands), the table, and its sentences."""

    earlier: str
    later: str
    table: pd.DataFrame
    sentences: tuple[str, ...]
    warnings: tuple[str, ...] = ()


def compare(path: Path, *, earlier: str = "", later: str = NOW) -> CompareReply:
    """Compare two surveys of a site.

    Parameters
    ----------
    path : Path
        A site folder.
    earlier : str
        Name of a closed survey; the last one before `later` when not given.
    later : str
        Name of a closed survey, or ``now`` for the site as it stands.

    Raises
    ------
    InputRefused
        When there is no such survey, or `earlier` is not the earlier one.
    """
    folder = find(path)
    first, name = _earlier(folder, earlier, later)
    second = site_store.load(folder) if later == NOW else surveys.named(folder, later).read()
    table = step.compare(first, second, level=LEVEL)
    return CompareReply(
        name, later, table, tuple(step.sentence(row) for _, row in table.iterrows()), _said(table)
    )


def _earlier(folder: Folder, earlier: str, later: str) -> tuple[Site, str]:
    """Return the earlier survey and its name."""
    there = surveys.listed(folder)
    before = there
    if later != NOW:
        second = surveys.named(folder, later)
        before = [each for each in there if (each.day, each.number) < (second.day, second.number)]
    if earlier:
        found = surveys.named(folder, earlier)
        if found not in before:
            raise InputRefused(
                f"the survey {earlier} is not earlier than {later}",
                file=folder.name,
                remedy="Name the earlier one first.",
            )
        return found.read(), found.name
    if not before:
        raise InputRefused(
            "there is no earlier survey to compare with",
            file=folder.name,
            remedy="Close a survey before the work: lawnmap survey.",
        )
    return before[0].read(), before[0].name


def _said(table: pd.DataFrame) -> tuple[str, ...]:
    judged = table[table["verdict"] != step.UNLIKE]
    if judged.empty:
        return (
            "Nothing could be judged: count moss on points or take two cores a zone, before and "
            "after.",
        )
    if len(judged) < MANY:
        return ()
    return (
        f"Of {len(judged)} comparisons about {len(judged) * (1 - LEVEL):.0f} lie outside the "
        "noise by chance alone.",
    )
