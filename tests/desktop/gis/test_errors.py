"""What is wrong is shown in our own words, and nothing is left behind."""

import contextlib
import json
import sys
import time
from pathlib import Path

import pytest

from tests.cli.runner import run
from tests.desktop.gis.conftest import TODAY, differing
from tests.desktop.gis.test_layers import square

pytestmark = pytest.mark.gis
NEW = "TEMPORARY_OUTPUT"
BOTH = {"ZONES": "@zones", "FEATURES": ["@features"]}
BOW = "POLYGON((659000 396000, 659010 396010, 659010 396000, 659000 396010, 659000 396000))"


@contextlib.contextmanager
def command(profile, told):
    """Let the plugin find another ``command.json`` for a while; None for none at all."""
    path = profile / "python" / "plugins" / "lawnmap_desktop" / "command.json"
    kept = path.read_bytes()
    try:
        path.unlink()
        if told is not None:
            path.write_text(told if isinstance(told, str) else json.dumps(told), encoding="utf-8")
        yield
    finally:
        path.write_bytes(kept)


def on_the_command_line(gis, room, name, *options):
    """Return what the command line says when it reads the same layer from a file."""
    path = gis.saved(name, str(room / f"{name}.gpkg"))
    site = room / f"site of {name}"
    assert run("start", site, "--title", name).code == 0
    done = run("read", path, "--into", site, *options)
    assert done.code == 3
    return done.err.removeprefix("lawnmap: ").rstrip("\n").replace(f"{name}.gpkg", name, 1)


def test_a_value_that_is_none_of_ours(gis, room):
    fields = [["zone_id", "text"], ["moss_form", "text"]]
    gis.drawn("weird", "EPSG:27700", fields, [[square(0, 0, 10), ["a", "fluffy"]]])
    said = gis.refused("measure", ZONES="@weird", RESULT=NEW)
    assert said == on_the_command_line(gis, room, "weird", "--as", "zone")
    assert "fluffy" in said
    assert said.startswith("weird: ")


def test_a_value_under_a_chosen_field_names_both(gis):
    gis.drawn("mine", "EPSG:27700", [["Moos", "text"]], [[square(0, 0, 10), ["fluffy"]]])
    said = gis.refused("assess", ZONES="@mine", MOSS_FORM="Moos", RESULT=NEW)
    assert said.endswith("moss_form is taken from the field Moos.")


def test_an_outline_that_crosses_itself(gis, room):
    gis.drawn("crossed", "EPSG:27700", [["zone_id", "text"]], [[BOW, ["a"]]])
    said = gis.refused("measure", ZONES="@crossed", RESULT=NEW)
    assert said == on_the_command_line(gis, room, "crossed", "--as", "zone")
    assert "cross" in said


def test_wrong_layers_and_none(gis):
    assert gis.refused("measure", RESULT=NEW) == (
        "there is nothing to work on. Nothing was changed. Give a layer of zones, or a site."
    )
    said = gis.refused("measure", ZONES="@zones", FEATURES=["@weird"], RESULT=NEW)
    assert said.startswith("weird: has no column feature")
    assert "Nothing was changed." in said
    gis.drawn("empty", "EPSG:27700", [["zone_id", "text"]], [])
    assert gis.refused("plan", ZONES="@empty", RESULT=NEW).startswith("empty: holds no feature.")
    gis.drawn("nowhere", "", [["zone_id", "text"]], [[square(0, 0, 10), ["a"]]])
    said = gis.refused("plan", ZONES="@nowhere", RESULT=NEW)
    assert said.startswith("nowhere: does not say which coordinate reference system it is in.")


def test_a_site_folder_that_is_none(gis, room):
    said = gis.refused("plan", SITE=str(room), RESULT=NEW)
    assert said == run("plan", room).err.removeprefix("lawnmap: ").rstrip("\n")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (None, "lawnmap"),
        ("{", "command.json"),
        ({"command": ["/gone/python", "-m", "lawnmap"], "version": "0.1.0"}, "/gone/python"),
        ({"command": ["/bin/false"], "version": "0.1.0"}, "exit code 1"),
    ],
)
def test_a_python_that_is_gone(gis, profile, told, said):
    with command(profile, told):
        shown = gis.refused("measure", **BOTH, RESULT=NEW)
    assert said in shown
    assert "lawnmap desktop install" in shown
    assert "Traceback" not in shown


