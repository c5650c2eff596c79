"""The visit page on A4: zones, questions and blanks, and nothing that only a finger can use."""

import io
import re

import pytest
from pypdf import PdfReader

from lawnmap.exports.visit.page import render
from lawnmap.pages.words import starting
from lawnmap.reference.tables import scales
from tests.exports.papers import ZONES, paper
from tests.exports.visit.test_page import dated_paper, empty_paper
from tests.exports.visit.test_phone import PHONE, lawn, rate

A4 = (595.28, 841.89)  # ISO 216: 210 by 297 mm, in points of 1/72 inch
OVER = """() => [...document.querySelectorAll('.still *')]
  .filter((each) => each.getClientRects().length
    && each.scrollWidth > each.clientWidth + 1 && getComputedStyle(each).display !== 'inline')
  .map((each) => each.outerHTML)"""


def printed(page):
    """Return the size of each sheet [pt] and the text of all of them on one line."""
    sheets = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    sizes = [(float(sheet.mediabox.width), float(sheet.mediabox.height)) for sheet in sheets]
    text = " ".join(sheet.extract_text() for sheet in sheets)
    return sizes, " ".join(text.split())


def articles(data):
    return re.findall(r"<article>.*?</article>", data.decode(), re.DOTALL)


def test_a_zone_has_a_blank_for_each_step_that_is_not_on_record():
    first = articles(render(dated_paper()))[0]
    blanks = first.partition('class="on-paper"')[2]
    jobs = re.findall(r'<div class="job"><p><strong><bdi>(.*?)</bdi>', blanks)
    assert jobs == [
        "Iron, dissolved", "Scarifying", "Clearing the arisings", "Overseeding", "Feeding",
    ]  # fmt: skip
    assert blanks.count("Amount used") == 3
    assert blanks.count("Ground treated") == 5
    assert blanks.count("for pricing only") == 1


def test_a_zone_left_alone_has_no_work_to_write_down():
    resting = [each for each in articles(render(paper())) if "Leave it alone" in each]
    assert resting
    assert not [each for each in resting if 'class="job"' in each]


@pytest.mark.browser
def test_it_prints_on_a4_with_every_zone_question_and_rating(opened):
    seen = opened(render(paper()), **PHONE)
    lawn(seen.page, 1)
    rate(seen.page, "Moss cover, by eye", 5)
    sizes, text = printed(seen.page)
    assert 10 <= len(sizes) <= 13
    for size in sizes:
        assert size == pytest.approx(A4, abs=1)
    for name, _ in ZONES.values():
        assert name in text
    asked = [words for key, words in starting("visit").items() if key.startswith("ask_")]
    for words in (*asked, *(each.word for each in scales()["moss"]), "Diagonal AC", "Take care"):
        assert words in text
    for words in ("Save reply", "Tick when done", "Done with this lawn", "needs a browser"):
        assert words not in text
    seen.page.set_viewport_size({"width": 700, "height": 1000})  # about A4 without its margins
    seen.page.emulate_media(media="print")
    assert seen.page.evaluate(OVER) == []
    assert seen.console == []


@pytest.mark.browser
def test_a_first_visit_prints_two_sheets_to_fill_in(opened):
    sizes, text = printed(opened(render(empty_paper()), **PHONE).page)
    assert len(sizes) == 2
    assert "There are no zones yet." in text
    assert "Side AB m Side BC m" in text
    assert "Take care" not in text


@pytest.mark.browser
def test_the_blanks_are_on_paper_only(opened):
    for scripts in (True, False):
        page = opened(render(paper()), **PHONE, java_script_enabled=scripts).page
        assert page.locator(".on-paper:visible").count() == 0
