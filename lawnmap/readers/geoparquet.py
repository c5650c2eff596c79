"""GeoParquet 1.0 and 1.1 (OGC), read by pyarrow in the guarded child."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from lawnmap.errors import ExtraNeeded
from lawnmap.files import child
from lawnmap.readers import handover
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.found import Found, Layer

TITLE = "GeoParquet"
KINDS = ("parquet",)
CHILD = True


@netted
def look(source: Source) -> list[Layer]:
    """List the one layer that a GeoParquet file is."""
    return handover.layers(_ask("layers", source, None))


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; here the CRS says it
) -> Found:
    """Return the rows of a GeoParquet file.

    Raises
    ------
    ExtraNeeded
        When pyarrow is not installed.
    InputRefused
        For a plain Parquet table, an encoding other than WKB, and what pyarrow cannot read.
    """
    return handover.unpack(_ask("features", source, layer), crs)


def _ask(question: str, source: Source, layer: str | None) -> Any:
    if find_spec("pyarrow") is None:
        raise ExtraNeeded(
            "GeoParquet is read by the package pyarrow, which is not installed",
            remedy="Install it: pip install 'lawnmap[parquet]'.",
        )
    return child.run(
        f"lawnmap.readers.parquet_table:{question}",
        {"plan.parquet": source.data},
        {"file": "plan.parquet", "name": PurePath(source.name).stem, "layer": layer},
        environment={"ARROW_DEFAULT_MEMORY_POOL": "system", "ARROW_IO_THREADS": "1"},
    )
