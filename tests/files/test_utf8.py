"""Only UTF-8 is text, and what is not is told apart by its bytes."""

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.utf8 import as_typed, decode


def test_a_mark_is_taken_off():
    assert decode(b"\xef\xbb\xbfS\xc3\xbcd", "a.csv") == "Süd"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ("Süd".encode("latin-1"), r"byte 2; it looks like Latin-1 or Windows-1252"),
        ("Süd".encode("utf-16"), r"byte 1; it looks like UTF-16"),
        ("South".encode("utf-16-le"), r"byte 2; it looks like UTF-16"),
        ("South".encode("utf-16-be"), r"byte 1; it looks like UTF-16"),
        (b"zone\0id", r"byte 5; NUL"),
        (b"ab\0", r"byte 3; NUL"),
        (b"\xff" + b"a" * 198 + b"\0", r"byte 1; it looks like UTF-16"),
        (b"\xff" + b"a" * 199 + b"\0", r"byte 1; it looks like Latin-1"),
        (b"\xed\xa0\x80", r"byte 1;"),  # half a surrogate pair: RFC 3629, section 3
        (b"\xc0\xaf", r"byte 1;"),  # an overlong slash: RFC 3629, section 10
    ],
)
def test_the_byte_and_the_likely_encoding_are_told(data, told):
    with pytest.raises(InputRefused, match=told) as caught:
        decode(data, "plan.csv")
    assert caught.value.file == "plan.csv"
    assert "UTF-8" in caught.value.remedy


@pytest.mark.parametrize("text", ["Ü", "lawn", "İstiñye ı", "草", ""])
def test_what_was_typed_where_only_ascii_is_known_has_its_letters(text):
    passed_on = text.encode("utf-8").decode("ascii", "surrogateescape")  # PEP 383
    assert as_typed(passed_on) == text
    assert as_typed(text) == text


@pytest.mark.parametrize("text", ["\udcdc", "Ü\udcdc"])
def test_bytes_that_are_no_letters_stay(text):
    assert as_typed(text) == text
