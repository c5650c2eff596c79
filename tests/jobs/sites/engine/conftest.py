"""A Dask scheduler with one worker, both within this process: what is sent is sent as ever."""

import pyarrow as pa
import pytest


@pytest.fixture
def threads():
    before = pa.cpu_count(), pa.io_thread_count()
    yield
    pa.set_cpu_count(before[0])
    pa.set_io_thread_count(before[1])


@pytest.fixture
def scheduler(threads, tmp_path_factory):
    import dask
    from distributed import LocalCluster

    folder = {"temporary-directory": str(tmp_path_factory.mktemp("dask"))}
    with dask.config.set(folder), LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, protocol="tcp", host="127.0.0.1",
        dashboard_address="127.0.0.1:0",
    ) as made:  # fmt: skip
        yield made.scheduler_address
