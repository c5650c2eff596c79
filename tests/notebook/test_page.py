"""A page under a cell: the map of the command line, kept apart from the notebook, for its owner."""

import html
import re
from pathlib import Path

import pytest

import lawnmap
from tests.cli.runner import here

browser = pytest.mark.browser
SCENARIO = Path(__file__).parents[2] / "docs" / "scenarios" / "southern"
DAY = "2026-09-07"
# What is allowed to a notebook's output where it is held narrowest, as in an editor's web view;
# from memory of such a view's policy: inline scripts and styles, pictures of data, and no frames.
NARROW = (
    "default-src 'none'; script-src 'unsafe-inline' 'unsafe-eval'; style-src 'unsafe-inline'; "
    "img-src data: https:; font-src data:"
)
REACH = "() => { try { return parent.document.title } catch { return 'kept apart' } }"

pytestmark = pytest.mark.filterwarnings("ignore::lawnmap.Note")


@pytest.fixture(scope="module")
def plan():
    site = lawnmap.open_site(SCENARIO, today=DAY)
    zones = site.zones.assign(private_note="gate code is 4711", public_note="by the swings")
    return lawnmap.plan(site.with_zones(zones))


def held(page):
    """Return the document within the frame."""
    return html.unescape(re.search(r'srcdoc="([^"]*)"', page._repr_html_())[1])


def test_the_frame_holds_the_page_and_may_not_look_out(plan):
    page = lawnmap.show(plan)
    assert held(page) == page.html
    element = page._repr_html_()
    assert (element.count("<iframe"), element.count("<")) == (1, 2)
    (rights,) = re.findall(r'sandbox="([^"]*)"', element)
    assert "allow-scripts" in rights
    assert "allow-same-origin" not in rights
    assert "allow-top-navigation" not in rights


def test_it_is_the_page_of_the_command_line(tmp_path):
    there = lawnmap.plan(lawnmap.open_site(SCENARIO, today=DAY))
    target = tmp_path / "map.html"
    words = ("--to", "map", "--audience", "owner", "--today", DAY, "-o", target)
    assert here("export", SCENARIO, *words).code == 0
    assert lawnmap.show(there).html.encode() == target.read_bytes()


def test_what_is_shown_is_the_owners_unless_asked(plan):
    owners = lawnmap.show(plan)
    assert owners.rendered.audience == "owner"
    clients = lawnmap.show(plan, audience="client")
    assert len(clients.html) < len(owners.html)
    assert repr(clients).startswith("<Page map.html for client, ")
    for page in (owners, clients):
        assert "by the swings" in page.html
        assert "gate code" not in page.html  # a private note is let out by its name only
    assert "gate code" in lawnmap.show(plan, also=("private_note",)).html


def test_it_is_saved_and_saved_again(plan, tmp_path):
    page = lawnmap.show(plan, "summary", audience="client")
    path = page.save(tmp_path / "summary.html")
    assert page.save(str(path)).read_bytes() == page.html.encode()
    with pytest.raises(lawnmap.LawnmapError, match="force=True"):
        page.save(path, force=False)
    assert [each.name for each in tmp_path.iterdir()] == ["summary.html"]


def test_height_is_of_the_frame(plan):
    page = lawnmap.show(plan, "notice")
    assert 'height="300"' in page.tall(300)._repr_html_()
    assert page.tall(300).html == page.html


def test_exports_are_written_and_written_again(plan, tmp_path):
    for _ in range(2):
        path = lawnmap.export(plan, "csv", tmp_path / "plan.csv")
        assert path.read_text(encoding="utf-8-sig").startswith('"zone_id",')
    paper = lawnmap.export(plan, "notice", tmp_path / "notice.pdf", audience="public")
    assert paper.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"to": "gpkg"}, "gpkg is no page"),
        ({"to": "painting"}, "there is no export called 'painting'"),
        ({"audience": "neighbours"}, "the audience 'neighbours' is not known"),
        ({"photograph": True}, "'photograph' is not among what can be asked for"),
        ({"before": "2020-01-01"}, "2020-01-01"),
    ],
)
def test_what_cannot_be_shown_is_told(plan, given, said):
    with pytest.raises(lawnmap.LawnmapError) as refused:
        lawnmap.show(plan, **given)
    assert said in str(refused.value)
    assert "--" not in str(refused.value)


def test_a_plan_is_of_a_site_and_says_what_it_is(plan):
    with pytest.raises(lawnmap.LawnmapError, match="not of a GeoDataFrame"):
        lawnmap.plan(plan.zones)
    with pytest.raises(lawnmap.LawnmapError, match="of a plan, not of a Site"):
        lawnmap.show(plan.site)
    for each in (repr(plan.site), repr(plan)):
        assert len(each) < 150
        assert "gate code" not in each
        assert plan.site.title in each
    table = plan._repr_html_()
    assert table.count("<tr>") == 1 + len(plan.zones)
    assert "gate code" not in table
    hostile = plan.site.with_zones(plan.site.zones.assign(name="<img src=x onerror=alert(1)>"))
    assert "<img" not in lawnmap.plan(hostile, setting_out=False)._repr_html_()


@browser
def test_the_map_works_within_the_frame(plan, chromium, tmp_path):
    meta = f'<meta http-equiv="Content-Security-Policy" content="{NARROW}">'
    path = tmp_path / "notebook.html"
    path.write_text(
        f"<!DOCTYPE html><html><head>{meta}</head><body><p>Cell</p>"
        f"{lawnmap.show(plan)._repr_html_()}</body></html>",
        encoding="utf-8",
    )
    context = chromium.new_context(offline=True, viewport={"width": 1000, "height": 800})
    page = context.new_page()
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(path.as_uri())
    inside = page.frame_locator("iframe")
    zones = inside.locator("path.leaflet-interactive")
    zones.first.wait_for()
    assert zones.count() >= len(plan.zones)
    zones.first.click()
    inside.get_by_text("by the swings").first.wait_for()
    reach = page.frames[1].evaluate(REACH)
    assert reach == "kept apart"
    assert said == []
    context.close()
