"""Each floor may use only the floors below it; rooms on one floor share no door."""

import ast
from pathlib import Path

import lawnmap

PACKAGE = Path(lawnmap.__file__).parent
FLOORS = [
    ["errors"],
    ["agronomy", "geometry", "logistics", "schema", "reference", "pages", "files"],
    ["found", "days", "grids"],
    ["light"],
    ["model"],
    ["paper"],
    ["plugins"],
    ["readers", "treatments", "processing", "exports", "store"],
    ["jobs"],
    ["web"],
    ["cli"],
    ["__main__"],
]
FLOOR = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
PURE = {"agronomy", "geometry"}
NOT_IN_PURE = {"pathlib", "os", "io", "sys", "urllib", "click", "folium", "geopandas", "pandas"}
ONLY_IN_PLATFORM = {"fcntl", "resource", "msvcrt", "ctypes"}
BANNED_NAMES = {"utils", "helpers", "common", "core", "manager", "tools", "engine"}


def modules():
    return [path for path in sorted(PACKAGE.rglob("*.py")) if "__pycache__" not in path.parts]


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


def test_folder_inits_hold_a_docstring_only():
    for path in PACKAGE.rglob("__init__.py"):
        body = ast.parse(path.read_text(encoding="utf-8")).body
        assert len(body) == 1, path
        assert isinstance(body[0], ast.Expr), path


def test_no_room_for_odds_and_ends():
    found = [path for path in modules() if path.stem.strip("_") in BANNED_NAMES]
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
    for path in modules():
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
