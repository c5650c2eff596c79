"""The guards alone, on headers as they come: each lets its own page in and nobody else."""

from email.message import Message

import pytest

from lawnmap.errors import LawnmapError
from lawnmap.web.guards import (
    HEADERS,
    MOST_BODY,
    TOKEN_HEADER,
    Door,
    Refusal,
    check_address,
    check_token,
    check_write,
    same,
)

DOOR = Door(8123, "secret-é")
WRITE = {
    "Host": "127.0.0.1:8123",
    "Origin": "http://127.0.0.1:8123",
    "Content-Type": "application/json",
    "Content-Length": "17",
}


def message(**fields):
    """Return headers; a list is a header that comes more than once, None one that does not."""
    made = Message()
    for name, values in fields.items():
        for value in values if isinstance(values, list) else [values]:
            if value is not None:
                made[name.replace("_", "-")] = value
    return made


def refused(call, *given):
    with pytest.raises(Refusal) as caught:
        call(*given)
    assert isinstance(caught.value, LawnmapError)
    return caught.value.status, caught.value.problem


def test_a_door_has_two_names_and_no_other():
    assert DOOR.hosts == ("127.0.0.1:8123", "localhost:8123")


@pytest.mark.parametrize("host", DOOR.hosts)
@pytest.mark.parametrize("site", [None, "same-origin", "none", ["none", "same-origin"]])
def test_our_own_page_is_let_in(host, site):
    assert check_address(message(Host=host, Sec_Fetch_Site=site), DOOR) is None


@pytest.mark.parametrize("hosts", [None, ["127.0.0.1:8123", "127.0.0.1:8123"]])
def test_one_host_is_needed(hosts):
    assert refused(check_address, message(Host=hosts), DOOR) == (400, "one Host is needed")


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1", "127.0.0.1:8124", "LOCALHOST:8123", "localhost:8123.example.org",
        "evil.localhost:8123", "[::1]:8123", "", "http://127.0.0.1:8123", "127.0.0.1:08123",
        "localhost:8123, localhost:8123",
    ],
)  # fmt: skip
def test_another_s_name_is_turned_away(host):
    told = refused(check_address, message(Host=host), DOOR)
    assert told == (421, "not a name of this server")


@pytest.mark.parametrize(
    "site", ["cross-site", "same-site", "", "None", "same-origin,none", ["none", "cross-site"]]
)
def test_another_site_is_turned_away(site):
    told = refused(check_address, message(Host=DOOR.hosts[0], Sec_Fetch_Site=site), DOOR)
    assert told == (403, "from another site")


def test_the_token_opens():
    assert check_token(message(**{TOKEN_HEADER: "secret-é"}), DOOR) is None


@pytest.mark.parametrize("given", [None, "", "secret", "secret-e", ["secret-é", "secret-é"]])
def test_no_other_token_opens(given):
    told = refused(check_token, message(**{TOKEN_HEADER: given}), DOOR)
    assert told == (401, "the token is missing or wrong")


def test_a_token_of_any_characters_is_compared():
    assert same("é", "é")
    assert not same("\udcff", "é")
    assert same("\udcff", "?")  # what cannot be written is a question mark, and no fault


@pytest.mark.parametrize(
    ("length", "kind"),
    [
        ("0", "application/json"),
        ("17", "APPLICATION/JSON"),
        ("17", "application/json;charset=UTF-8"),
        (str(MOST_BODY), "application/json; charset=utf-8"),
        ("000000000000017", "application/json"),
    ],
)
def test_a_write_of_our_own_page(length, kind):
    headers = message(**WRITE | {"Content-Length": length, "Content-Type": kind})
    assert check_write(headers) == int(length)


ORIGIN = (403, "from another origin")
KIND = (415, "only application/json is taken")
AS_IT_IS = (400, "the body has to come as it is, with its length")
NO_NUMBER = (400, "the length of the body is not a number")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"Origin": None}, ORIGIN),
        ({"Origin": "null"}, ORIGIN),
        ({"Origin": "https://127.0.0.1:8123"}, ORIGIN),
        ({"Origin": "http://localhost:8123"}, ORIGIN),  # the page's own name, not its other one
        ({"Origin": ["http://127.0.0.1:8123"] * 2}, ORIGIN),
        ({"Content-Type": None}, KIND),
        ({"Content-Type": ["application/json"] * 2}, KIND),
        ({"Content-Type": "text/plain"}, KIND),
        ({"Content-Type": "application/json; charset=latin-1"}, KIND),
        ({"Content-Type": "text/plain; application/json"}, KIND),
        ({"Transfer-Encoding": "chunked"}, AS_IT_IS),
        ({"Content-Encoding": "gzip"}, AS_IT_IS),
        ({"Content-Length": None}, (411, "the length of the body is missing")),
        ({"Content-Length": ["17", "17"]}, NO_NUMBER),
        ({"Content-Length": ""}, NO_NUMBER),
        ({"Content-Length": "-1"}, NO_NUMBER),
        ({"Content-Length": "+1"}, NO_NUMBER),
        ({"Content-Length": "1 "}, NO_NUMBER),
        ({"Content-Length": "1_0"}, NO_NUMBER),
        ({"Content-Length": "١"}, NO_NUMBER),
        ({"Content-Length": "1" * 16}, NO_NUMBER),
        ({"Content-Length": str(MOST_BODY + 1)}, (413, "more than 5 MB")),
        ({"Content-Length": "9" * 15}, (413, "more than 5 MB")),
    ],
)
def test_any_other_write_is_turned_away(change, told):
    assert refused(check_write, message(**WRITE | change)) == told


def test_every_answer_goes_out_with_these_headers():
    """One change of a letter here opens a door: so they stand here a second time."""
    policy = dict(part.split(" ", 1) for part in HEADERS["Content-Security-Policy"].split("; "))
    assert policy == {
        "default-src": "'none'",
        "script-src": "'self'",
        "style-src": "'self'",
        "img-src": "'self' data: blob:",
        "connect-src": "'self'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "frame-ancestors": "'none'",
    }
    assert {name: value for name, value in HEADERS.items() if "Policy" not in name[-16:]} == {
        "X-Content-Type-Options": "nosniff",
        "Cache-Control": "no-store",
    }
    assert HEADERS["Referrer-Policy"] == "no-referrer"
    assert HEADERS["Cross-Origin-Resource-Policy"] == "same-origin"
    assert HEADERS["Cross-Origin-Opener-Policy"] == "same-origin"
    assert len(HEADERS) == 6
