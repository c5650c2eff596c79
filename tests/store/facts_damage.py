"""Damage to a file or folder of a garden, and the commands that meet it, run in this process."""

import contextlib
import os
import shutil
from pathlib import Path

from tests.cli.runner import here as run
from tests.store import facts_garden as made

# What can happen to a file ------------------------------------------------------------------------


def _emptied(path):
    path.write_bytes(b"")


def _cut(path):
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])


def _nul(path):
    path.write_bytes(b"\0" * path.stat().st_size)


def _junk(path):
    path.write_bytes(bytes(range(128, 256)) * 3)


def _doubled(path):
    path.write_bytes(path.read_bytes() * 2)


def _wide(path):
    path.write_bytes(path.read_bytes().decode("utf-8", "replace").encode("utf-16"))


def _folder(path):
    path.unlink()
    path.mkdir()
    (path / "something").write_bytes(b"of somebody")


def _loop(path):
    path.unlink()
    path.symlink_to(path.name)


def _dangling(path):
    path.unlink()
    path.symlink_to("nowhere")


def _swept(path):
    """Take a folder away and put a file in its place."""
    shutil.rmtree(path)
    path.write_bytes(b"a file\n")


FILE_DAMAGES = {
    "empty": _emptied, "cut": _cut, "NUL": _nul, "junk": _junk, "doubled": _doubled,
    "UTF-16": _wide, "a folder": _folder, "a link to itself": _loop, "a broken link": _dangling,
}  # fmt: skip
FOLDER_DAMAGES = {
    "a file": _swept,
    "a link to itself": lambda path: (shutil.rmtree(path), _link(path)),
}
UNREADABLE = "unreadable"


def _link(path):
    path.symlink_to(path.name)


@contextlib.contextmanager
def unreadable(path, patch):
    """Let the system refuse to open a file or list a folder, as for who has no right to it."""
    held = os.path.realpath(path)

    def refusing(call):
        def refused(where, *rest, **named):
            if isinstance(where, str | os.PathLike) and os.path.realpath(where) == held:
                raise PermissionError(13, "Permission denied", str(where))
            return call(where, *rest, **named)

        return refused

    with patch.context() as patched:
        for name in ("open", "listdir", "scandir"):
            patched.setattr(os, name, refusing(getattr(os, name)))
        yield


FILES = {
    "site.geojson": lambda g: g.folder.site,
    "specification.toml": lambda g: g.folder.specification,
    "record.csv": lambda g: g.folder.record,
    "closed.csv": lambda g: g.folder.closed,
    "weather.csv": lambda g: g.folder.weather,
    "heights.csv": lambda g: g.folder.path / "heights.csv",
    "surface.json": lambda g: g.folder.path / "surface.json",
    "survey": lambda g: g.folder.surveys / f"{made.SURVEY}.geojson",
    "plan.json": lambda g: _issued(g) / "plan.json",
    "inputs.json": lambda g: _issued(g) / "inputs.json",
    "files.json": lambda g: _issued(g) / "files.json",
    "reply": lambda g: next(g.folder.replies.iterdir()),
    "sidecar": lambda g: g.folder.backdrop / "plan.json",
    "picture": lambda g: g.folder.backdrop / "plan.webp",
    "sun cache": lambda g: next(g.folder.cache.iterdir()),
    "backup": lambda g: max(g.folder.backups.iterdir()),
    "products.toml": lambda g: g.depot / "products.toml",
    "machines.toml": lambda g: g.depot / "machines.toml",
    "calibration.csv": lambda g: g.depot / "calibration.csv",
}  # fmt: skip
FOLDERS = {
    name: lambda g, name=name: getattr(g.folder, name)
    for name in ("private", "backups", "cache", "issued", "surveys", "replies", "backdrop")
}


def _issued(garden):
    return next(each for each in garden.folder.issued.iterdir() if each.is_dir())


DAY = ("--today", made.TODAY.isoformat())
# Every command that opens a site or a depot; the garden's folder is put in for SITE.
COMMANDS = {
    "check": ("check", "SITE", *DAY),
    "check --backups": ("check", "SITE", "--backups"),
    "measure": ("measure", "SITE"),
    "record --list": ("record", "SITE", "--list"),
    "record": ("record", "SITE", "front", "mowing", "--dry-run", *DAY),
    "record --register": ("record", "SITE", "--register", "-", "--year", "2026", *DAY),
    "record --cancel": ("record", "SITE", "--cancel", "work.2", "reason=x", "--dry-run", *DAY),
    "assess": ("assess", "SITE", "--zone", "front", "--set", "moss_rating=4", "--dry-run"),
    "survey --list": ("survey", "SITE", "--list"),
    "compare": ("compare", "SITE", *DAY),
    "compare --applied": ("compare", "SITE", "--applied"),
    "sampling": ("sampling", "SITE"),
    "calibrate": (
        "calibrate", "knapsack", "width=1 m", "length=10 m", "caught=400 ml", "--applicator",
        "Knapsack", "--depot", "DEPOT", "--dry-run", *DAY,
    ),
    "read": ("read", "VISIT", "--into", "SITE", "--dry-run", *DAY),
}  # fmt: skip
PLANS = {
    "plan": ("plan", "SITE", *DAY),
    "export": ("export", "SITE", "--to", "csv", "-o", "-", *DAY),
    "export a map": ("export", "SITE", "--to", "map", "--backdrop", "-o", "OUT", "--force", *DAY),
    "sun": ("sun", "SITE", "--step", "4", *DAY),
    "sites": ("sites", "DEPOT", "-o", "RESULTS", "--workers", "1", *DAY),
}  # fmt: skip


def told(garden, command, out):
    """Run a command on a garden; what it writes goes into `out`."""
    places = {
        "SITE": garden.folder.path, "DEPOT": garden.depot, "VISIT": garden.inbox / "visit.json",
        "OUT": out / "map.html", "RESULTS": out / "results",
    }  # fmt: skip
    return run(*(places.get(each, each) for each in command))


def damaged_state(garden):
    """Return every file and link below the depot, and what the links lead to."""
    found = {}
    for where, folders, names in os.walk(garden.depot):
        for name in (*folders, *names):
            path = Path(where, name)
            if path.is_symlink():
                found[str(path)] = str(path.readlink())
            elif path.is_file() and not name.endswith("lock"):
                found[str(path)] = path.read_bytes()
    return found
