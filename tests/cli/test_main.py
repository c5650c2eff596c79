"""Help is quick, errors have one form and one exit code, JSON is one document."""

import os
import subprocess
import sys

import pytest

from lawnmap import plugins
from lawnmap.cli import log, main
from lawnmap.errors import PluginProblem
from tests.cli.runner import SAMPLE, run

HEAVY = ("geopandas", "pandas", "shapely", "pyproj", "folium", "pyogrio", "numpy", "pyarrow")


@pytest.mark.parametrize(
    "arguments", [["--help"], ["read", "--help"], ["export", "--help"], ["--version"]]
)
def test_help_loads_nothing_heavy(arguments):
    program = (
        "import sys\nfrom lawnmap.cli.main import run\n"
        f"try:\n    run({arguments!r})\nexcept SystemExit as end:\n    assert not end.code\n"
        f"print('LOADED', [name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "LOADED []"


def test_every_command_is_listed_with_what_it_does():
    told = run("--help").out
    for name in plugins.available("commands"):
        assert f"\n  {name} " in told
    assert "will not load" not in told


def test_usage_is_two_and_suggests():
    outcome = run("measur")
    assert outcome.code == 2
    assert "measure" in outcome.err
    assert run("export", "x").code == 2
    assert run("plan", "x", "--today", "soon").code == 2


@pytest.mark.parametrize(
    ("content", "name", "words"),
    [
        (b"", "a.geojson", "empty"),
        (b'{"type": "FeatureCollection", "features": [', "a.geojson", "not JSON"),
        (b"<kml/>", "a.geojson", "holds kml"),
        (b"%PDF-1.7", "a.pdf", "pdf"),
        (b'{"type": "Point", "coordinates": [NaN, 0]}', "a.geojson", "NaN"),
    ],
)
def test_a_bad_input_is_three_and_one_line(tmp_path, content, name, words):
    path = tmp_path / name
    path.write_bytes(content)
    outcome = run("read", path)
    assert outcome.code == 3
    assert outcome.out == ""
    assert words in outcome.err
    assert outcome.err.startswith(f"lawnmap: {name}: ")
    assert len(outcome.err.strip().splitlines()) <= 3
    assert "Traceback" not in outcome.err
    assert str(tmp_path) not in outcome.err


def test_an_error_as_json(tmp_path):
    path = tmp_path / "a.geojson"
    path.write_bytes(b"{")
    outcome = run("read", path, "--json")
    assert outcome.code == 3
    error = outcome.json["error"]
    assert error["code"] == 3
    assert error["file"] == "a.geojson"
    assert error["remedy"]


def test_a_fault_is_one_and_noted_without_names(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(log, "folder", lambda: tmp_path / "log")

    def broken(*_, **__):
        raise ZeroDivisionError("Mrs Nobody, 1 No Street")

    monkeypatch.setattr(main.main, "main", broken)
    with pytest.raises(SystemExit) as end:
        main.run(["measure", "x"])
    assert end.value.code == 1
    told = capsys.readouterr().err
    assert "ZeroDivisionError" in told
    assert "Nobody" not in told
    noted = (tmp_path / "log" / "lawnmap.log").read_text(encoding="utf-8")
    assert "ZeroDivisionError" in noted
    assert "Nobody" not in noted
    assert (tmp_path / "log" / "lawnmap.log").stat().st_mode & 0o777 == 0o600


def test_ctrl_c_says_that_what_was_saved_is_whole(monkeypatch, capsys):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(main.main, "main", interrupted)
    with pytest.raises(SystemExit) as end:
        main.run([])
    assert end.value.code == 130
    assert "whole" in capsys.readouterr().err


def test_a_broken_command_breaks_no_other(monkeypatch):
    def load(group, name):
        raise PluginProblem(f"the command {name!r} from other-dist will not load")

    monkeypatch.setattr(plugins, "load", load)
    command = main.main.get_command(None, "read")
    with pytest.raises(PluginProblem, match="other-dist"):
        command.callback()


def test_names_are_printed_under_an_ascii_locale(tmp_path):
    path = tmp_path / "a.geojson"
    ring = "[[0,51],[0.001,51],[0.001,51.001],[0,51]]"
    path.write_text(
        '{"type":"Feature","properties":{"name":"Bänk 草 \\u001b[31m"},'
        f'"geometry":{{"type":"Polygon","coordinates":[{ring}]}}}}',
        encoding="utf-8",
    )
    outcome = run("measure", path, LC_ALL="C", PYTHONUTF8="0", PYTHONIOENCODING="ascii")
    assert outcome.code == 0
    assert "\x1b" not in outcome.out
    assert "nk" in outcome.out
    assert "Traceback" not in outcome.err


def test_a_pipe_that_closes_early_is_quiet():
    with subprocess.Popen(
        [sys.executable, "-m", "lawnmap", "read", str(SAMPLE / "plan.geojson")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=os.environ,
    ) as reading:
        reading.stdout.read(10)
        reading.stdout.close()
        told = reading.stderr.read().decode()
    assert "Traceback" not in told
    assert reading.returncode == 0
