"""The twin: what a page says, as a PDF that others can read."""

import datetime as dt
import getpass
import io
import logging
import os
import re
import socket
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest

from lawnmap.exports.map.page import render as render_map
from lawnmap.exports.notice import render as render_notice
from lawnmap.exports.pdf.document import Document
from lawnmap.exports.pdf.tree import on_paper, read
from lawnmap.exports.pdf.twin import twin
from lawnmap.exports.sheet import render as render_sheet
from lawnmap.pages.escape import clean, join, tag
from tests.exports.names import HOSTILE
from tests.exports.papers import grid, paper
from tests.exports.pdf.pages import MADE, bare, by_pdfium, by_pypdf, made, page

POINTS = {"A4": (595.28, 841.89), "Letter": (612, 792)}  # ISO 216; ANSI/ASME Y14.1


@pytest.fixture(scope="module")
def sheet():
    return render_sheet(paper(audience="crew"))


@pytest.fixture(scope="module")
def pdf(sheet):
    return twin(sheet, made=MADE)


def reader(data):
    return pypdf.PdfReader(io.BytesIO(data))


def texts(element):
    """Yield each text between tags, but for those in a drawing."""
    for each in element.children:
        if isinstance(each, str):
            yield each
        elif each.name != "svg":
            yield from texts(each)


@pytest.mark.parametrize("read_by", [by_pypdf, by_pdfium])
def test_names_are_as_typed_to_whoever_reads_the_file(read_by):
    rows = [tag("tr", tag("td", tag("bdi", each)), tag("td", "mow")) for each in HOSTILE]
    text = bare("".join(read_by(made(tag("table", tag("tbody", join(rows)))))))
    assert [each for each in HOSTILE if bare(each) not in text] == []


def test_names_on_a_sheet_are_as_typed():
    names = render_sheet(paper(HOSTILE, shapes=grid(len(HOSTILE)), audience="crew"))
    said = bare(on_paper(read(names)).first("body").text())
    wanted = [bare(clean(each)) for each in HOSTILE if bare(clean(each)) in said]
    text = bare("".join(by_pypdf(twin(names, made=MADE))))
    assert len(wanted) > 15
    assert [each for each in wanted if each not in text and len(each) < 2000] == []


def test_a_name_runs_nothing_and_opens_nothing():
    data = twin(render_sheet(paper(HOSTILE[:4], shapes=grid(4), audience="crew")), made=MADE)
    for word in (b"/JavaScript", b"/JS", b"/URI", b"/Launch", b"/OpenAction <<", b"/EmbeddedFile"):
        assert word not in data


def test_it_says_all_that_the_sheet_says(sheet, pdf):
    wanted = [each for text in texts(on_paper(read(sheet))) for each in text.split()]
    text = bare("".join(by_pypdf(pdf)))
    assert len(wanted) > 500
    assert [each for each in wanted if each not in text] == []


def test_every_number_of_its_tables_is_there(sheet, pdf):
    cells = [each for each in on_paper(read(sheet)).walk() if each.name == "td"]
    numbers = {each for cell in cells for each in re.findall(r"\d+(?:\.\d+)?", cell.text())}
    text = "\n".join(by_pdfium(pdf)).replace("\xa0", " ")
    assert len(numbers) > 30
    assert [each for each in numbers if not re.search(rf"(?<!\d){re.escape(each)}", text)] == []


def test_each_page_is_counted(pdf):
    pages = by_pypdf(pdf)
    assert len(pages) > 3
    for number, text in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in text


def test_pages_are_counted_in_the_language_of_the_paper():
    data = made(tag("p", "Rasen"), language="de")
    assert "Seite 1 von 1" in by_pypdf(data)[0]
    assert reader(data).root_object["/Lang"] == "de"


@pytest.mark.parametrize("size", POINTS)
@pytest.mark.parametrize("landscape", [False, True])
def test_its_size_is_the_one_asked_for(size, landscape):
    data = made(tag("p", "words"), size=size, landscape=landscape)
    sides = [float(each) for each in reader(data).pages[0].mediabox[2:]]
    expected = POINTS[size][::-1] if landscape else POINTS[size]
    assert sides == pytest.approx(expected, abs=0.1)


def test_what_it_says_of_itself_is_the_same_on_every_day(pdf):
    about = reader(pdf).metadata
    assert dict(about) == {
        "/Title": "Job sheet: Hollin Court",
        "/Producer": "lawnmap",
        "/CreationDate": "D:20260820000000Z",
    }
    assert reader(pdf).root_object["/Lang"] == "en"


