"""The settings file of the GIS, read and written by Qt itself, and the GIS's own command."""

import json
import subprocess
import sys

import pytest

from lawnmap.jobs.desktop import switch
from tests.cli.runner import run
from tests.desktop.gis.conftest import PLAN, PYTHON

pytestmark = pytest.mark.gis
SETTINGS = [
    b"",
    b"[qgis]\na=1\n",
    b"[qgis]\r\na=1\r\n\r\n[PythonPlugins]\r\nother=true\r\n",
    b"[PythonPlugins]\nother=true\n\n[qgis]\nlist=one, \\\n  [PythonPlugins]\n"
    b'text="a;b\n[PythonPlugins]\nlawnmap_desktop=false"\n; [PythonPlugins]\nlast=1 ; "\n',
    b'[ PythonPlugins ]\n other = true \n[a]\nx="\\""\n',
    b"[PythonPlugins]\nlawnmap_desktop=false\nlawnmap_desktop=0\n",
    b'[a]\nx="open\n[PythonPlugins]\nother=true\n',
]
READ = """
import json, sys
from qgis.PyQt.QtCore import QSettings
told = QSettings(sys.argv[1], QSettings.IniFormat)
print(json.dumps({key: told.value(key) for key in told.allKeys()}))
"""
# A GIS that runs while the line is put in or taken out: it has read the file before, and writes a
# setting of its own after.
MEANWHILE = """
import subprocess, sys
from qgis.PyQt.QtCore import QSettings
mine = QSettings(sys.argv[1], QSettings.IniFormat)
mine.allKeys()
subprocess.run(sys.argv[2:], check=True)
mine.setValue("qgis/zoom", 5)
mine.sync()
"""


def qt(program, *arguments):
    done = subprocess.run(
        [PYTHON, "-c", program, *map(str, arguments)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("settings", SETTINGS)
def test_qt_reads_the_line_and_all_else_as_before(settings, tmp_path):
    path = tmp_path / "QGIS3.ini"
    path.write_bytes(settings)
    before = json.loads(qt(READ, path))
    name = "PythonPlugins/lawnmap_desktop"
    assert switch.is_on(settings) == (before.get(name) == "true")
    try:
        path.write_bytes(switch.on(settings))
    except ValueError:
        assert settings.count(b'"') == 1  # what is never closed takes no line
        return
    assert json.loads(qt(READ, path)) == {**before, name: "true"}
    path.write_bytes(switch.off(path.read_bytes()))
    before.pop(name, None)
    assert json.loads(qt(READ, path)) == before


def test_a_gis_that_runs_meanwhile_keeps_the_line(tmp_path):
    profile = tmp_path / "default"
    path = profile / "QGIS" / "QGIS3.ini"
    path.parent.mkdir(parents=True)
    path.write_bytes(b"[qgis]\na=1\n\n[PythonPlugins]\nother=true\n")
    name, other = "PythonPlugins/lawnmap_desktop", {"qgis/a": "1", "PythonPlugins/other": "true"}
    lawnmap = [sys.executable, "-m", "lawnmap", "desktop"]
    qt(MEANWHILE, path, *lawnmap, "install", "--profile", profile)
    assert json.loads(qt(READ, path)) == {**other, name: "true", "qgis/zoom": "5"}
    qt(MEANWHILE, path, *lawnmap, "remove", "--profile", profile)
    assert json.loads(qt(READ, path)) == {**other, "qgis/zoom": "5"}


@pytest.fixture
def process(tmp_path):
    """Return what runs the GIS's own command for steps, in a home folder of its own."""
    profile = tmp_path / ".local" / "share" / "QGIS" / "QGIS3" / "profiles" / "default"
    profile.mkdir(parents=True)
    (tmp_path / "run").mkdir(mode=0o700)
    environment = {
        "HOME": str(tmp_path), "XDG_RUNTIME_DIR": str(tmp_path / "run"), "PATH": "/usr/bin:/bin",
        "QT_QPA_PLATFORM": "offscreen", "LANG": "C.UTF-8", "XDG_DATA_HOME": "",
    }  # fmt: skip

    def asked(*arguments):
        return subprocess.run(
            ["qgis_process.bin", *map(str, arguments)],
            env=environment, capture_output=True, text=True, check=False,
        )  # fmt: skip

    return asked


def test_the_gis_finds_runs_and_loses_the_plugin_by_itself(process, tmp_path, lawnmap):
    """Debian's wrapper of this program is broken; what it wraps is not."""
    home = {"HOME": str(tmp_path), "XDG_DATA_HOME": ""}
    assert run("desktop", "install", **home).code == 0
    assert "* lawnmap_desktop" in " ".join(process("plugins").stdout.split())
    path = tmp_path / "out.gpkg"
    done = process(
        "run", "lawnmap:measure", "--", f"ZONES={PLAN}|layername=zones",
        f"FEATURES={PLAN}|layername=features", f"RESULT={path}",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert path.exists()
    import sqlite3

    with sqlite3.connect(path) as database:
        rows = database.execute("SELECT zone_id, ground_area_m2 FROM out").fetchall()
    assert dict(rows) == {row["zone_id"]: row["ground_area_m2"] for row in lawnmap("measure")}
    done = process("run", "lawnmap:measure", "--", "SITE=/nowhere", f"RESULT={path}")
    assert done.returncode == 1
    assert "lawnmap: " not in done.stdout
    assert run("desktop", "remove", **home).code == 0
    assert "lawnmap_desktop" not in process("plugins").stdout
    assert "not found" in process("run", "lawnmap:measure", "--", "SITE=/nowhere").stderr
