"""Partitions on disk: a folder for each table, and in it a Parquet file for each partition.

The folder of zones is GeoParquet that any program reads as one table. A file is there whole or not
at all, and the same table gives the same bytes.
"""

from __future__ import annotations

import contextlib
import os
import uuid
from pathlib import Path

import geopandas as gpd
import pandas as pd
import pyarrow as pa
from pyarrow import parquet

from lawnmap.errors import InputRefused
from lawnmap.files.commit import confirm, move, write_failed
from lawnmap.files.disk import DISK
from lawnmap.jobs.sites.door.writer import parquet_bytes

SUFFIX, TEMP = ".parquet", ".tmp"
ZONES, FEATURES = "zones", "features"
WITH_SHAPES = (ZONES, FEATURES)


def path_of(folder: Path, table: str, number: int) -> Path:
    """Return the file of a table in one partition."""
    return folder / table / f"{number:06d}{SUFFIX}"


def numbers(folder: Path, table: str = ZONES) -> list[int]:
    """Return the numbers of all partitions that have a table."""
    return sorted(int(path.stem) for path in (folder / table).glob(f"[0-9]*{SUFFIX}"))


def write(folder: Path, table: str, number: int, rows: pd.DataFrame) -> None:
    """Write a table of one partition.

    Two workers may be at it at once, when one is only thought dead: each writes a file of its own,
    and the last one stays, which is the same.

    Raises
    ------
    WriteFailed
        When the disk does not take it.
    """
    target = path_of(folder, table, number)
    own = target.with_name(f".{number:06d}.{uuid.uuid4().hex}{SUFFIX}{TEMP}")
    data = parquet_bytes(rows)
    try:
        DISK.do(os.makedirs, target.parent, exist_ok=True)
        DISK.write_new(own, data)
        try:
            move(own, target)
        except BaseException:
            with contextlib.suppress(OSError):  # the failure itself is the news
                DISK.remove(own)
            raise
    except OSError as error:
        raise write_failed(target.parent, error) from error
    # What it is worth when the disk does not confirm it: after a power cut it is worked out again.
    confirm(target.name, target.parent)


def swept(folder: Path) -> None:
    """Take away what a killed run had not finished writing. Only for who holds the lock of a run.

    Raises
    ------
    WriteFailed
        When the disk does not let it go.
    """
    try:
        for path in sorted(folder.glob(f"*/.[0-9]*{SUFFIX}{TEMP}")):
            DISK.remove(path)
    except OSError as error:
        raise write_failed(folder, error) from error


def rows(folder: Path, table: str, number: int) -> int:
    """Return how many rows a table has in one partition; nothing but its footer is read."""
    return int(parquet.read_metadata(path_of(folder, table, number)).num_rows)


def read(folder: Path, table: str, number: int) -> pd.DataFrame:
    """Read a table of one partition, text as objects and None where there is none.

    Returns
    -------
    DataFrame

    Raises
    ------
    InputRefused
        When the file is not there, or is no Parquet.
    """
    path = path_of(folder, table, number)
    reader = gpd.read_parquet if table in WITH_SHAPES else pd.read_parquet
    try:
        rows: pd.DataFrame = reader(path)
    except (OSError, ValueError, pa.ArrowException) as error:
        raise InputRefused(
            f"could not be read ({str(error)[:200]})",
            file=f"{table}/{path.name}",
            remedy="Every worker must see the folder of the partitions under the same path.",
        ) from error
    return rows.assign(**{
        str(name): column.astype(object).where(column.notna(), None)
        for name, column in rows.items()
        if pd.api.types.is_string_dtype(column.dtype) or column.dtype == object
    })  # fmt: skip
