"""Light, dark and high contrast: asked for by the device, chosen on the page, never on paper.

Source of the levels of contrast: WCAG 2.2 of the W3C, 1.4.3, 1.4.6 and 1.4.11, as axe-core tests
them; those of outlines on the map's ground are worked out here by the formula of its definitions.
"""

import re

import pytest

from lawnmap.exports.drawing.hatches import luminance
from lawnmap.exports.environment import render as environment
from lawnmap.exports.map.page import render
from lawnmap.exports.notice import render as notice
from lawnmap.exports.quote import render as quote
from tests.axe import problems
from tests.exports.papers import paper

pytestmark = pytest.mark.browser

DEVICES = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "more": {"contrast": "more"},
    "dark and more": {"color_scheme": "dark", "contrast": "more"},
    "forced": {"forced_colors": "active"},
}
PLAIN = {"color_scheme": "light", "contrast": "no-preference", "forced_colors": "none"}
NON_TEXT = 3.0  # WCAG 1.4.11


@pytest.fixture(scope="module")
def data():
    return render(paper())


def style(page, selector, name):
    return page.evaluate(
        "([selector, name]) => getComputedStyle(document.querySelector(selector))[name]",
        [selector, name],
    )


def level(rgb):
    red, green, blue = (int(each) for each in re.findall(r"\d+", rgb)[:3])
    return luminance(f"#{red:02x}{green:02x}{blue:02x}")


def contrast(one, other):
    dark, light = sorted([level(one), level(other)])
    return (light + 0.05) / (dark + 0.05)


def test_nothing_serious_is_found_and_outlines_stand_out_in_any_look(opened, data):
    page = opened(data, width=390).page
    page.locator(".list button").first.click()
    grounds = {}
    for name, asked in DEVICES.items():
        page.emulate_media(**(PLAIN | asked))
        assert problems(page) == [], name
        ground = style(page, "#map_lawnmap", "backgroundColor")
        assert contrast(style(page, "path.zone", "stroke"), ground) >= NON_TEXT, name
        for button in (".chooser label:last-child span", ".looks select", ".search input"):
            edge = style(page, button, "borderTopColor")
            assert contrast(edge, style(page, "body", "backgroundColor")) >= NON_TEXT, (
                name,
                button,
            )
        label, white = style(page, ".pill", "color"), style(page, ".pill", "backgroundColor")
        assert contrast(label, white) >= 7, name
        grounds[name] = ground
    assert level(grounds["dark"]) < 0.05 < level(grounds["light"])
    assert level(grounds["dark and more"]) == 0
    assert level(grounds["more"]) == 1


def test_the_choice_beats_the_device_is_kept_and_paper_stays_light(opened, data):
    seen = opened(data, width=390, color_scheme="dark")
    page, choice = seen.page, seen.page.locator(".looks select")
    assert level(style(page, "body", "backgroundColor")) < 0.02
    for look, lowest in (("light", 0.9), ("contrast", 1.0)):
        choice.select_option(look)
        assert level(style(page, "body", "backgroundColor")) >= lowest
    choice.select_option("dark")
    page.emulate_media(color_scheme="light")
    page.reload()
    assert choice.input_value() == "dark"
    assert level(style(page, "body", "backgroundColor")) < 0.02
    page.emulate_media(media="print")
    assert level(style(page, "body", "backgroundColor")) == 1
    assert level(style(page, "h1", "color")) < 0.05
    assert choice.is_hidden()
    page.emulate_media(media="screen")
    choice.select_option("")
    assert level(style(page, "body", "backgroundColor")) > 0.9
    assert seen.console == []


def test_a_page_that_may_keep_nothing_can_still_be_switched(opened, data):
    seen = opened(data)
    page = seen.page
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
    )
    page.reload()
    page.locator(".looks select").select_option("dark")
    assert level(style(page, "body", "backgroundColor")) < 0.02
    page.reload()
    assert level(style(page, "body", "backgroundColor")) > 0.9
    assert seen.console == []


def test_the_papers_are_readable_on_a_dark_screen_without_any_script(opened):
    page = opened(quote(paper()), width=390, color_scheme="dark").page
    for made in (quote, environment, notice):
        page.set_content(made(paper()).decode())
        assert level(style(page, "body", "backgroundColor")) < 0.05, made.__module__
        assert problems(page) == [], made.__module__
