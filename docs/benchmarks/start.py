"""How long a command takes to begin: ``lawnmap --help`` and ``lawnmap measure`` on the sample.

Run from a checkout: ``python docs/benchmarks/start.py``. Each is run in a fresh interpreter, in
turn with its peer: ``import click`` for the help, ``import geopandas`` for a measure. Printed are
medians of processor time and most memory, and what of it goes into importing which package.
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

RUNS = 9
SAMPLE = Path(__file__).resolve().parents[2] / "sample_geo" / "site"
HELP, MEASURE = ["-m", "lawnmap", "--help"], ["-m", "lawnmap", "measure", str(SAMPLE)]
ONES = {
    "import click": ["-c", "import click"],
    "lawnmap --help": HELP,
    "import geopandas": ["-c", "import geopandas"],
    "lawnmap measure": MEASURE,
}
# What each package that takes long to import is needed for.
WHY = {
    "numpy": "arrays: every figure",
    "pandas": "the table of zones; it brings pyarrow where that is installed",
    "pyarrow": "imported by pandas where it is installed (an extra of lawnmap)",
    "shapely": "shapes",
    "pyproj": "the CRS of a table of zones",
    "geopandas": "the table of zones with its shapes",
    "click": "the command line",
    "pyogrio": "read only by commands that open such a file",
    "folium": "read only by exports of the map",
    "ezdxf": "read only for a DXF drawing",
}


def seconds(arguments: list[str]) -> tuple[float, float]:
    """Return the processor time [s] and the most memory [MB] of one fresh interpreter."""
    with tempfile.TemporaryDirectory() as folder:
        child = subprocess.Popen(  # noqa: S603 - our own interpreter
            [sys.executable, *arguments], stdout=subprocess.DEVNULL, cwd=folder
        )
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{arguments}: exit code {child.returncode}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def imports(arguments: list[str]) -> dict[str, float]:
    """Return what importing each package took, without what it imported in turn [ms]."""
    with tempfile.TemporaryDirectory() as folder:
        told = subprocess.run(  # noqa: S603 - our own interpreter
            [sys.executable, "-X", "importtime", *arguments],
            capture_output=True, text=True, check=True, cwd=folder,
        ).stderr  # fmt: skip
    own: dict[str, float] = {}
    for line in re.findall(r"import time:\s+(\d+) \|\s+\d+ \|\s+(\S+)", told):
        package = line[1].split(".")[0]
        own[package] = own.get(package, 0.0) + int(line[0]) / 1000
    return own


def main() -> None:
    """Print the medians, the ratios and the imports."""
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in ONES}
    for _ in range(RUNS):
        for name, arguments in ONES.items():
            found[name].append(seconds(arguments))
    middle = {name: statistics.median(each[0] for each in runs) for name, runs in found.items()}
    for name, runs in found.items():
        memory = statistics.median(each[1] for each in runs)
        print(f"{name:18s} {middle[name]:.2f} s of processor time, {memory:.0f} MB")
    print(f"help: {middle['lawnmap --help'] - middle['import click']:.2f} s above import click")
    ratio = middle["lawnmap measure"] / middle["import geopandas"]
    print(f"measure: {ratio:.2f} times import geopandas")
    for name in ("lawnmap --help", "lawnmap measure"):
        print(f"imported for {name}, each package without what it brings:")
        for package, ms in sorted(imports(ONES[name]).items(), key=lambda each: -each[1])[:9]:
            print(f"  {package:12s} {ms:5.0f} ms  {WHY.get(package, '')}")


if __name__ == "__main__":
    main()
