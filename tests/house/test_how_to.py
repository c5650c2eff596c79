"""Every how-to and every scenario is run: what it shows under a command is what is printed."""

import importlib
import re
from pathlib import Path

import pytest

from lawnmap.files.admit import admit

DOCS = Path(__file__).parents[2] / "docs"
PLANS = sorted((DOCS / "plans").glob("*.md"))
SCENARIOS = sorted({*(DOCS / "scenarios").glob("*.md")} - {DOCS / "scenarios" / "index.md"})
ALONE = [DOCS / each for each in ("surveys.md", "calibration.md", "sampling.md", "sites.md")]
PAGES = [*PLANS, *SCENARIOS, *ALONE]
LONGEST_SCENARIO = 80
PAGE = """\
# A lawn

```csv lawn.csv
zone_id,wkt
front,"POLYGON ((0 0, 8 0, 8 4, 0 4, 0 0))"
```

```console
$ lawnmap start garden --title "Invented garden"
Made garden with …
…
$ lawnmap read lawn.csv --into garden
lawnmap: lawn.csv: …
(exit 3)
$ lawnmap read lawn.csv --crs local --into garden
Note: The plan is 8.0 by 4.0 m over all: check that.
what   feature  name     m²  m² before
added  zone     front  32.0
Saved as revision 2.
```
"""


@pytest.fixture
def how_to(monkeypatch):
    monkeypatch.syspath_prepend(str(DOCS))
    return importlib.import_module("how_to")


@pytest.fixture
def fill(how_to):
    return importlib.import_module("fill_how_to")


def all_pages():
    return "\n".join(page.read_text(encoding="utf-8") for page in PLANS)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_shows_what_is_printed(how_to, page):
    text = page.read_text(encoding="utf-8")
    wrong = how_to.differences(text, how_to.samples_of(page))
    assert how_to.runs(text)
    assert not wrong, "\n\n".join(["run python docs/fill_how_to.py", *map(str, wrong)])


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_no_command_is_shown_without_being_run(how_to, page):
    text = page.read_text(encoding="utf-8")
    others = [line for head, _, lines in how_to.fences(text) if head != "console" for line in lines]
    assert [line for line in others if "lawnmap read" in line or "lawnmap place" in line] == []


def test_every_page_is_among_those_that_are_filled(how_to):
    assert how_to.PAGES == sorted(PAGES)


@pytest.mark.parametrize("page", SCENARIOS, ids=lambda page: page.stem)
def test_a_scenario_is_short_is_listed_and_does_not_turn_on_the_day_it_is_read(how_to, page):
    text = page.read_text(encoding="utf-8")
    contents = (page.parent / "index.md").read_text(encoding="utf-8")
    assert len(text.splitlines()) < LONGEST_SCENARIO
    assert f"({page.name})" in contents
    assert (page.parent / page.stem / "site.geojson").exists()
    commands = [each.command for each in how_to.runs(text)]
    assert [each for each in commands if "--today" not in each and " read " not in each] == []


def test_a_plan_of_every_kind_is_read(how_to):
    """A kind is what a file is by its content; formats.md has those that hold features as such."""
    typed = "\n".join(
        each.command for page in PLANS for each in how_to.runs(page.read_text("utf-8"))
    )
    read = set(re.findall(r"^lawnmap read (\S+)", typed, re.MULTILINE))
    kinds = {admit(how_to.SAMPLES / name).kind for name in read if (how_to.SAMPLES / name).exists()}
    assert kinds >= {"dxf", "tape", "osm", "fgb", "png", "tiff", "pdf", "gpx", "csv", "geojson"}


def test_every_sample_is_used_or_named(how_to):
    pages = all_pages()
    unused = [
        path.name
        for path in how_to.SAMPLES.iterdir()
        if path.suffix != ".py" and path.is_file() and path.name not in pages
    ]
    assert unused == []


def test_a_right_page_passes(how_to):
    assert how_to.differences(PAGE) == []


