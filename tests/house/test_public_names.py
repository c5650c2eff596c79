"""The top of the package lists the public names, and fetches each when it is first asked for."""

import ast
import json
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import lawnmap

TOP = Path(lawnmap.__file__)
TREE = ast.parse(TOP.read_text(encoding="utf-8"))
HEAVY = ("geopandas", "pandas", "numpy", "shapely", "pyproj", "folium", "click")
LOADED = """
import json, sys
{}
print(json.dumps(sorted(sys.modules)))
"""


def for_checkers():
    """Return the names that a type checker is told of, with the module of each."""
    (block,) = [each for each in TREE.body if isinstance(each, ast.If)]
    assert ast.unparse(block.test) == "TYPE_CHECKING"
    return {alias.name: each.module for each in block.body for alias in each.names}


def modules_after(code):
    done = subprocess.run(
        [sys.executable, "-c", LOADED.format(code)], capture_output=True, check=True
    )
    return json.loads(done.stdout.splitlines()[-1])


def test_the_list_is_sorted_and_the_same_three_times():
    where = {name: module for module, names in lawnmap._WHERE.items() for name in names}
    assert lawnmap.__all__ == sorted(lawnmap.__all__)
    assert set(where) == set(lawnmap.__all__) == set(dir(lawnmap))
    assert for_checkers() == where


@pytest.mark.parametrize("name", lawnmap.__all__)
def test_each_name_is_what_its_module_has(name):
    found = getattr(lawnmap, name)
    assert found is getattr(import_module(for_checkers()[name]), name)
    assert found.__doc__.strip()


def test_another_name_is_told_as_python_tells_it():
    with pytest.raises(AttributeError, match="module 'lawnmap' has no attribute 'mow'"):
        _ = lawnmap.mow


def test_no_public_name_hides_a_room():
    rooms = {each.stem for each in TOP.parent.iterdir() if each.suffix == ".py" or each.is_dir()}
    assert rooms & set(lawnmap.__all__) == {"sample"} & rooms  # that folder holds no module


def test_nothing_else_stands_there():
    kinds = {type(each) for each in TREE.body}
    assert kinds <= {ast.Expr, ast.ImportFrom, ast.If, ast.Assign, ast.FunctionDef}
    functions = [each.name for each in TREE.body if isinstance(each, ast.FunctionDef)]
    assert functions == ["__getattr__", "__dir__"]


def test_nothing_is_loaded_before_it_is_asked_for():
    loaded = modules_after("import lawnmap; dir(lawnmap)")
    assert [each for each in loaded if each.startswith("lawnmap")] == ["lawnmap"]
    assert not set(loaded) & set(HEAVY)


def test_help_stays_quick():
    loaded = modules_after(
        "from lawnmap.cli.main import run\ntry: run(['--help'])\nexcept SystemExit: pass"
    )
    assert "lawnmap.cli.main" in loaded
    assert set(loaded) & set(HEAVY) == {"click"}
    assert not [each for each in loaded if each.startswith(("lawnmap.notebook", "lawnmap.jobs"))]


def test_an_error_is_had_without_the_rest():
    loaded = modules_after("import lawnmap; lawnmap.LawnmapError")
    assert not set(loaded) & set(HEAVY)
