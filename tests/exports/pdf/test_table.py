"""Tables on paper: the head on every page, rows whole, groups with what is in them."""

import re

from lawnmap.pages.escape import Html, join, tag
from tests.exports.pdf.pages import bare, by_pdfium, by_pypdf, made

HEAD = tag("thead", tag("tr", tag("th", "Zone"), tag("th", "What to do")))


def row(*cells, **attributes):
    return tag("tr", join(tag("td", each) for each in cells), **attributes)


def table(*rows):
    return tag("table", HEAD, tag("tbody", join(rows)))


def test_the_head_stands_on_every_page():
    pages = by_pypdf(made(table(*(row(f"zone {each}", "mow") for each in range(120)))))
    assert len(pages) > 2
    assert all(text.startswith("Zone What to do") for text in pages)
    assert [text.count("What to do") for text in pages] == [1] * len(pages)


def test_a_row_stands_on_one_page():
    lines = join(tag("p", f"line {each}") for each in range(9))
    pages = by_pypdf(made(table(*(row(f"zone {each}", lines) for each in range(12)))))
    assert len(pages) > 1
    assert all(text.count("zone") == text.count("line 0") == text.count("line 8") for text in pages)


def test_a_row_taller_than_a_page_is_cut_and_loses_nothing():
    lines = join(tag("p", f"line {each}.") for each in range(200))
    pages = by_pypdf(made(table(row("before", "mow"), row("tall", lines), row("after", "rake"))))
    text = "\n".join(pages)
    assert len(pages) > 2
    assert re.findall(r"line (\d+)\.", text) == [str(each) for each in range(200)]
    assert text.index("before") < text.index("tall") < text.index("after")
    assert all(page.startswith("Zone") for page in pages)


def test_a_group_is_named_again_where_it_goes_on():
    def group(name):
        title = tag("tr", tag("th", name, colspan=2, scope="rowgroup"), class_="of")
        return tag("tbody", title, join(row(f"step {each}", name[0]) for each in range(40)))

    pages = by_pypdf(made(tag("table", HEAD, group("Orchard"), group("Terrace"))))
    for text in pages:
        begins = text.split("\n")[1]
        assert begins in ("Orchard", "Terrace")
        first = re.search(r"step \d+ (\w)", text)
        assert first[1] == begins[0]
    assert not any(re.search(r"(Orchard|Terrace)\n(Trial|page)", text) for text in pages)


def test_cells_that_say_nothing_and_rows_of_other_lengths_are_no_trouble():
    data = made(tag("table", row(), row("a"), row("b", "c", "d"), row("", "", "e")), table())
    assert by_pypdf(data)[0].split()[:5] == ["a", "b", "c", "d", "e"]


def test_numbers_of_a_price_stand_on_the_right():
    rows = [row("Labour", "2534.60"), row("Travel", "7.20")]
    data = made(tag("table", HEAD, tag("tbody", join(rows)), class_="price"))
    assert "2534.60" in by_pdfium(data)[0]


def test_a_table_of_a_thousand_zones_is_whole():
    rows = [row(f"Zone number {each}", "Mowing, scarifying") for each in range(1000)]
    text = bare("".join(by_pdfium(made(table(*rows)))))
    assert [each for each in range(1000) if f"Zonenumber{each}M" not in text] == []


def test_words_wider_than_the_page_are_broken():
    data = made(table(row("x" * 500, Html("mow"))))
    assert bare(by_pypdf(data)[0]).count("x") == 500