@pytest.mark.parametrize(
    ("right", "wrong", "command"),
    [
        ("front  32.0", "front  32.1", "local"),  # a figure
        ("Saved as revision 2.\n", "", "local"),  # a line too few
        ("Saved as revision 2.", "Saved as revision 2.\nAnd a line more.", "local"),
        ("(exit 3)", "(exit 4)", "lawn.csv --into"),  # another code
        ("(exit 3)\n", "", "lawn.csv --into"),  # a refusal that is not shown as one
        ("lawn.csv: …", "lawn.kml: …", "lawn.csv --into"),  # the fixed part of an open line
        ("Made garden with …\n…", "Made garden with …", "start"),  # a line that is not open
    ],
)
def test_a_wrong_output_is_caught(how_to, right, wrong, command):
    assert right in PAGE
    (found,) = how_to.differences(PAGE.replace(right, wrong))
    assert command in found.command
    assert "printed:" in str(found)


def test_lines_shown_of_a_sample_have_to_be_in_it(how_to):
    shown = "```csv outlines.csv\nname,seq,x,y\nFront lawn,2,11.0,-14.0\n```\n"
    assert how_to.outputs(shown) == []
    with pytest.raises(ValueError, match=r"outlines\.csv holds no line 'Front lawn,2,12\.0"):
        how_to.outputs(shown.replace("11.0", "12.0"))


@pytest.mark.parametrize(
    ("fence", "problem"), [("$ rm garden", "not a command"), ("lawnmap about", "begins with")]
)
def test_nothing_but_lawnmap_is_run(how_to, fence, problem):
    with pytest.raises(ValueError, match=problem):
        how_to.outputs(f"```console\n{fence}\n```\n")


@pytest.mark.parametrize("folder", ["SAMPLES", "SCENARIOS"])
def test_samples_are_left_as_they_are(how_to, folder):
    samples = getattr(how_to, folder)

    def state():
        return {path: path.stat().st_mtime_ns for path in samples.rglob("*")}

    before = state()
    how_to.outputs(PAGE, samples)
    assert state() == before


def test_filling_writes_what_is_printed_and_keeps_what_was_left_open(fill):
    assert fill.filled(PAGE) == (PAGE, [])
    stale = PAGE.replace("front  32.0", "front  31.0").replace("(exit 3)\n", "")
    assert fill.filled(stale) == (PAGE, [])


def test_filling_says_what_it_could_not_keep(fill):
    text, lost = fill.filled(PAGE.replace("Made garden with …", "Nothing like it …"))
    assert lost == ['lawnmap start garden --title "Invented garden"']
    assert "Next: lawnmap read PLAN" in text


def test_a_page_is_filled_in_place(fill, how_to, tmp_path, capsys):
    page = tmp_path / "lawn.md"
    page.write_text(PAGE.replace("front  32.0", "front  31.0"), encoding="utf-8")
    assert fill.run([str(page)]) == 0
    assert page.read_text(encoding="utf-8") == PAGE
    assert capsys.readouterr().out == "lawn.md\n"


@pytest.mark.parametrize(
    ("shown", "real", "new"),
    [
        (["a", "…", "d"], ["a", "b", "c", "d", "e"], ["a", "…", "d", "e"]),
        (["…", "d"], ["b", "c", "d"], ["…", "d"]),
        (["a", "…"], ["a", "b", "c"], ["a", "…"]),
        (["a … m", "x"], ["a 5 m", "y"], ["a … m", "y"]),
        (["a", "…", "z"], ["a", "b", "c"], ["a", "b", "c"]),  # what stood after it is gone
        (["a", "…", "b"], ["a", "b", "c"], ["a", "b", "c"]),  # there is nothing between
        (["…", "b", "…", "d"], ["a", "b", "c", "d", "e"], ["…", "b", "…", "d", "e"]),
    ],
)
def test_abridged(fill, shown, real, new):
    assert fill.abridged(shown, real) == new
