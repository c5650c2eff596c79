"""pyarrow, which the bulk door cannot do without; or one sentence that says so."""

from __future__ import annotations

from lawnmap.errors import ExtraNeeded

try:
    import pyarrow as pa
    import pyarrow.compute as pc
    from pyarrow import parquet
except ImportError as error:
    raise ExtraNeeded(
        "tables of very many zones are read and written by the package pyarrow, which is not "
        "installed",
        remedy="Install it: pip install 'lawnmap[parquet]'.",
    ) from error

__all__ = ["pa", "parquet", "pc"]
