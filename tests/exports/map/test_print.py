"""The map on paper: four sizes in Chromium, two in Firefox, read back by PDFium.

Sizes of paper: ISO 216 (A4 is 210 mm by 297 mm) and ANSI/ASME Y14.1 (A, "Letter", 8.5 in by 11 in).
"""

import io
import re

import numpy as np
import pypdfium2
import pytest
import shapely
from pypdf import PdfReader

from lawnmap.exports.map.page import render
from lawnmap.pages.words import word
from tests.exports.map.test_layers import FOUND, page_of
from tests.exports.papers import ZONES, grid, paper
from tests.firefox import firefox

pytestmark = pytest.mark.browser

POINTS_A_MM = 72 / 25.4
A4, LETTER = (210.0, 297.0), (215.9, 279.4)
SIZES = {"A4": A4, "A4 across": A4[::-1], "Letter": LETTER, "Letter across": LETTER[::-1]}
MARGINS = 24.0  # left and right together [mm]
ISSUE = "Issued: 3f2a9c41d07e"
GROUND = (237, 238, 236)  # of the map, beside its zones
MOST = 0.5  # of a row of dots: so much is ground beside the zones alone
FOOT = re.compile(rf"{ISSUE}.*|\d+ / \d+")
HEADINGS = {word(f"title.{each}") for each in ("zones", "days", "steps", "totals", "cautions")}


