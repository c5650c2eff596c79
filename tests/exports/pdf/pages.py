"""A page as ours are made, from parts; and a PDF read by two libraries that did not write it."""

from __future__ import annotations

import datetime as dt
import io

import pypdf
import pypdfium2

from lawnmap.exports.pdf.twin import twin
from lawnmap.pages.escape import Html, join, tag

MADE = dt.date(2026, 8, 20)


def page(*parts: object, title: str = "A page") -> bytes:
    """Return a whole page with these parts in its body."""
    body = tag("body", tag("main", join(parts)), data_units="metric")
    head = tag("head", tag("title", title))
    return f'<!DOCTYPE html><html lang="en">{Html(head)}{body}</html>'.encode()


def made(*parts: object, **options: object) -> bytes:
    """Return the twin of a page of these parts."""
    title = str(options.pop("title", "A page"))
    return twin(page(*parts, title=title), made=MADE, **options)


def by_pypdf(pdf: bytes) -> list[str]:
    """Return the text of each page, read by pypdf."""
    return [each.extract_text() for each in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def by_pdfium(pdf: bytes) -> list[str]:
    """Return the text of each page, read by the library that Chromium has."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        found = []
        for number in range(len(document)):
            sheet = document[number]
            text = sheet.get_textpage()
            found.append(text.get_text_bounded())
            text.close()
            sheet.close()
        return found
    finally:
        document.close()


def bare(text: str) -> str:
    """Return a text without any white space, which a line end may stand for."""
    return "".join(text.split())
