"""The pictures of the documentation show what is so today, and each is on a page with its words."""

import importlib.util
import re
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs"
FOLDER = DOCS / "pictures"
SHOWN = re.compile(r"!\[([^\]]*)\]\(((?:\.\./)*)pictures/([\w-]+)\.png\)")
LARGEST, ALL = 200_000, 3_000_000  # bytes


@pytest.fixture(scope="module")
def pictures():
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(DOCS))
        spec = importlib.util.spec_from_file_location("pictures", DOCS / "pictures.py")
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        yield module


def on_pages():
    """Return page, text in the place of the picture, way up and name of all that is shown."""
    pages = [page for page in DOCS.rglob("*.md") if "_build" not in page.parts]
    return [(page, *found) for page in pages for found in SHOWN.findall(page.read_text("utf-8"))]


def test_nothing_is_said_or_looks_otherwise_than_on_its_picture(pictures, capsys):
    assert pictures.main(["--check"]) == 0, capsys.readouterr().err


def test_every_picture_is_on_a_page_and_the_other_way_round(pictures):
    there = {each.stem for each in FOLDER.glob("*.png")}
    assert {name for *_, name in on_pages()} == there
    made = {name for each in pictures.SUBJECTS for name in pictures.subject(each).NAMES}
    assert set(pictures.kept()) == made <= there


def test_every_picture_is_told_in_words_for_who_does_not_see_it():
    told = {}
    for page, text, up, name in on_pages():
        assert len(text.split()) >= 6, f"{page.name}: {name}"
        assert up.count("../") == len(page.relative_to(DOCS).parents) - 1, f"{page.name}: {name}"
        told.setdefault(text, set()).add(name)
    assert [names for names in told.values() if len(names) > 1] == []


def test_pictures_are_small():
    sizes = {each.name: each.stat().st_size for each in FOLDER.iterdir()}
    assert {name: size for name, size in sizes.items() if size > LARGEST} == {}
    assert sum(sizes.values()) <= ALL


def test_a_changed_word_or_script_is_seen_and_its_subject_is_named(pictures, monkeypatch, capsys):
    from picturing.sample import words

    page = b"<p>One lawn</p><svg><text>1</text></svg>"
    assert words(page) == words(page.replace(b"<text>1", b"<text>2")) == "One lawn"
    today = {"zone": pictures.digest(["One lawn", "a.js"]), "visit_rate": "b"}
    then = {**today, "zone": pictures.digest(["Two lawns", "a.js"])}
    assert pictures.stale(today, today) == []
    assert pictures.stale(today, then) == ["map"]
    assert pictures.stale({"zone": today["zone"]}, today) == ["visit"]
    monkeypatch.setattr(pictures, "digests", lambda _: today)
    monkeypatch.setattr(pictures, "kept", lambda: then)
    assert pictures.main(["--check"]) == 1
    assert capsys.readouterr().err.endswith("run python docs/pictures.py map\n")


def test_a_subject_nobody_knows_is_refused_with_those_there_are(pictures, capsys):
    assert pictures.main(["garden"]) == 2
    assert "map, marking, visit" in capsys.readouterr().err
