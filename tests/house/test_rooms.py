"""A module stays a room one can read in one sitting, and a function a thing one can see at once."""

import ast
from pathlib import Path

import lawnmap

PACKAGE = Path(lawnmap.__file__).parent
TALLEST_ROOM = 300
LONGEST_FUNCTION = 50
LONGEST_COMMAND = 30


def code_lines(function, lines):
    """Count the lines of a function that are neither docstring, comment nor blank."""
    body = function.body
    if isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant):
        body = body[1:]
    if not body:
        return 0
    text = lines[body[0].lineno - 1 : function.end_lineno]
    return sum(1 for line in text if line.strip() and not line.strip().startswith("#"))


def functions(path):
    text = path.read_text(encoding="utf-8")
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            yield node, code_lines(node, text.splitlines())


def test_rooms_stay_small():
    tall = {
        path.relative_to(PACKAGE).as_posix(): count
        for path in PACKAGE.rglob("*.py")
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > TALLEST_ROOM
    }
    assert not tall


def test_functions_stay_short():
    long = {
        f"{path.name}:{node.name}": count
        for path in PACKAGE.rglob("*.py")
        for node, count in functions(path)
        if count > LONGEST_FUNCTION
    }
    assert not long


def test_a_command_is_a_door():
    long = {
        f"{path.name}:{node.name}": count
        for path in (PACKAGE / "cli").glob("*.py")
        for node, count in functions(path)
        if count > LONGEST_COMMAND
    }
    assert not long


def test_every_test_asserts():
    idle = []
    for path in Path(__file__).parents[1].rglob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test"):
                text = ast.dump(node)
                if "Assert(" not in text and "raises" not in text and "assert" not in text.lower():
                    idle.append(f"{path.name}:{node.name}")
    assert not idle


def test_nothing_is_left_undone():
    words = ("TO" + "DO", "FIX" + "ME", "XX" + "X", "NotImplemented" + "Error")
    found = [
        f"{path.name}: {word}"
        for path in PACKAGE.rglob("*.py")
        for word in words
        if word in path.read_text(encoding="utf-8")
    ]
    assert not found