@pytest.fixture(scope="module")
def printed(chromium, tmp_path_factory):
    """Return the invented plan printed on paper of each size, by a phone, coloured by thatch."""
    path = tmp_path_factory.mktemp("print") / "map.html"
    path.write_bytes(render(paper()))
    context = chromium.new_context(offline=True, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(path.as_uri())
    page.get_by_label("Thatch", exact=True).check(force=True)
    found = {
        name: page.pdf(format=name.split()[0], landscape="across" in name, print_background=True)
        for name in SIZES
    }
    left_behind = page.locator(".first-sheet").count()
    context.close()
    assert left_behind == 0
    return found


@pytest.fixture(scope="module")
def printed_by_firefox(tmp_path_factory):
    path = tmp_path_factory.mktemp("print") / "map.html"
    path.write_bytes(render(paper()))
    with firefox() as page:
        page.size(390, 844)
        page.goto(path.as_uri())
        page.evaluate(
            "[...document.querySelectorAll('.chooser label, .parts label')]"
            ".find(each => each.textContent === 'Thatch').click()"
        )
        found = {}
        for name in ("A4", "Letter across"):
            width, height = (each / 10 for each in SIZES[name])
            found[name] = page.pdf(page={"width": width, "height": height})
        return found


def text(page):
    return page.get_textpage().get_text_range().replace("\u00a0", " ")


def last(sheet):
    """Return the last line that is not a sheet's running head or foot."""
    lines = [each.strip() for each in sheet.splitlines()]
    return [each for each in lines if each and not FOOT.fullmatch(each)][-1]


def ground(page):
    """Return the left, top, right and bottom edge of the map's ground [points]."""
    seen = np.asarray(page.render(scale=1).to_pil().convert("RGB")).astype(int)
    same = (np.abs(seen - GROUND) <= 1).all(axis=2)
    rows = np.flatnonzero(same.mean(axis=1) > MOST)
    columns = np.flatnonzero(same[rows].mean(axis=0) > MOST)
    return columns.min(), rows.min(), columns.max() + 1, rows.max() + 1


def numbers(page, left, top, right, bottom):
    """Return the numbers that stand alone inside the box, from letters that touch each other."""
    words, high = page.get_textpage(), page.get_height()
    said, end = [], None
    for place in range(words.count_chars()):
        letter = words.get_text_range(place, 1)
        west, south, east, north = words.get_charbox(place)
        if not letter.isdigit() or not (left < west < right and top < high - north < bottom):
            end = None
            continue
        joined = end is not None and abs(west - end[0]) < 4 and abs(south - end[1]) < 2
        said[-1:] = [said[-1] + letter] if joined else [*said[-1:], letter]
        end = (east, south)
    return [int(each) for each in said]


def check_first_sheet(document, size):
    first = document[0]
    wide, high = (each * POINTS_A_MM for each in size)
    assert first.get_size() == pytest.approx((wide, high), abs=1)
    left, top, right, bottom = ground(first)
    assert right - left >= 0.9 * (size[0] - MARGINS) * POINTS_A_MM
    assert right <= wide - 10 * POINTS_A_MM
    assert sorted(numbers(first, left, top, right, bottom)) == [*range(1, 13), 20]  # and the bar's
    said = text(first)
    for each in (ISSUE, "worked out for Monday 2 August 2027", "Hollin Court", "20 m", "N"):
        assert each in said
    for each in ("under 6", "over 25", "Hidden in the ground"):  # the legend
        assert each in said


@pytest.mark.parametrize("name", SIZES)
def test_the_map_fills_the_first_sheet_with_all_that_explains_it(printed, name):
    document = pypdfium2.PdfDocument(printed[name])
    check_first_sheet(document, SIZES[name])
    assert text(document[1]).strip()  # no sheet is left empty behind it


@pytest.mark.parametrize("name", SIZES)
def test_every_sheet_names_the_issue_and_no_heading_ends_one(printed, name):
    sheets = [text(each) for each in pypdfium2.PdfDocument(printed[name])]
    assert 4 <= len(sheets) <= 14
    for place, sheet in enumerate(sheets, start=1):
        assert ISSUE in sheet
        assert f"{place} / {len(sheets)}" in sheet
        assert last(sheet) not in HEADINGS
    rest = " ".join(" ".join(sheets[1:]).split())
    for said in ("Great lawn", "Scarifying", "Moorland iron salt", "come before this plan"):
        assert said in rest
    assert word("title.search") not in rest
    assert word("note.no_script") not in rest


def test_hatches_are_lines_and_not_pictures_so_black_and_white_keeps_them(printed):
    first = PdfReader(io.BytesIO(printed["A4"])).pages[0]
    pictures = [each for each in first.images if each.image.width * each.image.height > 200 * 200]
    assert pictures == []
    seen = pypdfium2.PdfDocument(printed["A4"])[0]
    grey = np.asarray(seen.render(scale=4).to_pil().convert("L")).astype(int)
    left, top, right, bottom = (4 * each for each in ground(seen))
    inside = grey[top:bottom, left:right]
    # Across a hatch grey goes up and down; across one colour it stays.
    turns = (np.abs(np.diff(inside, axis=1)) > 12).sum()
    assert turns > 20_000


@pytest.mark.firefox
def test_firefox_prints_the_same_sheets(printed_by_firefox):
    for name, data in printed_by_firefox.items():
        document = pypdfium2.PdfDocument(data)
        check_first_sheet(document, SIZES[name])
        sheets = [text(each) for each in document]
        assert 4 <= len(sheets) <= 14
        assert all(ISSUE in each for each in sheets)
        assert not HEADINGS & set(map(last, sheets))


def before_print(page):
    """Do what the browser tells a page to before it prints, without printing."""
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    return page.locator(".first-sheet svg.printed")


def test_what_is_switched_on_is_printed_and_the_screen_is_as_before(opened):
    seen = opened(page_of(layers=FOUND), width=390)
    page = seen.page
    shape = "(({clientWidth, clientHeight}) => [clientWidth, clientHeight])(map_lawnmap._container)"
    size = page.evaluate(shape)
    page.get_by_label("second pass").check(force=True)
    plan = before_print(page)
    assert plan.locator("path[stroke='#7a3fa0']").count() == 1
    assert plan.locator("path[stroke='#0b4f6c']").count() == 0
    assert plan.locator("text", has_text="▸2").count() == 1
    assert plan.is_hidden()  # until there is paper
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert plan.count() == 0
    assert page.evaluate(shape) == size
    assert seen.console == []


def test_very_many_zones_are_a_few_paths_and_their_work_is_not_printed(opened):
    many = paper([f"Lawn {n}" for n in range(1100)], shapes=grid(1100), features=False)
    seen = opened(render(many))
    plan = before_print(seen.page)
    drawn = plan.locator("path.zone")
    assert drawn.count() <= 8
    outlines = [each.get_attribute("d").count("M") for each in drawn.all()]
    assert sum(outlines) == 1100
    assert seen.page.locator("section.paper table").count() == 0
    assert word("page.too_many") in seen.page.locator("section.paper").text_content()
    assert seen.console == []


def test_the_scale_bar_is_as_long_as_it_says(opened):
    page = opened(render(paper())).page
    plan = before_print(page)
    bar = plan.locator("path[d^='M0 0v12h']").get_attribute("d")
    long = float(re.search(r"h([\d.]+)v", bar)[1])
    said = float(plan.locator("g > text", has_text=re.compile(r"^\d+ m$")).text_content()[:-2])
    edges = " ".join(each.get_attribute("d") for each in plan.locator("path.zone").all())
    xs = [float(each) for each in re.findall(r"[M ]([\d.]+) [\d.]+", edges)]
    wide = max(xs) - min(xs)
    west, _, east, _ = shapely.total_bounds([shapely.Polygon(c) for _, c in ZONES.values()])
    assert long / said == pytest.approx(wide / (east - west), rel=0.01)