def test_a_title_and_a_foot_hold_what_was_typed():
    title = HOSTILE[16] + " {nb} $title"
    data = made(tag("p", "words"), title=title)
    assert reader(data).metadata.title == title
    assert "{nb} $title" in by_pypdf(data)[0]


def test_nothing_of_machine_or_user_is_in_it(pdf):
    text = "".join(by_pypdf(pdf)) + str(reader(pdf).metadata) + pdf.decode("latin-1")
    for word in (socket.gethostname(), str(Path.cwd()), sys.prefix, "fpdf", "site-packages"):
        assert word not in text
    assert f"/Author ({getpass.getuser()}" not in text


def test_the_bytes_are_the_same_in_another_process(tmp_path):
    data = render_map(paper(issued="3f2a9c41d07e of 2 August 2027"))
    path = tmp_path / "page.html"
    path.write_bytes(data)
    code = (
        "import datetime, sys, pathlib; from lawnmap.exports.pdf.twin import twin;"
        "sys.stdout.buffer.write(twin(pathlib.Path(sys.argv[1]).read_bytes(),"
        "made=datetime.date(2026, 8, 20)))"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "4711", "TZ": "Pacific/Apia"}
    other = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, str(path)],
        env=environment, capture_output=True, check=True,
    )  # fmt: skip
    assert other.stderr == b""
    assert other.stdout == twin(data, made=MADE)


def test_it_tells_nothing_to_the_log(caplog):
    with caplog.at_level(logging.INFO):
        made(tag("p", "words →"))
    assert caplog.records == []


def test_the_files_of_the_font_are_shut_when_it_fails(monkeypatch):
    closed, close = [], Document.close

    def fail(*_):
        raise RuntimeError("no room")

    def shut(document):
        closed.append(document)
        close(document)

    monkeypatch.setattr("lawnmap.exports.pdf.sheets.Sheets.fill", fail)
    monkeypatch.setattr(Document, "close", shut)
    with pytest.raises(RuntimeError, match="no room"):
        twin(page(tag("p", "words")), made=dt.date(2026, 1, 1))
    assert len(closed) == 1


def test_a_notice_is_a_page_a_sign():
    signs = render_notice(paper(audience="public"))
    count = signs.count(b'class="notice"')
    for size, landscape in (("A4", False), ("Letter", True)):
        pages = by_pypdf(twin(signs, size=size, landscape=landscape, made=MADE))
        assert len(pages) == count
        assert all("Keep off this grass" in text for text in pages)


def test_what_is_for_the_screen_stays_there():
    data = made(
        tag("p", "printed"),
        tag("div", "live part", class_="live"),
        tag("p", "screen part", class_="screen"),
        tag("button", "press"),
        tag("aside", "put away", hidden=True),
        tag("section", tag("h2", "nothing under it"), tag("p", "run scripts", class_="still note")),
        tag("p", tag("span", "10 m²", class_="metric"), tag("span", "12 sq yd", class_="us")),
    )
    text = by_pypdf(data)[0]
    assert text.split("\n")[:2] == ["printed", "10 m²"]
    for word in ("live", "screen", "press", "scripts", "put away", "nothing", "yd"):
        assert word not in text


def test_a_page_begins_where_the_paper_says_so():
    pages = by_pypdf(
        made(
            tag("p", "before"),
            tag("section", tag("p", "first visit"), class_="page"),
            tag("section", tag("p", "second visit"), class_="page"),
        )
    )
    assert [text.split("\n")[0] for text in pages] == ["before", "first visit", "second visit"]


def test_the_front_of_a_job_has_no_page_for_a_single_row():
    def pages(rows, name):
        cells = [tag("tr", tag("td", f"row {n}"), tag("td", "words")) for n in range(rows)]
        visit = tag("section", tag("p", "first visit"), class_="page")
        return by_pypdf(made(tag("section", tag("table", join(cells)), class_=name), visit))

    over = next(rows for rows in range(30, 90) if len(pages(rows, "other")) > 2)
    front, visit = pages(over, "job")
    assert f"row {over - 1}" in front
    assert "first visit" in visit


def test_the_first_visit_stands_under_the_head_of_the_paper():
    head = tag("header", tag("h1", "Site"), class_="head")
    visit = tag("section", tag("p", "first visit"), class_="page")
    pages = by_pypdf(made(head, visit, visit))
    assert ["Site" in text for text in pages] == [True, False]


def test_headings_stand_in_the_list_of_contents():
    data = made(tag("h1", "Site"), tag("h2", "Plan"), tag("p", "words"))
    assert [each.title for each in reader(data).outline] == ["Site", "Plan"]
