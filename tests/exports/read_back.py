"""Exports read back by libraries that did not write them: every text in them, as it was typed."""

from __future__ import annotations

import base64
import csv
import io
import json
import re
import sqlite3
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing
from html import unescape
from html.parser import HTMLParser
from typing import Any
from urllib.parse import unquote
from xml.etree import ElementTree as ET

import icalendar
import openpyxl
import pypdf

from lawnmap.files.spreadsheet import unguarded
from lawnmap.pages.escape import clean

BASE64 = re.compile(rb"[A-Za-z0-9+/]{24,}={0,2}")
JSON_ESCAPE = re.compile(r"\\u([0-9a-fA-F]{4})")


class _Page(HTMLParser):
    """Texts and attributes of a page by the standard library's reader, and its JSON blocks."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self.block: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.found += [each for each in given.values() if each]
        if tag == "script":
            self.block = "parcel" if "data-parcel" in given else given.get("type") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "script":
            self.block = None

    def handle_data(self, data: str) -> None:
        if self.block == "application/json":
            self.found += _words(json.loads(data))
        elif self.block == "parcel":
            self.found += _words(json.loads(zlib.decompress(base64.b64decode(data))))
        else:
            self.found.append(data)


def _words(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, each in value.items():
            yield str(key)
            yield from _words(each)
    elif isinstance(value, list):
        for each in value:
            yield from _words(each)


def _html(data: bytes) -> list[str]:
    page = _Page()
    page.feed(data.decode("utf-8"))
    page.close()
    return page.found


def _xml(data: bytes) -> list[str]:
    root = ET.fromstring(data)
    found = [each for node in root.iter() for each in (node.text, node.tail) if each]
    # What a program shows as HTML is read once more, as that.
    shown = [n.text for n in root.iter() if n.tag.endswith("description") and n.text]
    return found + [each for text in shown for each in _html(text.encode())]


def _calendar(data: bytes) -> list[str]:
    events = icalendar.Calendar.from_ical(data).walk()
    return [str(value) for each in events for value in each.values() if isinstance(value, str)]


def _workbook(data: bytes) -> list[str]:
    cells = (
        cell.value
        for sheet in openpyxl.load_workbook(io.BytesIO(data))
        for row in sheet.iter_rows()
        for cell in row
    )
    return [unguarded(each) for each in cells if isinstance(each, str)]


def _table(data: bytes) -> list[str]:
    text = data.decode("utf-8-sig")
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    return [unguarded(cell) for row in rows for cell in row]


def _package(data: bytes) -> list[str]:
    with closing(sqlite3.connect(":memory:")) as base:
        base.deserialize(data)
        names = [
            row[0] for row in base.execute("SELECT name FROM sqlite_master WHERE type='table'")
        ]
        rows = [row for name in names for row in base.execute(f'SELECT * FROM "{name}"')]  # noqa: S608
    return [cell for row in rows for cell in row if isinstance(cell, str)]


def _pdf(data: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages]


READERS: dict[str, Callable[[bytes], list[str]]] = {
    ".html": _html,
    ".svg": _xml,
    ".kml": _xml,
    ".gpx": _xml,
    ".ics": _calendar,
    ".xlsx": _workbook,
    ".csv": _table,
    ".geojson": lambda data: list(_words(json.loads(data))),
    ".gpkg": _package,
    ".pdf": _pdf,
}


def texts(suffix: str, data: bytes) -> list[str]:
    """Return every text in a file by its suffix; a new kind of export needs a reader here."""
    return READERS[suffix](data)


def standing(suffix: str, data: bytes, said: Mapping[str, Sequence[str]]) -> set[tuple[str, int]]:
    """Return which of what is said stands in an export, whatever the ends of its lines.

    Parameters
    ----------
    said : mapping of str to sequence of str
        What is said in each place, by number.
    """
    squeezed = lambda text: "".join(text.split())
    found = squeezed("".join(texts(suffix, data)))
    return {
        (place, number)
        for place, there in said.items()
        for number, word in enumerate(there)
        if squeezed(clean(word)) in found
    }


def everything(suffix: str, data: bytes) -> str:
    """Return all that can be read in a file by whatever way of hiding, for words that must not be.

    Members of archives, streams that are deflated, pictures and parcels in Base64, escapes of
    JSON, HTML and addresses, and blanks that group digits are taken off.
    """
    raw = [data, *_hidden(data)]
    plain = "\n".join([*(each.decode("utf-8", "replace") for each in raw), *texts(suffix, data)])
    utf16 = "\n".join(each.decode("utf-16-be", "replace") for each in raw if suffix == ".pdf")
    escaped = JSON_ESCAPE.sub(lambda found: chr(int(found[1], 16)), plain)
    return re.sub(
        "[\u00a0\u202f]", "", "\n".join([plain, escaped, unescape(plain), unquote(plain), utf16])
    )


def _hidden(data: bytes) -> Iterator[bytes]:
    if zipfile.is_zipfile(io.BytesIO(data)):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            yield from (archive.read(each) for each in archive.namelist())
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        yield _inflated(stream)
    for text in BASE64.findall(data):
        found = base64.b64decode(text.rstrip(b"=")[: len(text.rstrip(b"=")) // 4 * 4])
        yield found
        yield _inflated(found)


def _inflated(data: bytes) -> bytes:
    try:
        return zlib.decompressobj().decompress(data)
    except zlib.error:
        return b""
