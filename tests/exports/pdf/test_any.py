"""Whatever a page is made of: a twin comes of it, and no word is lost."""

import warnings

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lawnmap.pages.escape import join, tag
from tests.exports.names import HOSTILE
from tests.exports.pdf.pages import bare, by_pdfium, made

# Short texts that stay in one piece, each with a number, so that one is told from the other.
WORDS = st.sampled_from(
    ["mow", "2 kg", "10\u00a0m²", "a & b", "<b>", "{nb}", "Ŵ", "Łódź", "草坪", "e\u0301", "🌱", "→"]
)
CLASSES = st.sampled_from(
    [None, "pill", "badge stop", "badge", "note", "called", "flag", "good", "shut", "area", "n",
     "open", "issue", "of", "out", "sum", "total", "first", "head", "front", "stage", "drawn",
     "page", "notice", "keep", "fields", "glance", "ticks", "cautions", "kinds", "price"]
)  # fmt: skip
BLANKS = st.sampled_from(
    [tag("span", class_="box"), tag("span", class_="line"), tag("br"), tag("hr"), " ",
     tag("svg", tag("path", d="M0 0h9v9z", fill="#aabbcc"), viewBox="0 0 9 9", width=9),
     tag("svg", tag("rect", width=9, height=4), viewBox="0 0 9 9"), tag("p"), tag("ul"),
     tag("table"), tag("dl"), tag("td", colspan=3)]
)  # fmt: skip
NAMES = st.sampled_from(
    ["p", "h1", "h2", "h3", "ul", "ol", "li", "dl", "div", "dt", "dd", "table", "thead", "tbody",
     "tr", "th", "td", "strong", "small", "bdi", "span", "section", "footer", "header"]
)  # fmt: skip


def element(children):
    return st.builds(
        lambda name, inside, kind: tag(name, join(inside), class_=kind),
        NAMES, st.lists(children, min_size=1, max_size=4), CLASSES,
    )  # fmt: skip


TREES = st.lists(st.recursive(WORDS | BLANKS, element, max_leaves=14), min_size=1, max_size=5)


def words(shown):
    """Return each text of the page, as the page's own parser finds it, but for white space."""
    from lawnmap.exports.pdf.tree import on_paper, read

    def texts(each):
        for child in each.children:
            if isinstance(child, str):
                yield bare(child)
            elif not (child.name == "section" and only_headings(child)):
                yield from texts(child)

    return [each for each in texts(on_paper(read(f"<main>{shown}</main>".encode()))) if each]


def only_headings(section):
    """Tell whether all words of a section stand in headings: such a section is left out."""
    rest = [
        each if isinstance(each, str) else "" if each.name in ("h1", "h2", "h3") else each.text()
        for each in section.children
    ]
    return not "".join(rest).strip()


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(TREES, st.sampled_from(["A4", "Letter"]), st.booleans())
def test_no_word_is_lost(parts, size, landscape):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        data = made(*parts, size=size, landscape=landscape)
    text = bare("".join(by_pdfium(data)))
    assert data.startswith(b"%PDF-")
    assert [each for each in words(join(parts)) if each not in text] == []


@settings(max_examples=15, deadline=None)
@given(st.text(max_size=60) | st.sampled_from(HOSTILE), st.sampled_from(["p", "td", "li", "h1"]))
def test_any_text_at_all_can_be_written(text, name):
    data = made(tag(name, tag("bdi", text)), title=text)
    assert len(by_pdfium(data)) >= 1