def test_a_lawnmap_of_another_version_is_told(gis, profile):
    with command(profile, {"command": [sys.executable, "-P", "-m", "lawnmap"], "version": "0.0.9"}):
        done = gis.run("measure", {**BOTH, "RESULT": NEW})
    assert done["problem"] is None
    (told,) = [each for each in done["warnings"] if "0.0.9" in each]
    assert told.endswith("run lawnmap desktop install again.")


def test_progress_goes_up_and_says_what_is_done(gis, choices):
    given = {**BOTH, "SITE": str(choices), "DEPOT": str(choices), "TODAY": TODAY}
    done = gis.run("plan", {**given, "RESULT": NEW})
    heard = done["progress"]
    assert heard == sorted(heard)
    assert len(set(heard)) > 8
    assert 0 < heard[0] < 30
    assert 80 < heard[-1] <= 100
    assert {"strips", "days"} & set(" ".join(done["texts"]).split())
    cautions = [each for each in done["warnings"] if each.startswith("Caution: ")]
    assert cautions


def test_a_step_that_is_stopped_leaves_nothing(gis, choices):
    given = {**BOTH, "SITE": str(choices), "DEPOT": str(choices), "TODAY": TODAY}
    done = gis.run("plan", {**given, "RESULT": NEW}, stop_at=30)
    assert done["problem"] == "Stopped. Nothing was changed."
    assert max(done["progress"]) < 80
    assert (done["outputs"], done["added"]) == ({}, [])
    assert gis.started() == []
    assert gis.left() == []
    # And the next run is as if nothing had been.
    assert gis.step("measure", **BOTH, RESULT=NEW)["RESULT"]["rows"]


def test_stopping_ends_the_process_and_its_children(gis, profile, room):
    """A command that ignores Ctrl-C and has a child of its own: both must go."""
    notes = room / "pids"
    program = (
        "import os, signal, subprocess, sys, time\n"
        "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "child = subprocess.Popen(['sleep', '600'])\n"
        f"open({str(notes)!r}, 'w').write(f'{{os.getpid()}} {{child.pid}}')\n"
        "print('progress 50 waiting', file=sys.stderr, flush=True)\n"
        "time.sleep(600)\n"
    )
    with command(profile, {"command": ["/usr/bin/python3", "-c", program], "version": "0.1.0"}):
        done = gis.run("measure", {**BOTH, "RESULT": NEW}, stop_at=1)
    assert done["problem"] == "Stopped. Nothing was changed."
    assert "waiting" in done["texts"]
    pids = [int(each) for each in notes.read_text().split()]
    assert len(pids) == 2
    for _ in range(50):  # the child is nobody's any more, and the system takes a moment
        alive = [pid for pid in pids if running(pid)]
        if not alive:
            break
        time.sleep(0.1)
    assert alive == []
    assert gis.left() == []


def running(pid):
    """Tell whether a process is there and has not ended."""
    try:
        text = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return False
    return text.rpartition(")")[2].split()[0] != "Z"


def test_a_hostile_environment_changes_nothing(gis, lawnmap, room):
    """What a GIS sets for its own Python and libraries, all of it pointing at rubbish."""
    rubbish = room / "rubbish"
    rubbish.mkdir()
    for name in ("sitecustomize.py", "usercustomize.py", "shapely.py", "click.py"):
        (rubbish / name).write_text(f"open({str(rubbish / 'ran')!r}, 'w'); raise SystemExit(9)\n")
    for name in ("libc.so.6", "libz.so.1", "libexpat.so.1"):
        (rubbish / name).write_text("no library")
    (rubbish / "proj.db").write_text("no database")
    names = ("PYTHONPATH", "LD_LIBRARY_PATH", "GDAL_DATA", "PROJ_LIB", "PROJ_DATA",
             "GDAL_DRIVER_PATH", "PYTHONUSERBASE", "QT_PLUGIN_PATH")  # fmt: skip
    hostile = {**dict.fromkeys(names, str(rubbish)), "PYTHONHOME": "/nowhere",
               "PYTHONSTARTUP": str(rubbish / "click.py"), "LAWNMAP_PROGRESS": ""}  # fmt: skip
    before = gis.environment(**hostile)
    try:
        found = gis.step("measure", **BOTH, RESULT=NEW)["RESULT"]
    finally:
        gis.environment(**before)
    assert differing(found, lawnmap("measure")) == {}
    assert not (rubbish / "ran").exists()


def test_nothing_was_left_by_all_of_this(gis):
    assert gis.left() == []
    assert gis.started() == []
