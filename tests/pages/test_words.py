from __future__ import annotations

import re
from pathlib import Path

import pytest

from lawnmap import schema
from lawnmap.pages import words

PACKAGE = Path(words.__file__).parents[1]
SOURCES = "\n".join(
    path.read_text("utf-8")
    for folder in ("pages", "exports")
    for path in (PACKAGE / folder).rglob("*.*")
    if path.suffix in {".py", ".js"}
)
COMMENTS = (PACKAGE / "pages" / "map" / "comments.js").read_text("utf-8")  # has words of its own
SCRIPTS = "\n".join(
    path.read_text("utf-8")
    for path in [*(PACKAGE / "pages").glob("*.js"), *(PACKAGE / "pages" / "map").glob("*.js")]
).replace(COMMENTS, "")
# Under these, keys are looked up by a name that comes from a table or a list.
BY_NAME = {
    "after", "audience", "before", "comments", "days", "environment", "environment_field",
    "feature", "day", "doing", "instead", "iron", "kept", "kind", "kit", "layer", "letter", "month",
    "operation", "outline",
    "page", "pass", "programme", "quote", "ready", "sites", "status", "strip", "title", "verdict",
    "visit", "weekday",
}  # fmt: skip


def test_every_key_that_is_written_out_exists():
    found = set(re.findall(r'\bword\(\s*"([a-z_]+\.[a-z_ ]+)"', SOURCES))
    assert len(found) > 50
    assert found <= set(words.table())


def test_every_key_is_used():
    def used(key: str) -> bool:
        prefix, name = key.split(".", 1)
        literals = (key, name, name.removesuffix("_open"))
        return prefix in BY_NAME or any(f'"{each}"' in SOURCES for each in literals)

    assert [key for key in words.table() if not used(key)] == []


def test_the_script_uses_every_word_it_is_given_and_no_other():
    used = set(re.findall(r"\bwords\.([a-z_]+)", SCRIPTS))
    assert used == set(words.starting("page"))


def test_the_comments_use_every_word_they_are_given_and_no_other():
    used = set(re.findall(r"\bwords\.([a-z_]+)", COMMENTS))
    assert used | {"title"} == set(words.starting("comments"))


def test_every_schema_word_that_is_shown_has_its_wording():
    outline = {c.name: c for c in schema.facts("zones")}["outline_source"].words
    assert set(outline) == set(words.starting("outline"))
    assert set(schema.FEATURES) - {"zone", "core"} <= set(words.starting("feature"))
    assert set(schema.AUDIENCES) == set(words.starting("audience"))


def test_blanks_are_filled_once():
    assert words.word("front.issued", issue="{day} 3") == "Issued: {day} 3"
    with pytest.raises(KeyError):
        words.word("front.issued")


def test_a_name_nobody_knows_is_shown_as_plain_words():
    assert words.known("operation", "worm_casting") == "worm casting"
    assert words.known("operation", "__proto__") == "  proto  "
