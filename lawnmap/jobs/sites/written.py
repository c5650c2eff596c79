"""The files of many sites: a table each as CSV, then the papers made from them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from lawnmap.errors import WriteFailed
from lawnmap.exports.gis.csv_table import encoded
from lawnmap.files.commit import commit, sweep
from lawnmap.files.disk import DISK
from lawnmap.jobs.sites.papers import PAPERS, papers

FILES = {
    "sites": "sites.csv",
    "site_needs": "needs.csv",
    "site_hours": "hours.csv",
    "totals_by": "totals.csv",
    "depot_shopping": "shopping.csv",
    "depot_machines": "machine_days.csv",
}


def written(
    tables: Mapping[str, pd.DataFrame], out: Path, **paper: Any
) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Write the tables and papers, each in the place of an earlier one.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        By their names in the schema.
    out : Path
        The folder of results; the caller holds its lock.
    **paper
        What :func:`lawnmap.jobs.sites.papers.papers` takes.

    Returns
    -------
    files : tuple of Path
    warnings : tuple of str

    Raises
    ------
    WriteFailed
        When the disk does not take one of them.
    """
    files: list[Path] = []
    told: list[str] = []

    def write(name: str, data: bytes) -> None:
        path = out / name
        sweep(path)  # left by a run that was killed: we hold the lock
        told.extend(commit(path, data, force=True))
        files.append(path)

    for table, name in FILES.items():
        write(name, encoded(tables[table]))
    made = papers(tables, **paper)
    for name, data in made.items():
        write(name, data)
    for name in PAPERS.keys() - made.keys():  # of an earlier run: it would say what holds no more
        gone(out / name)
    return tuple(files), tuple(told)


def gone(path: Path) -> None:
    """Take a file of an earlier run away.

    Raises
    ------
    WriteFailed
        When the disk does not let it go.
    """
    try:
        DISK.remove(path)
    except OSError as error:
        raise WriteFailed(
            f"is of an earlier run and could not be taken away ({error.strerror})",
            file=path.name,
            done="The other results are there.",
            remedy="Delete it: it holds no more.",
        ) from error
