"""The guarded child that pours: what comes out of it, and how it ends."""

import os
import socket
import sys
import threading
import time
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files import flow

FUNCTIONS = """
import os, pathlib, signal, socket, time
from lawnmap.errors import LayerNeeded

def copy(stream, *, file, times):
    data = pathlib.Path(file).read_bytes()
    for _ in range(times):
        stream.write(data)

def names(stream, *, file):
    stream.write("\\n".join(sorted(os.listdir())).encode())

def knock(stream, *, file, port):
    with socket.create_connection(("127.0.0.1", port)):
        stream.write(b"open")

def stop_short(stream, *, file, how):
    stream.write(b"some")
    stream.flush()
    if how == "refused":
        raise LayerNeeded("holds 2 layers", remedy="Choose.")
    if how == "fault":
        raise KeyError("secret")
    if how == "crash":
        os.kill(os.getpid(), signal.SIGSEGV)
    if how == "leave":
        os._exit(7)
    if how == "hang":
        time.sleep(600)

def chatter(stream, *, file):
    print("what a library prints")
    stream.write(b"rows")
"""


@pytest.fixture
def poured(tmp_path, monkeypatch):
    """Return a function that pours one of the functions above over a file."""
    (tmp_path / "pouring.py").write_text(FUNCTIONS, encoding="utf-8")
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    path = tmp_path / "it's a table; of lawns.bin"
    path.write_bytes(b"0123456789")

    def pour(name, /, **arguments):
        allowance = flow.ALLOWANCE._replace(wall_s=arguments.pop("wall_s", 60))
        return flow.poured(
            f"pouring:{name}", path, "table.bin", arguments, environment={}, allowance=allowance
        )

    return pour


def test_all_that_it_writes_comes_while_it_writes_it(poured):
    with poured("copy", times=300_000) as output:
        assert output.read(4) == b"0123"
        assert len(output.read()) == 3_000_000 - 4


def test_it_knows_the_file_by_a_name_of_our_choosing(poured):
    with poured("names") as output:
        assert output.read() == b"table.bin"


def test_it_has_no_network(poured):
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        with (
            pytest.raises(InputRefused, match="PermissionError"),
            poured("knock", port=port) as output,
        ):
            output.read()


def test_what_a_library_prints_is_not_among_it(poured):
    with poured("chatter") as output:
        assert output.read() == b"rows"


@pytest.mark.parametrize(
    ("how", "said"),
    [
        ("fault", r"could not be read \(KeyError\)"),
        ("crash", r"crash \(SIGSEGV\)"),
        ("leave", "exit code 7"),
    ],
)
def test_one_that_fails_is_refused_in_words(poured, how, said):
    with (
        pytest.raises(InputRefused, match=said) as refused,
        poured("stop_short", how=how) as output,
    ):
        assert output.read() == b"some"
    assert "secret" not in str(refused.value)


def test_a_refusal_from_inside_arrives_whole(poured):
    with (
        pytest.raises(LayerNeeded, match="holds 2 layers") as refused,
        poured("stop_short", how="refused") as output,
    ):
        output.read()
    assert refused.value.remedy == "Choose."


def test_its_own_refusal_is_told_before_what_it_broke(poured):
    def broken():
        with poured("stop_short", how="refused") as output:
            output.read()
            raise ValueError("the stream stops short")

    with pytest.raises(LayerNeeded):
        broken()


def test_one_that_keeps_us_waiting_is_stopped(poured):
    began = time.monotonic()
    with (
        pytest.raises(InputRefused, match="took more than"),
        poured("stop_short", how="hang", wall_s=0.5) as output,
    ):
        output.read()
    assert time.monotonic() - began < 30


def test_our_own_work_between_two_reads_is_not_counted(poured):
    with poured("copy", times=300_000) as output:
        output.read(10)
        output._allowance = output._allowance._replace(wall_s=0.3)  # from now on
        time.sleep(0.8)
        assert len(output.read()) == 3_000_000 - 10


def test_whoever_stops_listening_leaves_nothing_behind(poured, tmp_path):
    before = threading.active_count()
    with poured("copy", times=10_000_000) as output:
        output.read(10)
    time.sleep(0.3)
    assert threading.active_count() <= before
    assert not _children()


def test_whoever_listens_to_the_start_only_hears_of_nothing(poured):
    """What the child says later was not asked for."""
    with poured("stop_short", how="leave") as output:
        assert output.readable()
        assert output.read(2) == b"so"


def test_damaged_bytes_of_a_child_that_goes_on_are_the_reader_s_to_tell(poured):
    def broken():
        with poured("stop_short", how="hang") as output:
            output.read(4)
            raise ValueError("the stream is damaged")

    with pytest.raises(ValueError, match="the stream is damaged"):
        broken()
    assert not _children()


def test_one_that_takes_all_memory_is_stopped(poured, monkeypatch):
    monkeypatch.setattr(flow.platform, "resident_bytes", lambda _: 4_000_000_001)
    with (
        pytest.raises(InputRefused, match="needed more than 4 GB of memory"),
        poured("stop_short", how="hang") as output,
    ):
        output.read()


@pytest.mark.parametrize("held", [None, 4_000_000_000])
def test_one_that_takes_no_more_than_it_may_goes_on(poured, monkeypatch, held):
    monkeypatch.setattr(flow.platform, "resident_bytes", lambda _: held)
    monkeypatch.setattr(flow, "WATCH_S", 0.01)
    with poured("copy", times=1) as output:
        time.sleep(0.1)
        assert output.read() == b"0123456789"


def test_where_nobody_makes_links_the_file_is_named_by_its_path(poured, monkeypatch, tmp_path):
    def refuse(*_):
        raise PermissionError

    monkeypatch.setattr(Path, "symlink_to", refuse)
    assert flow._linked(tmp_path / "a", tmp_path / "b") == str((tmp_path / "b").resolve())
    with poured("copy", times=2) as output:
        assert output.read() == b"0123456789" * 2


@pytest.mark.parametrize("told", [b"[]", b"{", b"7", b'{"a": 1, "a": 1}', b"\xff"])
def test_what_a_child_told_out_of_form_is_a_fault(tmp_path, told):
    (tmp_path / "told.json").write_bytes(told)
    assert flow._read(tmp_path / "told.json") == {"fault": "an answer out of form"}


def test_what_a_child_told_is_read_so_far_and_no_further(tmp_path):
    path = tmp_path / "told.json"
    path.write_bytes(b'{"fault": "x"}' + b" " * (flow.MOST_TOLD - 14) + b"]")
    assert flow._read(path) == {"fault": "x"}


def test_what_a_pouring_child_may_spend():
    assert flow.ALLOWANCE == (172_800, 60, 4_000_000_000, 100_000_000)


def _children():
    """Return our children that still run (proc(5): field 4 of ``stat`` is the parent)."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            rest = (process / "stat").read_text(encoding="utf-8").rpartition(")")[2].split()
            command = (process / "cmdline").read_text(encoding="utf-8")
        except OSError:
            continue
        if rest[1] == str(os.getpid()) and "flow import pour" in command:
            found.append(process.name)
    return found
