"""A cluster gives what one process gives, whatever becomes of its workers.

One cluster of two processes is started, and one of its workers killed; what else is to be shown
is shown on a scheduler within this process.
"""

import math
import os
import signal
import subprocess
import sys

import pytest

from lawnmap.errors import ExtraNeeded, InputRefused
from lawnmap.jobs.sites.engine import cluster, local, partitions
from tests.jobs.sites.engine.lawns import Areas, Deadly, Wrong, two_versions, zones

NUMBERS = list(range(1, 21))
ZONES = 100


@pytest.fixture(scope="module")
def source(tmp_path_factory):
    folder = tmp_path_factory.mktemp("source")
    for number in NUMBERS:
        partitions.write(folder, partitions.ZONES, number, zones(number, ZONES))
    return folder


@pytest.fixture(scope="module")
def alone(source, tmp_path_factory):
    out = tmp_path_factory.mktemp("alone")
    return out, list(local.run(NUMBERS, Areas(source, out)))


def files(folder):
    return {path.name: path.read_bytes() for path in (folder / "zones").iterdir()}


def total(found, name):
    return math.fsum(getattr(each, name) for each in sorted(found))


def test_a_killed_worker_costs_no_results(source, alone, tmp_path):
    told, found = [], []
    task = Areas(source, tmp_path, pause_s=0.1)
    run = cluster.run(NUMBERS, task, workers=2, progress=lambda *each: told.append(each))
    for each in run:
        if not found:
            os.kill(each.pid, signal.SIGKILL)
        found.append(each)
    assert sorted(each.number for each in found) == NUMBERS
    assert told == [(done, len(NUMBERS)) for done in range(1, len(NUMBERS) + 1)]
    assert os.getpid() not in {each.pid for each in found}
    assert len({each.pid for each in found}) == 3  # two, and the one that took over
    for name in ("area_m2", "bouts_m"):
        assert total(found, name) == pytest.approx(total(alone[1], name), rel=1e-12, abs=0)
    assert all(each.text_kept for each in found)
    assert files(tmp_path) == files(alone[0])
    for pid in {each.pid for each in found}:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)  # nobody is left


def test_a_scheduler_that_runs_already(source, alone, tmp_path, scheduler):
    found = list(cluster.run(NUMBERS[:3], Areas(source, tmp_path), scheduler=scheduler))
    assert sorted(each[2:] for each in found) == sorted(each[2:] for each in alone[1][:3])
    with pytest.raises(InputRefused, match=r"table: zone 100: is not a lawn"):
        list(cluster.run(NUMBERS[:3], Wrong(source, tmp_path), scheduler=scheduler))
    with pytest.raises(InputRefused, match=r"zones/000099\.parquet.*the same path"):
        list(cluster.run([99], Areas(source, tmp_path), scheduler=scheduler))


def test_workers_with_another_lawnmap_are_refused(source, tmp_path, scheduler, monkeypatch):
    monkeypatch.setattr(cluster, "version", two_versions)
    with pytest.raises(InputRefused, match=r"have lawnmap 0\.0\.2 and this is 0\.0\.1"):
        list(cluster.run(NUMBERS, Areas(source, tmp_path), scheduler=scheduler))


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nowhere", "tls://127.0.0.1:9"])
def test_no_scheduler_there(source, tmp_path, monkeypatch, address):
    monkeypatch.setattr(cluster, "PATIENCE_S", 1)
    with pytest.raises(InputRefused, match="no scheduler answers there"):
        list(cluster.run(NUMBERS, Areas(source, tmp_path), scheduler=address))


def test_without_the_extra_it_says_what_to_install(source, tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "NEEDED", ("no_such_package",))
    with pytest.raises(ExtraNeeded, match=r"lawnmap\[dask\]"):
        list(cluster.run(NUMBERS, Areas(source, tmp_path)))


def test_nothing_to_do_starts_nothing(source, tmp_path):
    assert not list(cluster.run([], Areas(source, tmp_path)))


@pytest.mark.skipif(not os.environ.get("LAWNMAP_LONG"), reason="starts a worker four times")
def test_a_partition_that_no_worker_outlives(source, tmp_path):
    with pytest.raises(InputRefused, match="smaller partitions"):
        list(cluster.run(NUMBERS[:1], Deadly(source, tmp_path), workers=1))


def test_dask_is_not_loaded_before_it_is_used():
    code = "import sys, lawnmap.jobs.sites.engine.cluster; print('dask' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "False"
