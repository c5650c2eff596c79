"""The twin of a page: what it says, as a PDF."""

from __future__ import annotations

import datetime as dt

from lawnmap.exports.pdf.looks import LOOKS, NOTICE
from lawnmap.exports.pdf.tree import Element, on_paper, read
from lawnmap.pages.words import speaking, word


def twin(
    page: bytes,
    *,
    size: str = "A4",
    landscape: bool = False,
    made: dt.date,
    language: str = "en",
) -> bytes:
    """Return the PDF of a page of ours, without a browser.

    Parameters
    ----------
    page : bytes
        HTML made by :mod:`lawnmap.pages`. What is for the screen only is left out.
    size : str
        ``A4``, ``A3`` or ``Letter``.
    landscape : bool
    made : date
        Day that the file says it was made on: the plan's own, never the clock's.
    language : str
        Of its words, such as ``en``.

    Returns
    -------
    bytes
        The same page gives the same bytes.
    """
    from lawnmap.exports.pdf.document import opened
    from lawnmap.exports.pdf.flow import Flow
    from lawnmap.exports.pdf.sheets import Sheets, draw, fewest

    tree = read(page)
    named = {each.attributes["id"]: each for each in tree.walk() if "id" in each.attributes}
    shown = on_paper(tree)
    title, issue = _text(tree, "title"), _text(tree, class_="issue")
    options = {"landscape": landscape, "title": title, "language": language, "made": made}
    with opened(size, **options) as document:
        flow = Flow(document, named, NOTICE if tree.first(class_="notice") else LOOKS)
        pieces = fewest(document, lambda how: flow.inside(shown, document.epw, how))
        pages = Sheets(document).fill(pieces)
        foot = " · ".join(each for each in (issue, title) if each)
        with speaking(language):
            draw(document, pages, foot, _counted)
        return bytes(document.output())


def _text(tree: Element, name: str = "", *, class_: str = "") -> str:
    found = tree.first(name, class_=class_)
    return " ".join(found.text().split()) if found else ""


def _counted(page: int, pages: int) -> str:
    return word("pdf.page", page=page, pages=pages)
