"""Every command once, on a terminal that shows ASCII only.

``python -m tests.elsewhere.plain FOLDER`` runs in FOLDER, which is new, and prints a JSON object:
by command, its code and what it wrote.
"""

from __future__ import annotations

import json
import os
import sys

from lawnmap import plugins
from tests.cli.runner import here
from tests.elsewhere.work import begin

DAY = ("--today", "2026-08-01")
RUNS = {
    "start": ("other", "--title", "Other"),
    "read": ("plan.csv", "--crs", "OGC:CRS84", "--into", "other"),
    "mark": ("--help",),  # it serves a page until it is stopped
    "assess": ("garden", "--zone", "lawn-2", "--set", "moss_rating=4"),
    "measure": ("garden", "--units", "imperial"),
    "sun": ("garden", "--under", "3", *DAY),
    "sampling": ("garden", *DAY),
    "plan": ("garden", "--why", "IGDIR-i", *DAY),
    "export": ("garden", "--to", "csv", *DAY),
    "issue": ("garden", "--to", "client", "The owner", *DAY),
    "record": ("garden", "--list", *DAY),
    "survey": ("garden", *DAY),
    "compare": ("garden", *DAY),
    "calibrate": ("--help",),
    "place": ("garden", "--help"),
    "sites": (".", "-o", "results", *DAY),
    "check": ("garden", *DAY),
    "plugins": (),
    "desktop": ("--help",),  # its status is of the GIS of this machine
    "about": (),
}


def written(*arguments: str) -> dict[str, str | int]:
    """Run a command with ASCII streams; return its code and what it wrote."""
    return here(*arguments, encoding="ascii")._asdict()


def main() -> None:
    """Run all; a command that is not in RUNS is asked for its help, and so told apart."""
    os.chdir(sys.argv[1])
    begin(list(DAY), "Garden")  # such a system has no other letters for what is typed
    told = {"plan of all": written("plan", "garden", *DAY)}
    for name in [*RUNS, *(set(plugins.available("commands")) - set(RUNS))]:
        told[name] = written(name, *RUNS.get(name, ("--help",)))
    sys.stdout.write(json.dumps(told, indent=1))


if __name__ == "__main__":
    main()
