import datetime as dt

import pytest

from lawnmap.errors import InputRefused
from lawnmap.store.keys import Key, read, unknown, wanted

KEYS = (
    Key("title", "text", ""),
    Key("colour", "text", "red", words=("red", "blue")),
    Key("country", "text", "", pattern="([A-Z]{2})?", example="GB"),
    Key("width_m", "number", low=0.5, high=3),
    Key("people", "whole", 1, 1, 100),
    Key("open", "yes or no", default=True),
    Key("day", "day"),
    Key("list", "names", ("a",)),
    Key("inner", "table", inside=(Key("depth", "number", 2.0, 0, 9),)),
    Key("rows", "tables", (), inside=(Key("name", "text", needed=True),)),
)
DEFAULTS = {
    "title": "", "colour": "red", "country": "", "width_m": None, "people": 1, "open": True,
    "day": None, "list": ["a"], "inner": {"depth": 2.0}, "rows": [],
}  # fmt: skip


def test_defaults_stand_for_what_is_left_out():
    assert read({}, KEYS, file="x.toml") == DEFAULTS


def test_defaults_are_not_shared():
    read({}, KEYS, file="x.toml")["list"].append("b")
    assert read({}, KEYS, file="x.toml") == DEFAULTS


def test_good_values():
    given = {
        "title": "é\n", "colour": "blue", "country": "GB", "width_m": 3, "people": 100,
        "open": False, "day": dt.date(2027, 4, 1), "list": [], "inner": {"depth": 0},
        "rows": [{"name": "a"}, {"name": "b"}],
    }  # fmt: skip
    found = read(given, KEYS, file="x.toml")
    assert found == given
    assert type(found["width_m"]) is float
    assert type(found["people"]) is int


@pytest.mark.parametrize(
    ("name", "value", "place"),
    [
        ("title", 3, "title"), ("title", "x" * 2_001, "title"), ("title", "a\0", "title"),
        ("title", None, "title"), ("colour", "green", "colour"), ("colour", 1, "colour"),
        ("country", "gb", "country"), ("country", "GBR", "country"), ("country", 44, "country"),
        ("width_m", 0.49, "width_m"), ("width_m", 3.01, "width_m"), ("width_m", True, "width_m"),
        ("width_m", "1", "width_m"), ("width_m", float("nan"), "width_m"),
        ("width_m", float("inf"), "width_m"), ("people", 1.0, "people"), ("people", 0, "people"),
        ("people", True, "people"), ("open", 1, "open"), ("open", "yes", "open"),
        ("day", "2027-04-01", "day"), ("day", dt.datetime(2027, 4, 1), "day"),  # noqa: DTZ001
        ("list", "a", "list"), ("list", [1], "list"), ("list", [" "], "list"),
        ("inner", 3, "inner"), ("inner", {"depth": 10}, "inner.depth"),
        ("rows", {}, "rows"), ("rows", [3], "rows 1"), ("rows", [{"name": 3}], "rows 1 "),
        ("rows", [{"name": "a"}, {}], "rows 2.name"),
    ],
)  # fmt: skip
def test_bad_values_are_placed(name, value, place):
    with pytest.raises(InputRefused) as caught:
        read({name: value}, KEYS, file="x.toml")
    assert caught.value.file == "x.toml"
    assert caught.value.place.startswith(place)
    assert caught.value.remedy
    assert caught.value.exit_code == 3


def test_unknown_keys_are_refused_with_what_was_meant():
    with pytest.raises(InputRefused, match="Did you mean 'width_m'") as caught:
        read({"with_m": 1}, KEYS, file="x.toml")
    assert "'with_m' is not known" in str(caught.value)
    with pytest.raises(InputRefused, match="Did you mean 'depth'") as caught:
        read({"inner": {"dept": 1}}, KEYS, file="x.toml")
    assert caught.value.place == "inner"
    with pytest.raises(InputRefused, match="There are: title, colour"):
        read({"zzz": 1}, KEYS, file="x.toml")
    assert "There are none" in str(unknown("a", [], file="x.toml", place=""))


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (0, 'text in "quotes"'),
        (1, 'one of: "red", "blue"'),
        (2, "text such as 'GB'"),
        (3, "a number from 0.5 to 3"),
        (4, "a whole number from 1 to 100"),
        (5, "true or false"),
    ],
)
def test_what_is_wanted_in_words(number, words):
    assert wanted(KEYS[number]) == words


def test_a_number_of_more_digits_than_python_shows_is_told():
    """As a hexadecimal number of TOML may have: Python reads that, and does not print it."""
    with pytest.raises(InputRefused, match="a number with very many digits is not allowed"):
        read({"people": 16**5000}, KEYS, file="x.toml")
