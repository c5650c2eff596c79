"""The docs say what the code says, name everything there is, and link to what exists."""

import importlib.util
import re
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.reference import tables
from lawnmap.store import cards, choices, depot, specification

TOP = Path(__file__).parents[2]
DOCS = TOP / "docs"
PAGES = sorted({*DOCS.rglob("*.md"), TOP / "README.md"})
NAMED_IN = {
    "commands": "commands/index.md",
    "treatments": "treatments.md",
    "readers": "formats.md",
    "exports": "formats.md",
}
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
FENCE = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)
MACHINE = re.compile(r"/(?:work|tmp|root|home|Users|mnt)/|[A-Z]:\\|localhost|127\.0\.0\.1")


@pytest.fixture
def made(monkeypatch):
    monkeypatch.syspath_prepend(str(DOCS))
    spec = importlib.util.spec_from_file_location("make_pages", DOCS / "make_pages.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def text(name):
    return (DOCS / name).read_text(encoding="utf-8")


def ours(group):
    return [
        name
        for name, points in plugins.available(group).items()
        if any(plugins.owner(point) == "lawnmap" for point in points)
    ]


def keys_of(group, path=""):
    for key in group:
        if key.kind == "table":
            yield from keys_of(key.inside, f"{path}{key.name}.")
        else:
            yield f"{path}{key.name}"


def anchors(page):
    """Anchors of a page as they are commonly made from headings, and those written out."""
    body = page.read_text(encoding="utf-8")
    headings = [re.sub(r"[^\w\s-]", "", each.lower()) for each in HEADING.findall(body)]
    return {each.strip().replace(" ", "-") for each in headings} | set(
        re.findall(r'<a id="([^"]+)">', body)
    )


def test_made_pages_are_not_stale(made):
    assert made.stale() == []


def test_a_changed_page_is_found(made, tmp_path, monkeypatch):
    docs = tmp_path / "docs"  # one table lies beside the docs
    monkeypatch.setattr(made, "DOCS", docs)
    assert made.run([]) == 0
    assert made.run(["--check"]) == 0
    (docs / "columns.md").write_text("other", encoding="utf-8")
    (docs / "commands" / "gone.md").write_text("of a command that is gone", encoding="utf-8")
    assert made.stale() == ["columns.md", "commands/gone.md"]
    assert made.run(["--check"]) == 1


@pytest.mark.parametrize(
    ("group", "name"), [(group, name) for group in plugins.GROUPS for name in ours(group)]
)
def test_every_entry_point_is_named(group, name):
    page = text(NAMED_IN[group])
    if group == "treatments":
        assert f"\n## {name}\n" in page
        return
    assert f"`{name}`" in page
    if group == "commands":
        assert f"# lawnmap {name}\n" in text(f"commands/{name}.md")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TOP)))
def test_links_resolve(page):
    body = FENCE.sub("", page.read_text(encoding="utf-8"))
    broken = []
    for target in LINK.findall(body):
        if target.startswith("https://"):
            continue
        name, _, anchor = target.partition("#")
        other = (page.parent / name).resolve() if name else page
        if not other.is_file() or (anchor and anchor not in anchors(other)):
            broken.append(target)
    assert broken == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TOP)))
def test_no_page_names_this_machine(page):
    assert MACHINE.findall(page.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("keys", [cards.PRODUCT, cards.MACHINE], ids=["product", "machine"])
def test_every_key_of_a_card_is_described(keys):
    page = text("label_cards.md")
    assert [key.name for key in keys if f"| `{key.name}` |" not in page] == []


def test_every_choice_is_described():
    page = text("specification.md")
    named = [*keys_of(choices.CHOICES), *keys_of(choices.ZONE)]
    assert [name for name in named if f"`{name}`" not in page] == []


def toml_of(name):
    return [each.encode() for each in re.findall(r"```toml\n(.*?)```", text(name), re.DOTALL)]


def test_examples_of_cards_and_choices_are_taken_by_the_readers():
    products, machines = toml_of("label_cards.md")
    product = depot.parse_products(products)["Invented moss iron 5"]
    assert product.untreated_strip_m == 5.0
    assert {key.name for key in cards.PRODUCT} >= set(vars(product))
    assert len(depot.parse_machines(machines)) == 2
    (example,) = toml_of("specification.md")
    found = specification.parse(example, products={}, machines={}, zone_ids=["front", "bank"])
    assert found.choices["strips"]["legal"]["from"] == "site rule"
    (bought,) = toml_of("buying.md")
    found = specification.parse(bought, products={}, machines={})
    assert found.choices["quote"]["valid_days"] == 30
    tutorial = toml_of("tutorial.md")
    assert depot.parse_products(tutorial[0])["Invented moss iron"].form == "soluble"
    assert len(depot.parse_machines(tutorial[1])) == 2


def test_rules_that_pages_name_exist():
    pattern = re.compile(r"`((?:iron|seed|feed|sand|blades|depth|hours|aerate|mix)_[a-z_]+)`")
    named = set(pattern.findall(text("treatments.md"))) - set(ours("treatments"))
    assert named
    assert named <= set(tables.rules())
