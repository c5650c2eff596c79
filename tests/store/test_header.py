import pytest

from lawnmap.errors import InputRefused
from lawnmap.store.header import check_header

GOOD = {
    "format": 1,
    "title": "Elm Row",
    "revision": 0,
    "surveyed": "2027-03-01",
    "timezone": "Europe/London",
    "placed": True,
    "anchor": [0.5, 52],
    "origin": [430_000.0, 250_000],
}


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"surveyed": None, "timezone": None},
        {"surveyed": "", "timezone": ""},
        {"anything": {"else": [1]}},
        {"anchor": [-180, 90]},
    ],
)
def test_good_headers(changes):
    assert check_header({**GOOD, **changes}) is None


def test_the_least_header():
    assert check_header({"format": 1, "revision": 0}) is None


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("format", 0), ("format", True), ("format", 1.0), ("format", "1"), ("revision", -1),
        ("revision", None), ("title", None), ("title", 3), ("surveyed", "1.3.2027"),
        ("surveyed", "20270301"), ("surveyed", 2027), ("timezone", 0), ("placed", 1),
        ("placed", None), ("anchor", [0]), ("anchor", [0, 91]), ("anchor", [181, 0]),
        ("anchor", [0, 0, 0]), ("anchor", ["0", "0"]), ("anchor", None),
        ("origin", [0]), ("origin", ["0", "0"]), ("origin", [0, True]), ("origin", None),
    ],
)  # fmt: skip
def test_bad_headers(name, value):
    with pytest.raises(InputRefused) as caught:
        check_header({**GOOD, name: value})
    assert caught.value.place == f"lawnmap.{name}"


@pytest.mark.parametrize("name", ["format", "revision"])
def test_what_may_not_be_missing(name):
    with pytest.raises(InputRefused, match="is missing"):
        check_header({key: value for key, value in GOOD.items() if key != name})


def test_a_header_is_an_object():
    with pytest.raises(InputRefused, match="is not an object"):
        check_header("format 1")
