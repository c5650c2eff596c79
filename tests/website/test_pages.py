"""Every column, rule, treatment, reader, export and command has its page, and a page says it."""

import re
import sys
import tomllib
from pathlib import Path

import pytest

from lawnmap import plugins, schema
from lawnmap.reference import tables

TOP = Path(__file__).parents[2]
WEBSITE = TOP / "docs" / "website"
EMPTY = re.compile(r"\| \*\*[^|]+\*\* \| *\||\bNone \||\bnan\b|\{\w+\}")
SHORT = 200  # letters: less says nothing
HEADING = re.compile(r"^## .+\n\n(?=## |\Z)", re.MULTILINE)
LINK = re.compile(r"\]\((?!https:)([^)#]+)[^)]*\)")


@pytest.fixture(scope="module")
def tree():
    sys.path.insert(0, str(WEBSITE))
    import source_tree

    yield source_tree
    sys.path.remove(str(WEBSITE))


@pytest.fixture(scope="module")
def made(tree):
    return tree.made()


def ours(group):
    return {
        name
        for name, points in plugins.available(group).items()
        if any(plugins.owner(point) == "lawnmap" for point in points)
    }


NAMES = {
    "columns": {each.name for each in schema.COLUMNS},
    "rules": set(tables.rules()),
    "treatments": ours("treatments"),
    "readers": ours("readers"),
    "exports": ours("exports"),
}


@pytest.mark.parametrize("group", NAMES)
def test_each_has_its_page_and_nothing_else_has_one(made, group):
    there = {Path(name).stem for name in made if name.startswith(f"{group}/")} - {"index"}
    assert there == NAMES[group]


def test_every_command_has_its_page():
    assert {path.stem for path in (TOP / "docs" / "commands").glob("*.md")} - {"index"} == ours(
        "commands"
    )


def test_no_page_lacks_text(made):
    bad = {
        name: (EMPTY.findall(text), HEADING.findall(text))
        for name, text in made.items()
        if EMPTY.search(text)
        or HEADING.search(text)
        or (len(text) < SHORT and not name.startswith("api/"))
    }
    assert bad == {}


def test_every_link_of_a_made_page_leads_to_a_page(made):
    there = {path.relative_to(TOP / "docs").as_posix() for path in (TOP / "docs").rglob("*.md")}
    there |= {*made, "readme.md", "developers.md"}
    wrong = set()
    for name, text in made.items():
        for target in LINK.findall(text):
            parts = Path(name).parent.joinpath(target).parts
            kept = []
            for part in parts:
                kept = kept[:-1] if part == ".." else [*kept, part]
            if "/".join(kept) not in there:
                wrong.add((name, target))
    assert wrong == set()


def test_a_column_says_what_the_schema_says(made):
    for each in schema.COLUMNS:
        page = made[f"columns/{each.name}.md"]
        said = each.meaning[1:].rstrip(".")
        assert said in page, each.name
        assert all(word in page for word in each.words), each.name
        seeing = ", ".join(schema.AUDIENCES[schema.AUDIENCES.index(each.seen_by) :])
        assert f"| {seeing}" in page, each.name
        assert ("a fact, kept in the site file" in page) or each.step, each.name


def test_who_may_see_a_private_note_is_not_overstated(made):
    page = made["columns/private_note.md"]
    assert "| owner, and only when it is [named]" in page
    assert "public, client" not in page


def test_a_rule_says_who_says_it(made):
    for each in tables.rules().values():
        page = made[f"rules/{each.id}.md"]
        assert f"| {each.standing} |" in page
        for source in each.sources:
            assert f"(../reference_values.md#{source})" in page
        for name in each.inputs:
            assert f"(../columns/{name}.md)" in page
            assert f"(../rules/{each.id}.md)" in made[f"columns/{name}.md"]


def test_a_wait_that_nobody_set_is_said_to_be_not_set(made):
    page = made["treatments/iron_liquid.md"]
    assert "| seed | iron | not set | not set | not set |" in page
    assert "A strip that is not set means: do not apply." in page


