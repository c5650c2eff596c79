"""What the code names, read from its text: a page says what is there and not what was meant.

Nothing is run. A piece of code *names* a rule, a value or a column when it is a constant of its
text. What a plugin names is what stands in its one function and in whatever that leads to.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Collection, Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import lawnmap

PACKAGE = Path(lawnmap.__file__).parent
LONG_ENOUGH = 5  # letters of an f-string that tell a family of names
# Methods whose first argument is a column.
TAKING = {"get", "numbers", "texts", "names", "among", "drop", "pop", "eq", "map"}
FAMILY = re.compile(r"f\"\w*_\{|f\"\{[^}]*\}_\w")
LINE = re.compile(r'\s*"""(.+?)\.?(?:"""|\n)')
STEP = re.compile(r"^The (step|job) ``\w+``: ")
# Steps whose module bears another name.
STEPS = {
    "dates": "lawnmap.processing.days.dating",
    "kept_clear": "lawnmap.processing.setting_out.treatable",
    "quote": "lawnmap.processing.buying.quoting",
    "sun": "lawnmap.processing.sun.zone_sun",
    "walk": "lawnmap.processing.setting_out.walking",
}


class Named(NamedTuple):
    """What a piece of code holds.

    Attributes
    ----------
    texts : frozenset of str
        Its texts, and the names of arguments that it gives.
    taken : frozenset of str
        Texts that it takes from something, as in ``row["what"]``, or asks for.
    families : tuple of pattern
        Names that it puts together, as ``iron_card_`` and a word.
    uses : frozenset of (str, str)
        Names that it uses, and what of each: ``("row", "rows")`` for ``row.rows``.
    """

    texts: frozenset[str]
    taken: frozenset[str]
    families: tuple[re.Pattern[str], ...]
    uses: frozenset[tuple[str, str]]


@cache
def modules() -> dict[str, str]:
    """Return the text of every module of lawnmap by its dotted name."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = path.read_text(encoding="utf-8")
    return found


@cache
def tree(module: str) -> ast.Module:
    """Return the parsed text of a module."""
    return ast.parse(modules()[module])


@cache
def first_line(module: str) -> str:
    """Return the first line of a module's docstring, without its full stop."""
    said = LINE.match(modules()[module])
    return STEP.sub("", said[1] if said else "")


@cache
def definitions(module: str) -> dict[str, ast.stmt]:
    """Return what a module defines by name: functions, classes, constants."""
    found: dict[str, ast.stmt] = {}
    for node in tree(module).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found[node.name] = node
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            for each in targets:
                for name in ast.walk(each):
                    if isinstance(name, ast.Name):
                        found[name.id] = node
    return found


@cache
def taken_from(module: str) -> dict[str, tuple[str, str]]:
    """Return what each imported name of a module is: a module, and what of it ("" for all)."""
    found = {}
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.ImportFrom) and node.module:
            for each in node.names:
                whole = f"{node.module}.{each.name}"
                of_module = (whole, "") if whole in modules() else (node.module, each.name)
                found[each.asname or each.name] = of_module
    return found


@cache
def named(node: ast.AST) -> Named:
    """Return what a piece of code holds; it is walked once."""
    texts, taken, families, uses = set(), set(), [], set()
    for each in ast.walk(node):
        match each:
            case ast.Constant(value=str(text)):
                texts.add(text)
            case ast.keyword(arg=str(name)):
                texts.add(name)
            case ast.Name(id=name):
                uses.add((name, ""))
            case ast.Attribute(value=ast.Name(id=name), attr=part):
                uses.add((name, part))
            case ast.Subscript(slice=inside) | ast.Compare(left=inside):
                taken |= _texts(inside)
            case ast.Call(func=ast.Attribute(attr=part), args=[first, *_]) if part in TAKING:
                taken |= _texts(first)
            case ast.JoinedStr():
                families += _family(each)
    return Named(frozenset(texts), frozenset(taken), tuple(families), frozenset(uses))


def _texts(node: ast.expr) -> set[str]:
    return {
        each.value
        for each in (node, *getattr(node, "elts", ()))
        if isinstance(each, ast.Constant) and isinstance(each.value, str)
    }


def _family(text: ast.JoinedStr) -> Iterator[re.Pattern[str]]:
    parts = [each.value if isinstance(each, ast.Constant) else None for each in text.values]
    plain = "".join(each for each in parts if each)
    if "_" in plain and len(plain) >= LONG_ENOUGH and re.fullmatch(r"\w+", plain):
        yield re.compile("".join(r"\w+" if each is None else re.escape(each) for each in parts))


def reach(module: str, start: str, room: str, stop: Collection[str] = ()) -> tuple[ast.stmt, ...]:
    """Return the pieces of code that a function leads to, itself first.

    Parameters
    ----------
    module, start : str
        Where the function stands, and its name.
    room : str
        Only modules below this package are followed.
    stop : collection of str
        Modules that are things of their own, and are not followed.
    """
    found: dict[tuple[str, str], ast.stmt] = {}
    left = [(module, start)]
    while left:
        one = left.pop()
        place, name = one
        if one in found or not place.startswith(room) or (place != module and place in stop):
            continue
        node = definitions(place).get(name)
        if node is not None:
            found[one] = node
            left += _leads_to(place, node)
    return tuple(found.values())


def _leads_to(module: str, node: ast.stmt) -> Iterator[tuple[str, str]]:
    names = taken_from(module)
    for name, part in named(node).uses:
        place, inside = names.get(name, (module, name))
        if inside and not part:
            yield place, inside
        elif part and not inside:
            yield place, part


def makes_rows(module: str) -> bool:
    """Tell whether a module makes rows of steps itself."""
    return "row.rows(" in modules()[module]


def names(node: ast.AST, name: str) -> bool:
    """Tell whether a piece of code names a rule or a value, whole or as one of a family."""
    held = named(node)
    return name in held.texts or any(each.fullmatch(name) for each in held.families)


@cache
def users(name: str) -> tuple[str, ...]:
    """Return the modules that name a rule or a value, in the order of their names."""
    return tuple(
        module
        for module, text in modules().items()
        if f'"{name}"' in text or (module in _with_families() and names(tree(module), name))
    )


@cache
def _with_families() -> frozenset[str]:
    return frozenset(module for module, text in modules().items() if FAMILY.search(text))


@cache
def readers_of(column: str, room: str) -> tuple[str, ...]:
    """Return the modules of a room that take a column; one with its unit counts anywhere."""
    return tuple(
        module
        for module, text in modules().items()
        if module.startswith(room)
        and f'"{column}"' in text
        and column in (_held(module).texts if "_" in column else _held(module).taken)
    )


def _held(module: str) -> Named:
    return named(tree(module))


@cache
def step_module(step: str) -> str:
    """Return the module in which a step of the plan is worked out; empty when none bears its name.

    Of several of one name, the one that has a function of that name counts.
    """
    if step in STEPS:
        return STEPS[step]
    found = [
        name
        for room in ("lawnmap.processing.", "lawnmap.jobs.")
        for name in modules()
        if name.startswith(room) and name.endswith(f".{step}")
    ]
    having = [name for name in found if step in definitions(name)]
    return next(iter([*having, *found]), "")
