import tomllib

import pytest

from lawnmap.errors import InputRefused
from lawnmap.store.toml_text import loads


def test_a_byte_order_mark_is_no_key():
    assert loads(b"\xef\xbb\xbfa = 1\n", name="x.toml") == {"a": 1}


@pytest.mark.parametrize(
    ("data", "place", "says"),
    [
        (b"a = 1\nb = \n", "line 2", "is not TOML"),
        (b"a = 1\na = 2\n", "line 2", "is not TOML"),
        (b"iron = allowed\n", "line 1, column 8", '"quotes"'),
        (b"a = 'x", "end of document", "is not TOML"),
        (b"a = 1\nb = '\xff'\n", "", "byte 12"),
        (b"a = \0\n", "line 1", "is not TOML"),
        (b"a = " + b"[" * 100_000, "", "brackets"),
        (b"a = " + b"1" * 10_000, "", "digits"),
    ],
)
def test_what_is_no_toml_is_placed(data, place, says):
    with pytest.raises(InputRefused, match=says) as caught:
        loads(data, name="x.toml")
    assert caught.value.file == "x.toml"
    assert caught.value.place.startswith(place)
    assert caught.value.remedy


def test_what_the_library_says_without_a_place_is_told_whole(monkeypatch):
    def says(text):
        raise tomllib.TOMLDecodeError("Bad value, nowhere in particular")

    monkeypatch.setattr(tomllib, "loads", says)
    with pytest.raises(InputRefused) as caught:
        loads(b"", name="x.toml")
    assert caught.value.problem == "is not TOML: bad value, nowhere in particular"
    assert caught.value.place == ""