@pytest.mark.parametrize("name", sorted(NAMES["treatments"]))
def test_a_treatment_names_what_its_rows_rest_on(made, name):
    """Against the rows of the scenarios and the sample, as they were kept for the docs."""
    page = made[f"treatments/{name}.md"]
    plan = (TOP / "docs" / "treatments.md").read_text(encoding="utf-8")
    section = plan.split(f"\n## {name}\n")[1].split("\n## ")[0]
    for rule in set(re.findall(r"`(\w+)`", section)) & set(tables.rules()):
        assert f"(../rules/{rule}.md)" in page
    assert "(../columns/zone_id.md)" in page


def test_an_export_for_the_client_shows_no_cost(made):
    """The columns of a narrower circle stand in its own row, never in that of a wider one."""
    for name in NAMES["exports"]:
        for line in made[f"exports/{name}.md"].splitlines():
            who = line.removeprefix("| ").split(" |")[0]
            if who in {"Everybody", "The client also"}:
                assert "`cost`" not in line, name
                assert "`private_note`" not in line, name


def test_the_code_of_a_reader_says_who_parses(made):
    for name in NAMES["readers"]:
        child = plugins.load("readers", name).CHILD
        assert ("in a guarded child process" in made[f"readers/{name}.md"]) is child


def test_every_page_of_the_docs_has_its_section(tree, made):
    pages = [
        path.relative_to(TOP / "docs").with_suffix("").as_posix()
        for path in (TOP / "docs").rglob("*.md")
        if "website" not in path.parts
    ]
    named = [page for each in tree.sections() for page in each["pages"]]
    assert len(set(named)) == len(named)
    found = tree.navigation([*pages, *(name.removesuffix(".md") for name in made)])
    assert [each["pages"] for each in found if each["title"] == tree.LAST] == []


def test_a_page_that_no_section_names_goes_under_the_last(tree):
    found = tree.navigation(["index", "tutorial", "columns", "columns/name", "strange"])
    assert found[-1] == {"title": tree.LAST, "pages": ["strange"]}
    assert next(each["pages"] for each in found if each["pages"]) == ["tutorial"]


def test_the_source_tree_is_whole(tree, tmp_path):
    tree.make(tmp_path / "source")
    index = (tmp_path / "source" / "index.md").read_text(encoding="utf-8")
    assert index.startswith((TOP / "docs" / "index.md").read_text(encoding="utf-8"))
    assert index.count("```{toctree}") == len(
        [each for each in tree.navigation(_pages(tmp_path / "source")) if each["pages"]]
    )
    readme = (tmp_path / "source" / "readme.md").read_text(encoding="utf-8")
    assert "(reliability.md)" in readme
    assert "(developers.md)" in readme


def _pages(source):
    return [
        path.relative_to(source).with_suffix("").as_posix()
        for path in source.rglob("*")
        if path.suffix in {".md", ".ipynb"}
    ]


def test_plain_pages_hold_nothing_of_a_generator():
    """docs/ is read on plain Git hosts too."""
    wrong = [
        path.name
        for path in (TOP / "docs").rglob("*.md")
        if re.search(
            r"^```\{|^:::|\{(?:ref|doc)\}`", path.read_text(encoding="utf-8"), re.MULTILINE
        )
    ]
    assert wrong == []


def test_every_picture_of_the_docs_is_there_and_has_words():
    shown = 0
    for page in [*(TOP / "docs").rglob("*.md"), TOP / "README.md"]:
        for words, target in re.findall(r"!\[([^\]]*)\]\(([^)\s]+)\)", page.read_text("utf-8")):
            shown += 1
            assert (page.parent / target).is_file(), (page.name, target)
            assert len(words.split()) >= 3, (page.name, target)
    assert shown >= 5


def test_the_docs_are_no_extra():
    read = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))
    assert "docs" not in read["project"]["optional-dependencies"]
    asked = [re.split(r"[<>=]", each)[0] for each in read["dependency-groups"]["docs"]]
    assert {"sphinx", "myst-nb", "furo"} <= set(asked)
