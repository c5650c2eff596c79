"""The plugin as a package: what the GIS looks for, older syntax, words and pictures."""

import ast
import configparser
import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path
from xml.etree import ElementTree as ET

import click
import pytest

import lawnmap
from lawnmap.cli.main import main
from lawnmap.desktop import words

FOLDER = Path(lawnmap.__file__).parent / "desktop"
MODULES = sorted(path for path in FOLDER.rglob("*.py") if "__pycache__" not in path.parts)
SVG = "{http://www.w3.org/2000/svg}"
SHAPES = {f"{SVG}{name}" for name in ("svg", "path", "circle")}
# What Python 3.9 has not, though it reads it.
LATER = re.compile(r"strict=|\bmatch \w+:|datetime\.UTC|ignore_cleanup_errors|slots=|kw_only=")
STEPS = {path.stem for path in (FOLDER / "steps").glob("*.py")} - {"__init__"}


@pytest.fixture(scope="module")
def metadata():
    parser = configparser.ConfigParser(interpolation=None)
    parser.read(FOLDER / "metadata.txt", encoding="utf-8")
    return parser["general"]


def test_the_gis_finds_what_it_looks_for(metadata):
    assert metadata["hasProcessingProvider"] == "yes"
    assert metadata["version"] == version("lawnmap")
    assert (FOLDER / metadata["icon"]).is_file()
    for name in ("name", "description", "about", "qgisMinimumVersion", "author"):
        assert metadata[name].strip(), name
    assert "://" not in "".join(metadata.values())


def test_the_gis_gets_the_plugin_from_the_package():
    tree = ast.parse((FOLDER / "__init__.py").read_text(encoding="utf-8"))
    made = [each for each in tree.body if isinstance(each, ast.FunctionDef)]
    assert [each.name for each in made] == ["classFactory"]
    assert [each.arg for each in made[0].args.args] == ["iface"]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_an_older_python_reads_it(path):
    text = path.read_text(encoding="utf-8")
    ast.parse(text, feature_version=(3, 9))
    assert not LATER.search(text)
    if len(text.splitlines()) > 3:
        # Annotations are left alone, so that int | None is no error there.
        assert "from __future__ import annotations" in text or "def " not in text


def test_what_needs_no_gis_is_imported_without_one():
    names = ["command", "environment", "installed", "problem", "site", "columns", "looks", "words"]
    source = (
        "import importlib, sys\n"
        f"for name in {names}: importlib.import_module('desktop.' + name)\n"
        "assert 'qgis' not in sys.modules and 'lawnmap' not in sys.modules\n"
        "import desktop; print(desktop.classFactory.__name__)"
    )
    done = subprocess.run(
        [sys.executable, "-S", "-c", source],
        cwd=FOLDER.parent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.stdout.strip(), done.stderr) == ("classFactory", "")


def test_every_step_has_its_module_words_and_picture():
    assert set(words.STEPS) == STEPS
    pictures = {path.stem for path in (FOLDER / "icons").glob("*.svg")}
    assert pictures == STEPS | {"lawnmap"}
    for name in STEPS:
        text = (FOLDER / "steps" / f"{name}.py").read_text(encoding="utf-8")
        assert f'    ID = "{name}"\n' in text


@pytest.mark.parametrize("name", sorted(words.STEPS))
def test_help_is_sound_and_says_what_is_safe(name):
    step = words.STEPS[name]
    ET.fromstring(f"<a>{step.help}{words.INPUTS}{words.SAFETY}</a>")
    assert step.title
    assert step.short.endswith(".")
    assert len(step.help.split()) > 15
    # Only what shows no quantity of anything that is put down goes without.
    assert step.quantities is (name not in {"measure", "assess", "sun"})
    plain = " ".join(re.sub("<[^>]+>", "", words.SAFETY).split())
    assert "The label of the product, and the law where you are, come first." in plain
    assert "not set: do not apply" in plain


@pytest.mark.parametrize("path", sorted((FOLDER / "icons").glob("*.svg")), ids=lambda p: p.stem)
def test_pictures_are_plain_drawings(path):
    tree = ET.fromstring(path.read_bytes())
    assert tree.get("viewBox") == "0 0 24 24"
    assert {each.tag for each in tree.iter()} <= SHAPES
    assert not [
        key for each in tree.iter() for key in each.attrib if "href" in key or key[:2] == "on"
    ]


def test_pictures_differ():
    drawn = [path.read_bytes() for path in (FOLDER / "icons").glob("*.svg")]
    assert len(set(drawn)) == len(drawn)


def options_of(name):
    command = main.get_command(click.Context(main), name)
    return {option for each in command.params for option in each.opts}


def test_what_the_steps_ask_for_is_there():
    """Every command and every option that stands in the plugin is one of lawnmap's."""
    said = {
        node.value
        for path in MODULES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    asked = {text for text in said if re.fullmatch(r"--[a-z-]+", text)}
    commands = ("read", "measure", "sun", "plan", "export")
    assert set(commands) <= said
    there = set().union(*(options_of(name) for name in commands))
    assert asked
    assert asked <= there
    assert {"--crs", "--setting-out", "--depot", "--today"} <= options_of("export")
    assert {"--crs", "--from", "--to", "--step", "--today"} <= options_of("sun")
