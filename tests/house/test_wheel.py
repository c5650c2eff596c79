"""What is shipped: the package, its tables and pages, one sample site and the notices; no more."""

import subprocess
import tomllib
import zipfile
from pathlib import Path, PurePosixPath

import pytest

ROOT = Path(__file__).parents[2]
KINDS = {".py", ".csv", ".css", ".js", ".html", ".txt", ".typed"}
PICTURES = ".svg"  # of the plugin for the GIS: its icons
SAMPLE = {"site.geojson", "specification.toml", "products.toml"}


@pytest.fixture(scope="module")
def names(built):
    with zipfile.ZipFile(built[1]["wheel"]) as archive:
        return archive.namelist()


def test_the_wheel_holds_the_package_and_nothing_else(names):
    for name in names:
        path = PurePosixPath(name)
        top = path.parts[0]
        assert top == "lawnmap" or top.endswith(".dist-info"), name
        if top == "lawnmap" and path.parts[1] != "sample":
            icon = path.parts[1:3] == ("desktop", "icons") and path.suffix == PICTURES
            assert icon or path.suffix in KINDS, name
    assert not [name for name in names if "test" in name.lower() or "__pycache__" in name]


def test_tables_pages_and_sample_are_in_it(names):
    assert {f"lawnmap/sample/{name}" for name in SAMPLE} <= set(names)
    for name in ("lawnmap/columns.csv", "lawnmap/reference/values.csv", "lawnmap/pages/map/map.js"):
        assert name in names
    plugin = {"metadata.txt", "columns.csv", "icons/lawnmap.svg", "steps/measure.py"}
    assert {f"lawnmap/desktop/{name}" for name in plugin} <= set(names)
    # What only an installation knows is never shipped.
    assert "lawnmap/desktop/command.json" not in names
    assert any(name.endswith("licenses/docs/NOTICE") for name in names)


def test_the_lock_pins_every_package_by_hash():
    text = (ROOT / ".ci" / "lock.txt").read_text(encoding="utf-8")
    pinned = [line for line in text.splitlines() if "==" in line]
    assert len(pinned) > 30
    for block in text.split("\n")[1:]:
        assert block.startswith(("    --hash=sha256:", "#")) or "==" in block or not block, block
    assert "://" not in text
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    for needed in project["project"]["dependencies"]:
        name = needed.split(">")[0].split("=")[0].lower()
        assert any(line.lower().startswith(f"{name}==") for line in pinned), name


def test_top_level_is_the_agreed_one():
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split()
    tops = {name.split("/")[0] for name in tracked}
    agreed = {
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        "lawnmap",
        "tests",
        "sample_geo",
        "docs",
        "LICENSE",
    }
    assert {top for top in tops if not top.startswith(".")} <= agreed
