"""The inside half of the guarded child; what it does to a process is tested from outside."""

import errno
import json
import os
import sys
import tempfile
from types import SimpleNamespace

import pytest

from lawnmap.errors import LawnmapError, LayerNeeded
from lawnmap.files import flow, platform
from lawnmap.files.answer import Allowance, _answered, answer


@pytest.fixture
def called(monkeypatch):
    """Return what a function's outcome is turned into."""

    def outcome(function, allowance=Allowance()):  # noqa: B008 - never changed
        monkeypatch.setitem(sys.modules, "inside_a_test", SimpleNamespace(act=function))
        request = {"function": "inside_a_test:act", "arguments": {}}
        return json.loads(_answered(request, allowance))

    return outcome


def failing(error):
    def act():
        raise error

    return act


def test_a_value_is_handed_over(called):
    assert called(lambda: {"a": [1.5, "é"]}) == {"value": {"a": [1.5, "é"]}}


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (MemoryError(), "memory"),
        (OSError(errno.ENOMEM, "no memory"), "memory"),
        (OSError(errno.EFBIG, "too large"), "output"),
        (OSError(errno.ENOENT, "12 Elm Row"), "FileNotFoundError"),
        (RecursionError(), "RecursionError"),
    ],
)
def test_a_fault_is_told_by_its_kind_without_data(called, error, words):
    told = called(failing(error))
    assert told["fault"] == words
    assert "Elm" not in json.dumps(told)


def test_a_refusal_keeps_its_fields(called):
    error = LawnmapError("was wrong", file="f", place="p", done="d", remedy="r")
    told = called(failing(error))["refused"]
    assert told == {
        "class": "LawnmapError",
        "problem": "was wrong",
        "file": "f",
        "place": "p",
        "done": "d",
        "remedy": "r",
    }


def test_more_than_is_allowed_is_not_handed_over(called):
    assert called(lambda: "x" * 100, Allowance(output_bytes=99)) == {"fault": "output"}
    assert called(lambda: "x" * 80, Allowance(output_bytes=99)) == {"value": "x" * 80}


def test_a_function_that_is_not_there_is_a_fault():
    told = json.loads(_answered({"function": "lawnmap.nowhere:x", "arguments": {}}, Allowance()))
    assert told["fault"] == "ModuleNotFoundError"


# The whole of it, in this process: the door is only played, for it has no way back ---------------


@pytest.fixture
def door(monkeypatch):
    """Play the locks; return what was asked of them, in order."""
    asked = []
    for name in ("close_network", "die_with_parent", "limit_process"):
        monkeypatch.setattr(
            platform, name, lambda name=name, **limits: asked.append((name, limits))
        )
    return asked


def output_of(call, *given):
    """Return what a call writes to descriptor 1, as a library does, and put that back."""
    kept = os.dup(1)
    with tempfile.TemporaryFile() as stream:
        os.dup2(stream.fileno(), 1)
        try:
            call(*given)
        finally:
            os.dup2(kept, 1)
            os.close(kept)
        stream.seek(0)
        return stream.read()


def test_the_door_is_locked_before_anything_is_called(door, monkeypatch):
    def act(**given):
        os.write(1, b"what a library prints")
        return [*given.items(), len(door), sys.modules["not_for_it"]]

    monkeypatch.setitem(sys.modules, "inside_a_test", SimpleNamespace(act=act))
    monkeypatch.setitem(sys.modules, "not_for_it", SimpleNamespace())
    allowance = [7, 9.5, 3_000, 500]
    asked = {"function": "inside_a_test:act", "arguments": {"a": 1, "b": "é"}}
    told = output_of(answer, {**asked, "allowance": allowance, "without": ["not_for_it"]})
    assert json.loads(told) == {"value": [["a", 1], ["b", "é"], 3, None]}
    assert door == [
        ("close_network", {}),
        ("die_with_parent", {}),
        ("limit_process", {"cpu_s": 7, "memory_bytes": 3_000, "file_bytes": 500}),
    ]


def test_what_a_child_may_spend():
    assert Allowance() == (20, 30, 4_000_000_000, 100_000_000)


def test_an_answer_of_just_the_allowed_length(called):
    longest = len(json.dumps({"value": "x" * 50}, separators=(",", ":")))
    assert called(lambda: "x" * 50, Allowance(output_bytes=longest)) == {"value": "x" * 50}
    assert called(lambda: "x" * 51, Allowance(output_bytes=longest)) == {"fault": "output"}


def test_the_frames_of_a_fault_are_told(called):
    told = called(failing(ValueError("12 Elm Row")))
    assert set(told) == {"fault", "frames"}
    assert told["fault"] == "ValueError"
    assert ", in act\n" in told["frames"]


def test_an_outside_error_is_told_by_its_nearest_of_ours(called):
    class OutsideError(LayerNeeded):
        pass

    told = called(failing(OutsideError("holds 2 layers")))["refused"]
    assert told["class"] == "LayerNeeded"
    assert told["problem"] == "holds 2 layers"
    assert told["file"] == told["place"] == told["remedy"] == ""
    assert told["done"] == "Nothing was changed."


# One that pours ----------------------------------------------------------------------------------


def pouring(act, monkeypatch, **arguments):
    monkeypatch.setitem(sys.modules, "inside_a_test", SimpleNamespace(act=act))
    allowance = [7, 9.5, 3_000, 500]
    asked = {"function": "inside_a_test:act", "arguments": arguments, "allowance": allowance}
    return output_of(flow.pour, asked)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    (tmp_path / "files").mkdir()
    monkeypatch.chdir(tmp_path / "files")
    return tmp_path


def test_what_is_poured_is_all_that_comes_out(door, monkeypatch, folder):
    def act(stream, *, times):
        os.write(1, b"what a library prints")
        stream.write(b"row" * times)

    assert pouring(act, monkeypatch, times=2) == b"rowrow"
    assert [name for name, _ in door] == ["close_network", "die_with_parent", "limit_process"]
    assert door[2][1] == {"cpu_s": 7, "memory_bytes": 3_000, "file_bytes": 500}
    assert not (folder / flow.TOLD).exists()


def test_nobody_listening_is_no_fault(door, monkeypatch, folder):
    def act(stream):
        raise BrokenPipeError

    assert pouring(act, monkeypatch) == b""
    assert not (folder / flow.TOLD).exists()


def test_what_goes_wrong_is_told_beside_the_files(door, monkeypatch, folder):
    def act(stream):
        stream.write(b"some")
        raise LayerNeeded("holds 2 layers", remedy="Choose.")

    assert pouring(act, monkeypatch) == b"some"
    told = json.loads((folder / flow.TOLD).read_bytes())["refused"]
    assert (told["class"], told["remedy"]) == ("LayerNeeded", "Choose.")
