"""The built site in headless Chromium, from disk: no network, on a phone, in light and dark."""

import os
import re
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
SITE = Path(os.environ.get("LAWNMAP_SITE") or TOP / "build" / "docs" / "html")
pytestmark = pytest.mark.website
CHROMIUM = "/usr/bin/chromium"
# One of each kind of page.
PAGES = (
    "index", "tutorial", "formats", "map", "columns", "columns/moss_rating", "columns/hours",
    "rules/index", "rules/iron_label_rate", "treatments/iron_liquid", "readers/dxf",
    "exports/gpkg", "commands/plan", "reference_values", "plugins", "api/public", "lawn",
    "reliability", "scenarios/pond",
)  # fmt: skip

LOOKED_AT = (
    "index", "columns/moss_rating", "treatments/iron_liquid", "rules/index", "tutorial", "lawn",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    assert (SITE / "index.html").is_file(), "build the site first: .ci/docs"
    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture
def asked():
    return []


@pytest.fixture
def opened(browser, asked):
    """Return what opens a page of the site at a width and in a look, and keeps what it asks for."""
    contexts = []

    def open_page(name, width=1280, look="light"):
        context = browser.new_context(
            viewport={"width": width, "height": 844}, color_scheme=look, reduced_motion="reduce"
        )
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: asked.append(f"error {error}"))
        page.goto((SITE / f"{name}.html").as_uri())
        return page

    yield open_page
    for each in contexts:
        each.close()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_asks_nobody_for_anything(opened, asked, name):
    page = opened(name)
    page.wait_for_load_state("networkidle")
    assert [each for each in asked if not each.startswith(("file:", "data:", "blob:"))] == []
    assert page.title()


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_no_wider_than_its_screen(opened, name, width):
    page = opened(name, width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("name", LOOKED_AT)
def test_a_page_can_be_read_by_all(opened, name, look):
    from axe_playwright_python.base import AXE_SCRIPT

    page = opened(name, look=look)
    page.evaluate(AXE_SCRIPT)
    found = page.evaluate(
        "axe.run({exclude: ['iframe', 'div.output.text_html']}, {resultTypes: ['violations']})"
    )
    grave = [
        (each["id"], node["html"][:120])
        for each in found["violations"]
        if each["impact"] in {"serious", "critical"}
        for node in each["nodes"]
    ]
    assert found["passes"]
    assert grave == []


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("moss_rating", "columns/moss_rating.html"),
        ("scarifying", "treatments/scarifying.html"),
        ("geopackage", "exports/gpkg.html"),
    ],
)
def test_search_works_from_disk(opened, asked, words, wanted):
    page = opened("index")
    page.fill("input[name=q]", words)
    page.press("input[name=q]", "Enter")
    page.wait_for_selector("ul.search li a")
    page.wait_for_function("document.querySelectorAll('ul.search li').length > 0")
    found = page.eval_on_selector_all("ul.search li a", "all => all.map(each => each.href)")
    assert any(wanted in each for each in found)
    assert [each for each in asked if not each.startswith(("file:", "data:"))] == []


WAYS = (
    # A groundskeeper: what to do first, what iron is about, what a job sheet is.
    ("safety.html", 1),
    ("tutorial.html", 1),
    ("treatments/scarifying.html", 2),
    ("crew_papers.html", 1),
    # A GIS officer: what comes in and goes out, what a column of the GeoPackage means.
    ("readers/gpkg.html", 2),
    ("exports/gpkg.html", 2),
    ("columns/iron_area_m2.html", 2),
    ("tables.html", 1),
    # A developer: plugins, names, rules, the house.
    ("plugins.html", 1),
    ("api/public.html", 2),
    ("rules/iron_label_rate.html", 2),
    ("developers.html", 1),
)


@pytest.mark.parametrize(("wanted", "most"), WAYS)
def test_a_page_is_found_in_two_clicks(wanted, most):
    """Over the links of the pages as they are, navigation included."""
    reached = {"index.html"}
    for _ in range(most):
        for name in sorted(reached):
            text = (SITE / name).read_text(encoding="utf-8")
            for target in re.findall(r'href="([^"#?:]+\.html)', text):
                path = (SITE / name).parent.joinpath(target).resolve()
                reached |= {path.relative_to(SITE.resolve()).as_posix()}
    assert wanted in reached
