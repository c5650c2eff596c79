"""A map from outside behind the zones: one host is asked, it is said, and never unasked."""

import io

import pytest
from PIL import Image

from lawnmap.exports.map.page import render
from lawnmap.paper import Basemap
from tests.exports.map.test_page import block_of
from tests.exports.papers import paper

browser = pytest.mark.browser
HOST = "https://tiles.example.org"
TILES = Basemap(f"{HOST}/{{z}}/{{x}}/{{y}}.png", "Map: Invented Survey <b>1</b>", 17)


def test_the_page_names_the_host_in_policy_and_note_and_nowhere_without_being_asked():
    plain = render(paper(features=False))
    assert b"tiles.example.org" not in plain
    assert "basemap" not in block_of(plain)
    asked = render(paper(features=False, basemap=TILES)).decode()
    assert f"img-src data: {HOST}; style-src" in asked
    assert "comes from tiles.example.org: it sees where you look" in asked
    assert "Invented Survey &lt;b&gt;1&lt;/b&gt;" in asked
    assert asked.count("https://tiles.example.org") == 2  # the policy, and the address


def test_an_address_that_no_page_may_name_makes_no_page():
    with pytest.raises(ValueError, match="plain name of a host"):
        render(paper(features=False, basemap=Basemap("https://a.example;/{z}{x}{y}", "A")))


@browser
def test_tiles_are_asked_of_the_one_host_without_a_word_of_the_page_and_can_be_switched_off(
    chromium, tmp_path
):
    path = tmp_path / "map.html"
    path.write_bytes(render(paper(features=False, basemap=TILES)))
    tile = io.BytesIO()
    Image.new("RGB", (256, 256), (200, 30, 200)).save(tile, "PNG")
    asked, said = [], []

    def answer(route):
        asked.append(route.request)
        route.fulfill(status=200, content_type="image/png", body=tile.getvalue())

    context = chromium.new_context(viewport={"width": 1000, "height": 800})
    context.route(lambda url: not url.startswith("file:"), answer)
    page = context.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.goto(path.as_uri())
    page.wait_for_selector("img.leaflet-tile-loaded")
    outside = [each for each in asked if not each.url.startswith("data:")]
    assert outside
    assert {each.url.split("/")[2] for each in outside} == {"tiles.example.org"}
    assert all("referer" not in each.headers for each in outside)
    assert {each.url.split("/")[3] for each in outside} <= {str(level) for level in range(18)}
    assert said == []
    assert page.locator("p.attribution").inner_text() == "Map: Invented Survey <b>1</b>"
    zone = page.locator("path.zone").first
    assert zone.get_attribute("fill-opacity") == "0.6"
    page.get_by_label("Map behind the zones").uncheck()
    assert page.locator("img.leaflet-tile").count() == 0
    assert zone.get_attribute("fill-opacity") == "1"
    context.close()
