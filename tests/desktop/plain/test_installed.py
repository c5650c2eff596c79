"""Where lawnmap is, or what to do when nobody knows."""

import json
import sys

import pytest

from lawnmap.desktop.installed import installed
from lawnmap.desktop.problem import Problem

COMMAND = [sys.executable, "-P", "-m", "lawnmap"]


def test_the_command_is_read(tmp_path):
    told = json.dumps({"command": COMMAND, "version": "0.1.0"})
    (tmp_path / "command.json").write_text(told, encoding="utf-8")
    assert installed(tmp_path) == (COMMAND, "0.1.0")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "command.json: the plugin does not know where lawnmap is."),
        ("{", "command.json: cannot be read."),
        ('{"command": []}', "command.json: cannot be read."),
        ('{"command": [], "version": "1"}', "is not there any more."),
        ('{"command": ["/gone/python"], "version": "1"}', "/gone/python: the Python that"),
        ("[]", "command.json: cannot be read."),
    ],
)
def test_otherwise_it_says_what_to_do(tmp_path, text, said):
    if text is not None:
        (tmp_path / "command.json").write_text(text, encoding="utf-8")
    with pytest.raises(Problem) as raised:
        installed(tmp_path)
    assert said in str(raised.value)
    assert str(raised.value).endswith(
        "Nothing was changed. Run lawnmap desktop install in the environment that holds lawnmap."
    )
