"""Text is UTF-8; anything else is told apart well enough to say what to do about it."""

from __future__ import annotations

from lawnmap.errors import InputRefused

MARK = b"\xef\xbb\xbf"


def decode(data: bytes, name: str) -> str:
    """Return `data` as text, without a byte-order mark.

    Raises
    ------
    InputRefused
        With the byte's place and the likely encoding, for bytes that are not UTF-8; and for NUL,
        which no kind of text we read may hold.
    """
    data = data.removeprefix(MARK)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        likely = "UTF-16" if b"\0" in data[:200] else "Latin-1 or Windows-1252"
        raise _refusal(name, error.start, f"it looks like {likely}") from error
    if "\0" in text:
        # Plain English in UTF-16 is valid UTF-8 with a NUL beside every letter.
        where = data.index(b"\0")
        likely = "it looks like UTF-16" if where < 2 else "NUL"  # noqa: PLR2004 - first character
        raise _refusal(name, where, likely)
    return text


def as_typed(text: str) -> str:
    """Return a text of the command line with its letters, where the system knew ASCII only.

    Python then hands on every other byte as half a surrogate pair (PEP 383). Bytes that are not
    UTF-8 stay as they are.
    """
    try:
        return text.encode("ascii", "surrogateescape").decode("utf-8")
    except UnicodeError:
        return text


def _refusal(name: str, where: int, why: str) -> InputRefused:
    return InputRefused(
        f"is not UTF-8 text (byte {where + 1}; {why})",
        file=name,
        remedy="Save it as UTF-8 and read it again.",
    )
