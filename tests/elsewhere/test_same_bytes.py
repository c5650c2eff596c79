"""Whatever machine it is done on: the same files and words, and a terminal of ASCII can show them.

Locales: de_DE writes numbers with a comma; in tr_TR the capital of i is İ. What they need is made
here with localedef (Debian's package locales holds the definitions).
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.elsewhere import plain
from tests.elsewhere.work import LONG

TOP = Path(__file__).parents[2]
DAY = "2026-08-01"
KEPT = ("PATH", "LAWNMAP_LONG", "COVERAGE_FILE", "COVERAGE_PROCESS_START")
TWICE = "the same twice"  # in the long profile: the others are it and more
# By what is other there: locale, time zone, order of sets, and what the locale must have done.
ELSEWHERE = {
    "de_DE, Kiritimati": ("de_DE.UTF-8", "Pacific/Kiritimati", "1", ",", "+1400"),
    "tr_TR, Niue": ("tr_TR.UTF-8", "Pacific/Niue", "2", ",", "-1100"),
    "C, London": ("C", "Europe/London", "3", ".", None),
    TWICE: ("C.UTF-8", "UTC", "0", ".", "+0000"),
}


@pytest.fixture
def locales(tmp_path):
    """Return a folder of locales; loudly skipped where the system cannot make them."""
    made = tmp_path / "locales"
    made.mkdir()
    for name in ("de_DE", "tr_TR"):
        command = ["localedef", "-i", name, "-f", "UTF-8", str(made / f"{name}.UTF-8")]
        try:
            subprocess.run(command, check=True, capture_output=True, timeout=120)
        except (OSError, subprocess.CalledProcessError) as error:
            pytest.skip(f"NOT TESTED: the locale {name} cannot be made ({error}); install locales")
    return made


def process(module, *arguments, **environment):
    """Run a module of this folder in a fresh process with a clean environment."""
    kept = {name: os.environ[name] for name in KEPT if name in os.environ}
    done = subprocess.run(
        [sys.executable, "-m", f"tests.elsewhere.{module}", *map(str, arguments)],
        cwd=TOP,
        env={**kept, "PYTHONDONTWRITEBYTECODE": "1", **environment},
        capture_output=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stderr.decode()[-2000:]
    return json.loads(done.stdout)


def work(folder, locale, zone, seed, **more):
    folder.mkdir(parents=True)
    return process(
        "work", folder, DAY, LC_ALL=locale, TZ=zone, PYTHONHASHSEED=seed, HOME=str(folder), **more
    )


def test_the_same_bytes_elsewhere(tmp_path, locales, figure):
    base = work(tmp_path / "here", "C.UTF-8", "UTC", "0")
    base.pop("here")
    assert base["ids"] == 1
    # A refusal is part of it: a decimal comma is not a number in any locale.
    codes = {name: each["code"] for name, each in base.items() if isinstance(each, dict)}
    assert {name for name, code in codes.items() if code} == {"decimal commas"}
    assert codes["decimal commas"] == 3
    wanted = {"map.html", "map.pdf", "plan.csv", "summary.html", "calendar.ics"}
    assert wanted <= set(base)
    places = {name: each for name, each in ELSEWHERE.items() if LONG or name != TWICE}
    for name, (locale, zone, seed, comma, offset) in places.items():
        needs = {"LOCPATH": str(locales)} if "_" in locale else {}
        other = work(tmp_path / "a longer path" / name, locale, zone, seed, **needs)
        there = other.pop("here")
        assert there["comma"] == comma, f"{name}: the locale did not hold"
        assert offset in {None, there["zone"]}, f"{name}: the time zone did not hold"
        assert {what for what in base if other.get(what) != base[what]} == set(), name
        assert set(other) == set(base)
        shutil.rmtree(tmp_path / "a longer path" / name)
    files = [name for name in base if "." in name]
    figure(
        22,
        f"{len(files)} files and the words of {len(codes)} commands: byte for byte the same in "
        f"{len(places) + 1} fresh processes (C.UTF-8, UTC; {'; '.join(places)}), each with its own "
        "order of sets",
    )
    assert len(files) >= (15 if LONG else 6)


SIGNS = {"²": "m2", "³": "l/m3", "±": "+/-", "–": "-", "°": " deg"}


def test_every_command_on_a_terminal_of_ascii(tmp_path, figure):
    told = process(
        "plain", tmp_path, LC_ALL="C", PYTHONUTF8="0", PYTHONIOENCODING="ascii", HOME=str(tmp_path)
    )  # fmt: skip
    codes = {name: each["code"] for name, each in told.items()}
    assert {name: code for name, code in codes.items() if code} == {"compare": 3}
    assert set(codes) - {"plan of all"} == set(plain.RUNS), "a new command needs a line in RUNS"
    for name, each in told.items():
        said = each["out"] + each["err"]
        assert "Traceback" not in said, name
        assert "UnicodeEncodeError" not in said, name
        for sign in SIGNS:  # lawnmap's own are written out; only letters of names are escaped
            assert sign.encode("ascii", "backslashreplace").decode() not in said, (name, sign)
    assert "m2" in told["plan of all"]["out"]
    assert "+/- for the area" in told["measure"]["err"]
    assert r"S\xfcd \u0131I\u0130i: 50 % off" in told["plan of all"]["out"]
    assert "S%C3%BCd" not in told["plan"]["out"]
    figure(22, f"ASCII terminal: {len(plain.RUNS)} commands, 0 UnicodeEncodeError")
