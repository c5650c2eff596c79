"""Every module can be imported where Linux's own modules are missing."""

import subprocess
import sys
from pathlib import Path

import lawnmap

PROGRAM = """
import importlib, pkgutil, sys, warnings
for name in ("fcntl", "resource"):
    sys.modules[name] = None
warnings.simplefilter("error")
import lawnmap
names = [each.name for each in pkgutil.walk_packages(lawnmap.__path__, "lawnmap.")]
for name in names:
    # What lies in desktop is imported by the GIS, which is not here.
    if not name.endswith("__main__") and not name.startswith("lawnmap.desktop."):
        importlib.import_module(name)
print(len(names))
"""


def test_all_modules_import_without_fcntl_and_resource():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr
    modules = [
        path for path in Path(lawnmap.__file__).parent.rglob("*.py") if "__init__" != path.stem
    ]
    assert int(done.stdout) >= len(modules)
