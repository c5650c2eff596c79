"""Whatever writes goes through the one door: the source of the package is read for other ways.

A new writer that opens a file by itself would be tested by none of the fault loops here.
"""

import ast
from functools import cache
from pathlib import Path

import pytest

import lawnmap

PACKAGE = Path(lawnmap.__file__).parent

# Methods of paths and functions of modules that change a disk.
METHODS = {
    "write_bytes", "write_text", "touch", "mkdir", "rmdir", "unlink", "rename", "symlink_to",
    "hardlink_to", "chmod", "lchmod", "to_parquet", "to_csv", "to_excel", "to_json", "to_pickle",
    "to_file", "to_feather", "extractall", "savefig", "NamedTemporaryFile",
}  # fmt: skip
CALLS = {
    "os": {
        "open", "mkdir", "makedirs", "remove", "unlink", "rmdir", "removedirs", "rename", "renames",
        "replace", "link", "symlink", "truncate", "ftruncate", "chmod", "chown", "mkfifo", "mknod",
        "write", "utime",
    },
    "shutil": {
        "rmtree", "copy", "copy2", "copyfile", "copytree", "move", "copyfileobj", "make_archive",
        "unpack_archive", "chown", "copymode", "copystat",
    },
    "tempfile": {
        "TemporaryDirectory", "NamedTemporaryFile", "TemporaryFile", "mkdtemp", "mkstemp",
        "SpooledTemporaryFile", "mktemp",
    },
    "sqlite3": {"connect"},
    "pa": {"OSFile", "output_stream"},
    "logging": {"FileHandler"},
    "handlers": {"RotatingFileHandler", "FileHandler", "TimedRotatingFileHandler"},
    "pyogrio": {"write_dataframe", "write_arrow"},
    "raw": {"write"},
}  # fmt: skip
BARE = {"RotatingFileHandler", "FileHandler", "TemporaryDirectory", "mkdtemp", "write_dataframe"}
READING = set("rbtU")

# The only other ways, each with its reason. A scratch is a folder of the system's own for files
# that nobody ever sees: whatever becomes of it, no result is touched.
ALLOWED = {
    "files/admit.py": "os.open for reading only, so that no pipe is waited for",
    "files/answer.py": "the guarded child's own output, and the null device",
    "files/child.py": "scratch of the guarded child: private copies under plain names",
    "files/flow.py": "scratch of the guarded child",
    "files/platform.py": "the child's own entries under /proc, which are no files",
    "cli/main.py": "the null device, when nobody listens any more",
    "readers/gpkg_schema.py": "sqlite3 opens the child's copy as a file that never changes",
    "jobs/sites/door/inside.py": "sqlite3 opens a table as a file that never changes",
    "jobs/sites/door/order.py": "scratch of a run: rows in the order of their sites",
    "jobs/sites/engine/layout.py": "scratch of a run: batches until they are laid out",
    "jobs/sites/engine/features.py": "scratch of a run: features until they are laid out",
    "jobs/sites/engine/cluster.py": "scratch of a cluster's workers",
    "desktop/job.py": "scratch of a step in the GIS, where there is no lawnmap to write by",
    "desktop/site.py": "a site in that scratch; lawnmap itself saves whatever is read into it",
    "exports/gis/geopackage.py": "scratch: GDAL makes the file there, its bytes are written as any",
}
# Who may use the commit itself: it sweeps nothing, so a lock must guard what is written.
LOCKED = {"files/alone.py", "files/lock.py", "store", "jobs/sites"}


def modules():
    return [path for path in sorted(PACKAGE.rglob("*.py")) if "__pycache__" not in path.parts]


@cache
def parsed():
    """Return the syntax tree of every module, by its place in the package."""
    return {place(path): ast.parse(path.read_text(encoding="utf-8")) for path in modules()}


def place(path):
    return path.relative_to(PACKAGE).as_posix()


def writes(tree):
    """Yield line and name of every call that may change a disk by itself."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        called = node.func
        if isinstance(called, ast.Name) and called.id in BARE:
            yield node.lineno, called.id
        elif isinstance(called, ast.Name) and called.id == "open" and not _only_read(node, 1):
            yield node.lineno, "open"
        elif isinstance(called, ast.Attribute):
            owner = _owner(called.value)
            if called.attr in CALLS.get(owner, ()):
                yield node.lineno, f"{owner}.{called.attr}"
            elif called.attr in METHODS and owner not in CALLS and not _of_table(node):
                yield node.lineno, called.attr
            elif called.attr == "open" and owner not in CALLS and not _only_read(node, 0):
                yield node.lineno, "open"


def _owner(node):
    """Return the last name before the point, as of a module."""
    return getattr(node, "id", "") or getattr(node, "attr", "")


def _of_table(node):
    """Tell whether it is the columns of a table that get other names."""
    return node.func.attr == "rename" and not node.args


def _only_read(node, place_of_mode):
    """Tell whether a file is opened for reading only, or by something that is no path at all."""
    modes = [each.value for each in node.keywords if each.arg == "mode"]
    modes += node.args[place_of_mode : place_of_mode + 1]
    if not modes:
        return True
    (mode,) = modes[:1]
    if isinstance(mode, ast.Constant) and isinstance(mode.value, str):
        return set(mode.value) <= READING or not set(mode.value) <= set("rbtU+wax")
    return not isinstance(mode, ast.Name | ast.IfExp) or place_of_mode == 0


def test_every_module_writes_through_the_one_door():
    found = {name: list(writes(tree)) for name, tree in parsed().items()}
    other = {name: calls for name, calls in found.items() if calls and name not in ALLOWED}
    assert other == {}
    assert sum(map(bool, found.values())) == len(ALLOWED)  # no reason without its writer
    assert len(found) > 400


def test_a_commit_without_a_lock_is_only_made_where_folders_are_locked():
    """Others use :func:`lawnmap.files.alone.put`, which also sweeps what a killed writer left."""
    using = []
    for name, tree in parsed().items():
        for node in ast.walk(tree):
            of_it = isinstance(node, ast.ImportFrom) and node.module == "lawnmap.files.commit"
            if of_it and any(each.name == "commit" for each in node.names):
                using.append(name)
    assert len(using) > 10
    assert [name for name in using if not name.startswith(tuple(LOCKED))] == []


@pytest.mark.parametrize(
    "source",
    [
        "path.write_text('a')",
        "(out / name).unlink(missing_ok=True)",
        "folder().mkdir(parents=True)",
        "open(path, 'w')",
        "path.open('ab')",
        "path.open(mode='x')",
        "os.replace(a, b)",
        "shutil.rmtree(self.folder)",
        "with tempfile.TemporaryDirectory() as made: pass",
        "pa.OSFile(path, 'wb')",
        "table.to_parquet(path)",
        "RotatingFileHandler(path)",
        "open(path, mode)",
    ],
)
def test_another_way_is_seen(source):
    assert len(list(writes(ast.parse(source)))) == 1


@pytest.mark.parametrize(
    "source",
    [
        "path.open('rb')",
        "path.open(encoding='utf-8')",
        "open(path, 'rb')",
        "disk.do(os.mkdir, folder)",
        "DISK.remove(path)",
        "Image.open(file, formats=['PNG'])",
        "archive.open(info)",
        "text.replace('a', 'b')",
    ],
)
def test_reading_and_the_door_are_not_taken_for_another_way(source):
    assert list(writes(ast.parse(source))) == []
