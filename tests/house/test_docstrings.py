"""Docstrings and types of what others call: complete, and true to the signature beside them.

The style of the text is ruff's business and types are mypy's; this asks what neither does: that
parameters listed are those there are, that a result is told, and that our errors are named.
"""

import ast
import inspect
import re
from pathlib import Path

import pytest

import lawnmap
from lawnmap import errors, plugins

PACKAGE = Path(lawnmap.__file__).parent
ROOMS = ("jobs", "processing", "notebook")
ALONE = ("model.py", "plugins.py", "errors.py", "paper.py")
WHOLE = ("notebook", "stepwise.py")  # where every parameter is told
MANY = 5  # parameters, from which they are told everywhere
OURS = {each for each in errors.__all__ if each != "LawnmapError"}
RULE = re.compile(r"^-{3,}$")
NAMES = re.compile(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*)(?: :.*)?$")
TOLD = re.compile(r"\b(?:[Rr]eturn|Yield|Tell|Say|Trace|Name|List|Read|Add|Whether)")


def sections(text):
    """Return the lines of each section of a docstring by its heading; '' is what comes first."""
    found, heading = {"": []}, ""
    lines = text.splitlines()
    for line, below in zip(lines, [*lines[1:], ""], strict=False):
        if RULE.match(below.strip()) and line.strip():
            heading = line.strip()
            found[heading] = []
        elif not RULE.match(line.strip()):
            found[heading].append(line)
    return found


def listed(lines):
    """Return the names of parameters in the order of a section."""
    heads = (NAMES.match(line) for line in lines if line and not line.startswith(" "))
    return [name.lstrip("*") for head in heads if head for name in head[1].split(", ")]


def functions():
    """Yield path, name and node of every public function and method."""
    folders = [path for room in ROOMS for path in sorted((PACKAGE / room).rglob("*.py"))]
    for path in [*folders, *(PACKAGE / name for name in ALONE)]:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            inside = node.body if isinstance(node, ast.ClassDef) else [node]
            if isinstance(node, ast.ClassDef) and node.name.startswith("_"):
                continue
            for each in inside:
                if isinstance(each, ast.FunctionDef) and not each.name.startswith("_"):
                    yield path.relative_to(PACKAGE).as_posix(), each, each is not node


def parameters(function, *, method):
    given = function.args
    names = [each.arg for each in [*given.posonlyargs, *given.args, *given.kwonlyargs]]
    names = names[1:] if method and names[:1] in (["self"], ["cls"]) else names
    return names, [each.arg for each in (given.vararg, given.kwarg) if each]


def is_property(function):
    return any("property" in ast.unparse(each) for each in function.decorator_list)


def flaws(place, function, *, method):
    """Yield what is wrong with the types and the docstring of one function."""
    text = ast.get_docstring(function) or ""
    parts = sections(text)
    names, rest = parameters(function, method=method)
    told = listed(parts.get("Parameters", []))
    if not text:
        yield "has no docstring"
    if function.returns is None or any(
        each.annotation is None
        for each in [*function.args.args, *function.args.kwonlyargs]
        if each.arg in names
    ):
        yield "is not typed"
    if set(told) - {*names, *rest}:
        yield f"tells of {told}, and has {names}"
    lacking = [each for each in names if each not in told]
    if lacking and (told or len(names) >= MANY or place.startswith(WHOLE) or WHOLE[1] in place):
        yield f"does not tell of {lacking}"
    returns = ast.unparse(function.returns) if function.returns else "None"
    silent = returns in ("None", "Iterator[None]") or is_property(function)
    sectioned = {"Returns", "Yields"} & parts.keys()
    if not silent and not sectioned and not TOLD.search("\n".join(parts[""])):
        yield f"does not tell that it returns {returns}"
    raised = {
        each.exc.func.id
        for each in ast.walk(function)
        if isinstance(each, ast.Raise)
        and isinstance(each.exc, ast.Call)
        and isinstance(each.exc.func, ast.Name)
    }
    unsaid = [each for each in raised & OURS if each not in text]
    if unsaid:
        yield f"does not name {unsaid}"


def test_what_is_called_is_typed_and_told():
    found = [
        f"{place}: {function.name} {flaw}"
        for place, function, method in functions()
        for flaw in flaws(place, function, method=method)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("source", "flaw"),
    [
        ("def f(a: int) -> int:\n    'Return it.'", ""),
        ("def f(a) -> int:\n    'Return it.'", "is not typed"),
        ("def f(a: int):\n    'Return it.'", "is not typed"),
        ("def f(a: int) -> int:\n    pass", "has no docstring"),
        ("def f(a: int) -> int:\n    'Double it.'", "that it returns int"),
        ("def f(a: int) -> None:\n    'Halve it.'\n    raise InputRefused('')", "InputRefused"),
        ('def f(a: int, b: int) -> None:\n    """Do.\n\n    Parameters\n    ----------\n'
         '    a : int\n    """', "does not tell of ['b']"),
        ('def f(a: int) -> None:\n    """Do.\n\n    Parameters\n    ----------\n'
         '    a, c : int\n    """', "and has"),
        ("def f(a: int, b: int, c: int, d: int, e: int) -> None:\n    'Do.'", "does not tell of"),
    ],
)  # fmt: skip
def test_a_flaw_is_seen(source, flaw):
    (function,) = ast.parse(source).body
    found = list(flaws("jobs/some.py", function, method=False))
    assert flaw in " ".join(found)
    assert bool(found) == bool(flaw)


@pytest.mark.parametrize("name", lawnmap.__all__)
def test_a_public_name_tells_all_of_itself(name):
    found = getattr(lawnmap, name)
    text = inspect.getdoc(found)
    parts = sections(text)
    if inspect.isclass(found):
        methods = [m for n, m in vars(found).items() if not n.startswith("_") and callable(m)]
        assert all(inspect.getdoc(each) for each in methods)
        return
    assert {"Parameters", "Returns"} <= parts.keys()
    assert listed(parts["Parameters"]) == list(inspect.signature(found).parameters)
    assert "Raises" in parts or name == "sample"


@pytest.mark.parametrize("shape", [plugins.Reader, plugins.Treatment, plugins.Export])
def test_the_shape_of_a_plugin_tells_what_goes_in_and_what_comes_out(shape):
    for name, method in vars(shape).items():
        if inspect.isfunction(method) and not name.startswith("_"):
            assert {"Parameters", "Returns"} <= sections(inspect.getdoc(method)).keys(), name
