"""The inside half of the guarded child; what it does to a process is tested from outside."""

import errno
import json
import sys
from types import SimpleNamespace

import pytest

from lawnmap.errors import LawnmapError
from lawnmap.files.answer import Allowance, _answered


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
