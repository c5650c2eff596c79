"""Help is quick, errors have one form and one exit code, JSON is one document."""

import json
import os
import re
import subprocess
import sys

import click
import pytest

from lawnmap import plugins
from lawnmap.cli import log, main
from tests.cli.runner import SAMPLE, here, run

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


class Point:
    """An entry point of somebody else; what it brings is made when it is loaded."""

    def __init__(self, make, name="count"):
        self.name, self.load = name, make
        self.dist = type("Dist", (), {"name": "other-dist"})


def offered(monkeypatch, make):
    real = plugins.available

    def available(group):
        return {**real(group), "count": [Point(make)]} if group == "commands" else real(group)

    monkeypatch.setattr(plugins, "available", available)


def answer(capsys, *arguments):
    with pytest.raises(SystemExit) as end:
        main.run(arguments)
    return end.value.code, capsys.readouterr()


def test_a_broken_command_breaks_no_other(monkeypatch, capsys):
    offered(monkeypatch, lambda: 1 / 0)
    code, told = answer(capsys, "--help")
    assert code == 0
    assert re.search(r"^  count +Brought by other-dist\.$", told.out, re.MULTILINE)
    assert answer(capsys, "plan", "--help")[0] == 0
    code, told = answer(capsys, "count")
    assert code == 3
    assert "the command 'count' from other-dist will not load (ZeroDivisionError" in told.err


def test_a_list_of_commands_loads_nothing_of_others(monkeypatch, capsys):
    loaded = []
    offered(monkeypatch, lambda: loaded.append(1) or click.Command("count"))
    assert answer(capsys, "--help")[0] == 0
    assert not loaded
    assert answer(capsys, "count")[0] == 0
    assert loaded


@pytest.mark.parametrize(
    ("leaves", "code"),
    [(KeyError("x"), 3), (click.Abort(), 130), (click.UsageError("no"), 2), (SystemExit(7), 7)],
)
def test_a_command_of_others_leaves_as_it_likes_and_its_faults_are_its_own(
    monkeypatch, capsys, leaves, code
):
    def raises():
        raise leaves

    offered(monkeypatch, lambda: click.Command("count", callback=raises))
    found, told = answer(capsys, "count")
    assert found == code
    assert "fault in lawnmap" not in told.err
    assert ("other-dist" in told.err) == (code == 3)
    assert not told.out


def test_what_is_no_command_is_told(monkeypatch, capsys):
    offered(monkeypatch, lambda: print)
    code, told = answer(capsys, "count", "--help")
    assert code == 3
    assert "from other-dist is no click command" in told.err


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


def test_letters_that_an_ascii_system_passes_on_as_bytes_are_read(tmp_path):
    assert here("start", tmp_path / "a", "--title", "\udcc3\udc9c: lawn").code == 0
    assert here("start", tmp_path / "\udcc3\udc9c").code == 0
    for name, title in (("a", "Ü: lawn"), ("Ü", "Ü")):
        site = json.loads((tmp_path / name / "site.geojson").read_text(encoding="utf-8"))
        assert site["lawnmap"]["title"] == title


@pytest.mark.parametrize(
    ("title", "problem"),
    [
        ("\udcdc", "the title holds a character that cannot be printed"),
        ("a" * 201, "the title is longer than 200 characters"),
    ],
)
def test_what_is_wrong_with_a_title_is_said(tmp_path, title, problem):
    done = here("start", tmp_path / "a", "--title", title)
    assert (done.code, done.err.startswith(f"lawnmap: {problem}. Nothing")) == (3, True)
    assert not (tmp_path / "a").exists()
