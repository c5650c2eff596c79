"""Partitions worked on a Dask cluster: one of this machine for the run, or one that is there.

Each partition is one task, read and worked where it lands, so that no zones travel. A worker that
dies is started anew, and what it was at is worked again.
"""

from __future__ import annotations

import contextlib
import logging
import tempfile
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from importlib.util import find_spec
from typing import Any, TypeVar

import geopandas as gpd
import pandas as pd

from lawnmap.errors import ExtraNeeded, InputRefused
from lawnmap.jobs.sites.engine.task import Progress, Task, quiet

Result = TypeVar("Result")

HERE = "127.0.0.1"
PATIENCE_S = 30
NEEDED = ("dask_geopandas", "distributed", "pyarrow", "cryptography")
NUMBER, RESULT = "number", "result"
# As it stands, text that is missing would come back as another kind of missing.
AS_IT_IS = {"dataframe.convert-string": False}
# A look at every stack a hundred times a second is for who tunes Dask; here it slows the work.
UNWATCHED = {"distributed.worker.profile.enabled": False}


def run(
    numbers: Sequence[int],
    task: Task[Result],
    *,
    workers: int = 2,
    scheduler: str = "",
    progress: Progress = quiet,
) -> Iterator[Result]:
    """Yield the result of each partition as it is done.

    Parameters
    ----------
    numbers : sequence of int
        Of the partitions.
    task : Task
    workers : int
        Processes to start on this machine, each with one thread; they end with the run.
    scheduler : str
        Address of a scheduler that runs already; its workers need lawnmap of this version and the
        same folders. None are started then.
    progress : callable
        Told how many partitions are done, of how many.

    Raises
    ------
    ExtraNeeded
        Without the packages of the extra ``dask``.
    InputRefused
        When no scheduler or worker answers, when their lawnmap is another, or when one partition
        has cost several workers their life.
    """
    if not all(map(find_spec, NEEDED)):
        raise ExtraNeeded(
            "the engine dask needs packages that are not installed",
            remedy="Install them: pip install 'lawnmap[dask]'. Or leave --engine out.",
        )
    import dask
    import distributed  # noqa: F401  its settings must be there before some of them are changed

    if not numbers:
        return
    with contextlib.ExitStack() as stack:
        stack.enter_context(dask.config.set({**AS_IT_IS, **UNWATCHED}))
        client = stack.enter_context(_there(scheduler) if scheduler else _started(workers))
        if scheduler:
            _agree(client, scheduler)
        futures = client.compute(_partitions(numbers, task).to_delayed())
        stack.callback(client.cancel, futures)
        for done, table in enumerate(_done(futures), start=1):
            yield table[RESULT].iloc[0]
            progress(done, len(numbers))


def _partitions(numbers: Sequence[int], task: Task[Any]) -> Any:
    """Return the results as a Dask table with one row a partition, not yet worked."""
    import dask.dataframe as dd
    import dask_geopandas  # noqa: F401  tables with a geometry become those of dask_geopandas

    shape = gpd.GeoDataFrame({"site_id": pd.Series([], dtype=object)}, geometry=[], crs="OGC:CRS84")
    zones = dd.from_map(task.read, list(numbers), meta=shape, enforce_metadata=False)
    return zones.map_partitions(
        _worked, list(numbers), task, meta=_row([], []), enforce_metadata=False
    )


def _worked(
    zones: gpd.GeoDataFrame,
    numbers: Sequence[int],
    task: Task[Any],
    partition_info: dict[str, Any] | None = None,
) -> pd.DataFrame:
    """Work a partition on a worker."""
    import pyarrow as pa

    pa.set_cpu_count(1)  # as many threads in all as there are workers
    pa.set_io_thread_count(1)
    if partition_info is None:
        raise ValueError("Dask did not say which partition it is")
    number = numbers[partition_info[NUMBER]]
    return _row([number], [task.work(number, zones)])


def _row(numbers: list[int], results: list[Any]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            NUMBER: pd.Series(numbers, dtype="int64"),
            RESULT: pd.Series(results, dtype=object),
        }
    )


def _done(futures: list[Any]) -> Iterator[pd.DataFrame]:
    """Yield what is done; each is forgotten by the cluster once it is here."""
    from distributed import KilledWorker, as_completed

    try:
        for future in as_completed(futures):
            table = future.result()
            future.release()
            yield table
    except KilledWorker as error:
        raise InputRefused(
            "the work on one partition ended its worker again and again, most likely for want of "
            "memory",
            done="What was done before is kept.",
            remedy="Use smaller partitions or fewer workers, and run it again.",
        ) from error


@contextlib.contextmanager
def _started(workers: int) -> Iterator[Any]:
    """Start a cluster that only this process can use, and end it.

    Whoever reaches a scheduler can run anything as its owner, and on a machine of many users all of
    them reach its ports. So both sides show a certificate made for this run.
    """
    import dask
    from distributed import Client, LocalCluster

    with (
        # Scratch of the workers, and no result: the system's own place, swept by the system.
        tempfile.TemporaryDirectory(prefix="lawnmap-") as scratch,
        dask.config.set({"temporary-directory": scratch}),
    ):
        try:
            started = LocalCluster(
                n_workers=workers,
                threads_per_worker=1,
                host=HERE,
                protocol="tls",
                security=True,
                dashboard_address=f"{HERE}:0",
                silence_logs=logging.CRITICAL,
            )
        except (OSError, RuntimeError) as error:
            raise InputRefused(
                f"workers could not be started ({error})",
                remedy="Start fewer, or leave --engine out.",
            ) from error
        with started as cluster, Client(cluster) as client:
            yield client


@contextlib.contextmanager
def _there(scheduler: str) -> Iterator[Any]:
    """Join a cluster that runs already, and leave it running."""
    from distributed import Client

    try:
        client = Client(scheduler, timeout=PATIENCE_S)
    except (OSError, ValueError, TypeError) as error:  # an address without sense is either
        raise InputRefused(
            f"no scheduler answers there ({error})",
            file=scheduler,
            remedy="Check the address, as tcp://HOST:8786, and that the scheduler runs.",
        ) from error
    with client:
        yield client


def _agree(client: Any, scheduler: str) -> None:
    """Refuse workers that would work out something else, or nothing."""
    ours = version("lawnmap")
    try:
        client.wait_for_workers(1, timeout=PATIENCE_S)
        theirs = set(client.run(version, "lawnmap").values())
    except TimeoutError as error:
        raise InputRefused(
            "the scheduler has no workers", file=scheduler, remedy="Start some: dask worker."
        ) from error
    except ImportError as error:
        raise InputRefused(
            "lawnmap is not installed on the workers",
            file=scheduler,
            remedy=f"Install lawnmap {ours} there.",
        ) from error
    if theirs != {ours}:
        raise InputRefused(
            f"its workers have lawnmap {', '.join(sorted(theirs))} and this is {ours}",
            file=scheduler,
            remedy="Install the same version there.",
        )
