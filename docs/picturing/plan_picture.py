"""What ``lawnmap read --preview`` draws of a scan, with the lawns that were picked in it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

from picturing.commands import run
from picturing.sample import PLANS, Sample, sources
from picturing.studio import Studio, small

NAMES = ("preview",)
MADE_BY = ("exports/preview/marks.py", "exports/preview/picture.py", "exports/preview/view.py")


def shows(_: Sample) -> dict[str, list[str]]:
    """Return what the picture rests on: what draws a preview."""
    return dict.fromkeys(NAMES, sources(*MADE_BY))


def take(_: Studio, __: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Read the scan and the corners, and look at the scan under them."""
    shutil.copytree(PLANS, folder, dirs_exist_ok=True)
    run(
        folder,
        'lawnmap start garden --title "Invented garden"',
        "lawnmap read garden.png --control garden_control.csv --into garden",
        "lawnmap read corners.csv --crs picture:garden --into garden",
        "lawnmap read garden.png --control garden_control.csv --into garden --dry-run "
        "--preview scan.png",
    )
    yield "preview", small((folder / "scan.png").read_bytes())
