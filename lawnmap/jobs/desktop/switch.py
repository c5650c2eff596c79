"""The line that switches a plugin on, in the settings file of the desktop GIS.

The file is Qt's: sections in square brackets, ``key=value``, values over several lines in quotes or
behind a backslash. It is edited as bytes, so that all else in it stays as it is. A GIS that runs
meanwhile reads the file again and merges before it writes (tried with Qt 5.15:
tests/desktop/gis/test_settings.py), so the line outlasts it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.jobs.desktop.profiles import PACKAGE

SECTION = b"PythonPlugins"
KEY = PACKAGE.encode("ascii")
OFF = {b"", b"0", b"false"}
# A line as Qt takes it. The first characters of the alternatives differ, so nothing is tried twice.
LINE = re.compile(rb'(?:"(?:[^"\\]+|\\[\s\S])*(?:"|\\?\Z)|\\(?:\r\n|\n\r|[\s\S]|\Z)|[^"\\\r\n;]+)+')
REST = re.compile(rb"[^\r\n]*(?:\r\n|\n|\r)?")
BLANK = re.compile(rb"\s+|\xef\xbb\xbf|;[^\r\n]*")


class Entry(NamedTuple):
    """A section's head (without a key) or a key with its value, and where it stands."""

    section: bytes
    key: bytes
    value: bytes
    start: int
    end: int

    @property
    def ours(self) -> bool:
        """Whether it is the line of our plugin."""
        return self.section == SECTION and self.key == KEY


def is_on(data: bytes) -> bool:
    """Tell whether the plugin is switched on; the last line counts."""
    values = [each.value for each in _entries(data) if each.ours]
    return bool(values) and values[-1].lower() not in OFF


def on(data: bytes) -> bytes:
    """Return the file with the plugin switched on.

    Raises
    ------
    InputRefused
        When the file cannot take the line, as after a quotation mark that is never closed.
    """
    line = KEY + b"=true"
    own = [each for each in _entries(data) if each.ours]
    if own:
        made = data
        for each in reversed(own):
            made = made[: each.start] + line + made[each.end :]
    else:
        made = _inserted(data, line)
    return _checked(made, wanted=True)


def off(data: bytes) -> bytes:
    """Return the file without the line, and without the section when nothing else is in it."""
    own = [each for each in _entries(data) if each.ours]
    made = data
    for each in reversed(own):
        made = made[: each.start] + made[_next_line(data, each.end) :]
    if own:
        heads = [each for each in _entries(made) if each.section == SECTION]
        if len(heads) == 1:
            made = made[: heads[0].start] + made[_next_line(made, heads[0].end) :]
    return _checked(made, wanted=False)


def _inserted(data: bytes, line: bytes) -> bytes:
    """Return the file with a new line in its section, or in a new section at the end."""
    end_of_line = b"\r\n" if b"\r\n" in data else b"\n"
    heads = [each for each in _entries(data) if each.section == SECTION and not each.key]
    at = _next_line(data, heads[0].end) if heads else len(data)
    before, after = data[:at], data[at:]
    if before and not before.endswith((b"\n", b"\r")):
        before += end_of_line
    head = b"" if heads else b"[" + SECTION + b"]" + end_of_line
    return before + head + line + end_of_line + after


def _checked(made: bytes, *, wanted: bool) -> bytes:
    if is_on(made) != wanted:
        raise InputRefused(
            "cannot be edited safely: a quotation mark in it is never closed",
            remedy="Switch the plugin on or off in the GIS, under Plugins.",
        )
    return made


def _next_line(data: bytes, at: int) -> int:
    """Return where the line after a place begins."""
    rest = REST.match(data, at)
    return rest.end() if rest else len(data)


def _entries(data: bytes) -> Iterator[Entry]:
    section, at = b"", 0
    while at < len(data):
        blank = BLANK.match(data, at)
        if blank:
            at = blank.end()
            continue
        line = LINE.match(data, at)
        end = line.end() if line else at + 1
        text = data[at:end]
        if text.startswith(b"["):
            section = text[1:].partition(b"]")[0].strip()
            yield Entry(section, b"", b"", at, end)
        else:
            key, _, value = text.partition(b"=")
            yield Entry(section, key.strip(), value.strip(), at, end)
        at = end
