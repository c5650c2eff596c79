"""``lawnmap desktop`` as a person types it; what it does in a profile is in tests/jobs."""

import json
import sys
from importlib.metadata import version

import pytest

from tests.cli.runner import run

HERE = version("lawnmap")


@pytest.fixture
def home(tmp_path):
    """Return a home folder with one profile that a GIS made."""
    (tmp_path / ".local" / "share" / "QGIS" / "QGIS3" / "profiles" / "default").mkdir(parents=True)
    return tmp_path


def desktop(home, *arguments, **environment):
    elsewhere = {"XDG_DATA_HOME": "", "QGIS_CUSTOM_CONFIG_PATH": ""}
    return run("desktop", *arguments, HOME=str(home), **elsewhere, **environment)


def test_install_status_remove(home):
    profile = home / ".local/share/QGIS/QGIS3/profiles/default"
    done = desktop(home, "install")
    assert done.code == 0, done.err
    assert done.out == (
        f"Installed {HERE} in QGIS3, profile default: {profile}\n"
        "It is switched on. Start the GIS again.\n"
    )
    folder = profile / "python" / "plugins" / "lawnmap_desktop"
    command = json.loads((folder / "command.json").read_bytes())
    assert command == {"command": [sys.executable, "-P", "-m", "lawnmap"], "version": HERE}
    assert (profile / "QGIS/QGIS3.ini").read_text() == "[PythonPlugins]\nlawnmap_desktop=true\n"
    assert {"__init__.py", "metadata.txt"} <= {path.name for path in folder.iterdir()}

    (told,) = desktop(home, "status", "--json").json["result"]
    assert told == {
        "profile": "default", "path": str(profile), "gis": "QGIS3", "boxed": False,
        "installed": HERE, "here": HERE, "current": True, "enabled": True,
        "command": sys.executable, "answers": HERE, "changed": [], "missing": [], "added": [],
        "problem": None,
    }  # fmt: skip
    (folder / "metadata.txt").write_text("changed")
    said = desktop(home, "status").out
    assert f"  installed: {HERE}, not as this lawnmap, {HERE}, has it\n" in said
    assert "  changed since: metadata.txt\n" in said
    assert said.endswith("  To put it right: lawnmap desktop install\n")

    done = desktop(home, "remove", "--profile", str(profile))
    assert done.out.startswith(f"Removed {HERE} from QGIS3, profile default")
    assert "Note: What somebody changed or added was kept in" in done.err
    assert sorted(path.name for path in folder.iterdir()) == ["installed.json", "metadata.txt"]


def test_no_profile_is_one_error_with_what_to_do(tmp_path):
    done = desktop(tmp_path, "install")
    assert (done.code, done.out) == (3, "")
    assert done.err.startswith("lawnmap: no profile of the GIS was found in ")
    assert done.err.count("\n") == 1
    assert "Start the GIS once" in done.err
    assert list(tmp_path.iterdir()) == []
    empty = desktop(tmp_path, "status")
    assert (empty.code, empty.err) == (0, "")
    assert "Start the GIS once" in empty.out
    assert desktop(tmp_path, "update").code == 2
