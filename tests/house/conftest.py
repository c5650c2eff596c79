"""One build of the package for all tests that look into it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SHIPPED = ("pyproject.toml", "README.md", "DEVELOPERS.md", ".gitignore", "lawnmap", "sample_geo",
           "docs", "tests")  # fmt: skip
MOMENT = "1700000000"  # of November 2023: neither now nor the builder's own default


def copied(source, target):
    """Copy what goes into a build."""
    target.mkdir(parents=True)
    for name in SHIPPED:
        if (source / name).is_dir():
            leave = shutil.ignore_patterns("__pycache__", "*.pyc")
            shutil.copytree(source / name, target / name, ignore=leave)
        else:
            shutil.copy2(source / name, target / name)
    return target


def build(source, out, umask=0o022, **environment):
    """Build wheel and source archive in a process of its own; return them by kind."""
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", str(out)],
        cwd=source,
        check=True,
        capture_output=True,
        timeout=120,
        umask=umask,
        env={**os.environ, "SOURCE_DATE_EPOCH": MOMENT, **environment},
    )
    (wheel,), (archive,) = out.glob("*.whl"), out.glob("*.tar.gz")
    return {"wheel": wheel, "source archive": archive}


@pytest.fixture(scope="session")
def built(tmp_path_factory):
    """Return a copy of the tree and what was built of it, by kind."""
    tree = copied(ROOT, tmp_path_factory.mktemp("build") / "one")
    return tree, build(tree, tree.parent / "out")
