"""Each floor may use only the floors below it; rooms on one floor share no door."""

import ast
import sys
from pathlib import Path

import lawnmap

PACKAGE = Path(lawnmap.__file__).parent
FLOORS = [
    ["errors"],
    ["agronomy", "geometry", "logistics", "schema", "reference", "pages", "files"],
    ["found", "days", "grids", "coded", "glance"],
    ["light"],
    ["model"],
    ["paper"],
    ["outside"],
    ["plugins"],
    ["readers", "treatments", "processing", "exports", "store"],
    ["jobs"],
    ["web", "notebook"],
    ["cli"],
    ["__main__"],
]
FLOOR = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
PURE = {"agronomy", "geometry"}
NOT_IN_PURE = {"pathlib", "os", "io", "sys", "urllib", "click", "folium", "geopandas", "pandas"}
ONLY_IN_PLATFORM = {"fcntl", "resource", "msvcrt", "ctypes"}
# Beside the house: it is copied into the GIS and runs there, so it uses what a GIS has and itself.
BESIDE = "desktop"
OF_THE_GIS = {"qgis", "processing"}
BANNED_NAMES = {"utils", "helpers", "common", "core", "manager", "tools", "engine"}


def all_modules():
    return [path for path in sorted(PACKAGE.rglob("*.py")) if "__pycache__" not in path.parts]


def modules():
    return [path for path in all_modules() if room_of(path) != BESIDE]


def beside():
    return [path for path in all_modules() if room_of(path) == BESIDE]


def imports(path):
    """Yield the dotted name of everything a module imports, type-checking blocks included."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def room_of(path):
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def wrong_doors(path, names):
    """Return the imports of one module that go up or sideways, or that a pure room may not have."""
    room = room_of(path)
    wrong = []
    for name in names:
        words = name.split(".")
        if words[0] == "lawnmap" and len(words) > 1 and words[1] in FLOOR:
            other = words[1]
            if other != room and FLOOR[other] >= FLOOR[room]:
                wrong.append(f"{room} -> {other} in {path.name}")
        elif room in PURE and words[0] in NOT_IN_PURE:
            wrong.append(f"{room} imports {words[0]} in {path.name}")
    return wrong


def test_imports_point_down():
    found = [
        wrong
        for path in modules()
        if path.name != "__init__.py"
        for wrong in wrong_doors(path, imports(path))
    ]
    assert not found


def test_the_floors_test_sees_a_door_that_is_wrong():
    reader = PACKAGE / "readers" / "kml.py"
    formula = PACKAGE / "agronomy" / "iron.py"
    assert wrong_doors(reader, ["lawnmap.processing.entering.merge"])
    assert wrong_doors(reader, ["lawnmap.jobs"])
    assert wrong_doors(formula, ["pandas"])
    assert not wrong_doors(reader, ["lawnmap.model.Found", "json"])


def test_every_room_is_on_a_floor():
    rooms = {room_of(path) for path in modules()} - {"__init__"}
    assert BESIDE not in FLOOR
    assert rooms <= set(FLOOR), rooms - set(FLOOR)


def test_no_import_cycle():
    edges = {}
    names = {
        ".".join(("lawnmap", *path.relative_to(PACKAGE).with_suffix("").parts))
        for path in modules()
    }
    for path in modules():
        me = ".".join(("lawnmap", *path.relative_to(PACKAGE).with_suffix("").parts))
        targets = set()
        for name in imports(path):
            targets |= {n for n in (name, name.rpartition(".")[0]) if n in names and n != me}
        edges[me] = targets
    done, path = set(), []

    def visit(module):
        assert module not in path, " -> ".join([*path, module])
        if module in done:
            return
        path.append(module)
        for other in sorted(edges[module]):
            visit(other)
        path.pop()
        done.add(module)

    for module in sorted(edges):
        visit(module)
    assert len(done) == len(names)


def foreign(path):
    """Return what a module beside the house imports that is neither the GIS, Python nor itself."""
    wrong = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            tops = {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            inside = node.level <= len(path.relative_to(PACKAGE / BESIDE).parts)
            tops = {node.module.split(".")[0]} if not node.level else set() if inside else {".."}
        else:
            continue
        wrong += sorted(tops - OF_THE_GIS - sys.stdlib_module_names)
    return wrong


def test_what_runs_in_the_gis_imports_only_what_is_there():
    found = {path.name: wrong for path in beside() if (wrong := foreign(path))}
    assert found == {}
    assert len(beside()) > 10


def test_a_foreign_import_beside_the_house_is_seen(tmp_path, monkeypatch):
    monkeypatch.setitem(globals(), "PACKAGE", tmp_path)
    steps = tmp_path / BESIDE / "steps"
    steps.mkdir(parents=True)
    for source, wrong in {
        "import lawnmap.errors": ["lawnmap"],
        "from geopandas import read_file": ["geopandas"],
        "from ..errors import LawnmapError": [],
        "from ...errors import LawnmapError": [".."],
        "import os, json\nfrom qgis.core import QgsField\nimport processing": [],
    }.items():
        path = steps / "step.py"
        path.write_text(source, encoding="utf-8")
        assert foreign(path) == wrong, source


def test_the_house_never_imports_what_stands_beside_it():
    found = [
        f"{path.name}: {name}"
        for path in modules()
        for name in imports(path)
        if name.startswith(f"lawnmap.{BESIDE}")
    ]
    assert found == []


def test_folder_inits_hold_a_docstring_only():
    # But for the top one, which lists the public names: test_public_names.py says what it holds.
    for path in {*PACKAGE.rglob("__init__.py")} - {PACKAGE / "__init__.py"}:
        body = ast.parse(path.read_text(encoding="utf-8")).body
        if path.parent == PACKAGE / BESIDE:
            # The GIS looks for this function in the plugin's __init__ and nowhere else.
            assert [getattr(each, "name", "") for each in body[-1:]] == ["classFactory"]
            continue
        assert len(body) == 1, path
        assert isinstance(body[0], ast.Expr), path


def test_no_room_for_odds_and_ends():
    found = [path for path in all_modules() if path.stem.strip("_") in BANNED_NAMES]
    assert not found


def test_system_modules_only_in_one_place():
    found = [
        f"{path.name}: {name}"
        for path in modules()
        if path.relative_to(PACKAGE).as_posix() != "files/platform.py"
        for name in imports(path)
        if name.split(".")[0] in ONLY_IN_PLATFORM
    ]
    assert not found


def test_no_shell_and_no_file_without_encoding():
    for path in all_modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            words = {keyword.arg for keyword in node.keywords}
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            assert "shell" not in words, path
            assert name not in {"system", "eval", "exec", "popen"}, path
            if name in {"read_text", "write_text"}:
                assert "encoding" in words, f"{path}: {node.lineno}"


ROOMS = ["wording", "drawing", "parts", "crew"]  # of exports: each may use those before it


def test_rooms_of_exports_are_used_one_way():
    doors = []
    for path in sorted((PACKAGE / "exports").rglob("*.py")):
        room = path.parent.name
        place = ROOMS.index(room) if room in ROOMS else len(ROOMS)
        for name in imports(path):
            used = name.split(".")[2] if name.startswith("lawnmap.exports.") else ""
            if used in ROOMS and ROOMS.index(used) > place:
                doors.append(f"{room}/{path.name} uses {used}")
    assert doors == []
