"""Raw requests, byte by byte: what is foreign, forged or malformed is refused; the server lives."""

import json
import socket
import threading
import time

import pytest

from lawnmap.errors import Busy, InputRefused
from lawnmap.web.guards import TOKEN_HEADER
from lawnmap.web.server import Asset, Server

KEPT = "a fact of the site"
RAW = pytest.mark.figure(17, "raw requests: answered as they must be, and nothing else done")


@pytest.fixture(scope="module")
def saved():
    return []


@pytest.fixture(scope="module")
def server(saved):
    def save(body):
        match body:
            case "busy":
                raise Busy("was changed elsewhere")
            case "bad":
                raise InputRefused("crosses itself", place="zone a")
            case "fault":
                raise ZeroDivisionError
        saved.append(body)
        return {"saved": len(saved)}

    made = Server(
        {"/": Asset("text/html; charset=utf-8", b"<title>page</title>")},
        {"/api/site": lambda _: {"secret": KEPT}},
        {"/api/save": save},
    )
    thread = threading.Thread(target=made.serve)
    thread.start()
    yield made
    made.shutdown()
    thread.join(timeout=10)


def ask(server, data, seconds=20):
    """Send bytes as they are; return the status, the head and the body of the first answer."""
    with socket.create_connection(("127.0.0.1", server.door.port), timeout=seconds) as line:
        line.sendall(data)
        line.shutdown(socket.SHUT_WR)
        answer = b""
        while piece := line.recv(65_536):
            answer += piece
    head, _, body = answer.partition(b"\r\n\r\n")
    status = int(head.split()[1]) if head.startswith(b"HTTP/1.1 ") else 0
    return status, head.decode("latin-1"), body


def request(server, method="GET", path="/", body=None, **changes):
    """Return a request as our page sends it, with headers changed; None leaves one out."""
    host = f"127.0.0.1:{server.door.port}"
    headers = {"Host": host}
    if path.startswith("/api"):
        headers["X-Lawnmap-Token"] = server.door.token
    if method == "POST":
        headers |= {
            "Origin": f"http://{host}",
            "Content-Type": "application/json",
            "Content-Length": str(len(body or b"")),
            "Sec-Fetch-Site": "same-origin",
        }
    lines = [f"{method} {path} HTTP/1.1"]
    for name, value in (headers | changes).items():
        values = value if isinstance(value, list) else [value]
        lines += [
            f"{name}: {each}".replace("PORT", str(server.door.port))
            for each in values
            if each is not None
        ]
    return ("\r\n".join(lines) + "\r\n\r\n").encode("latin-1") + (body or b"")


def test_our_own_page_is_served(server, saved):
    status, _, body = ask(server, request(server))
    assert (status, body) == (200, b"<title>page</title>")
    assert ask(server, request(server, Host="localhost:PORT"))[0] == 200
    status, _, body = ask(server, request(server, path="/api/site"))
    assert (status, json.loads(body)) == (200, {"result": {"secret": KEPT}})
    before = len(saved)
    status, _, body = ask(server, request(server, "POST", "/api/save", b'{"a":1}'))
    assert (status, len(saved)) == (200, before + 1)


@RAW
@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"Host": None}, 400),
        ({"Host": ["127.0.0.1:PORT", "127.0.0.1:PORT"]}, 400),
        ({"Host": "evil.example"}, 421),
        ({"Host": "evil.example:PORT"}, 421),
        ({"Host": "127.0.0.1"}, 421),
        ({"Host": "127.0.0.1:PORT.evil.example"}, 421),
        ({"Host": "127.0.0.1:1"}, 421),
        ({"Host": "LOCALHOST:PORT"}, 421),
        ({"Host": "[::1]:PORT"}, 421),
        ({"Host": ""}, 421),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Sec-Fetch-Site": ["same-origin", "cross-site"]}, 403),
    ],
)
@pytest.mark.parametrize("path", ["/", "/api/site"])
def test_addresses(server, path, changes, expected):
    status, head, body = ask(server, request(server, path=path, **changes))
    assert (status, body) == (expected, b"")
    assert "Access-Control" not in head


@RAW
@pytest.mark.parametrize(
    "path",
    [
        "/../etc/passwd", "/..%2f..%2fetc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/%252e%252e/x",
        "/static/../site.geojson", "/static-secret", "//etc/passwd", "/\\..\\x", "/site.geojson",
        "/api", "/api/", "/api/site/", "/API/SITE", "/api/site?t=1", "/?t=1", "/index.html",
        "/api%2fsite", "/.git/config", "/api/site#t=1", "http://127.0.0.1/", "*", "/\x00",
    ],
)  # fmt: skip
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_there_is_nothing_but_the_table(server, path, method):
    data = request(server, method, "/api/x", b"{}" if method == "POST" else None)
    status, head, body = ask(server, data.replace(b"/api/x", path.encode("latin-1"), 1))
    assert 400 <= status < 500
    assert body == b""
    assert "Location" not in head


@RAW
@pytest.mark.parametrize(
    "changes",
    [
        {"X-Lawnmap-Token": None},
        {"X-Lawnmap-Token": ""},
        {"X-Lawnmap-Token": "a" * 43},
        {"X-Lawnmap-Token": "\xff"},
        {"X-Lawnmap-Token": None, "Cookie": "t=TOKEN"},
        {"X-Lawnmap-Token": None, "Authorization": "Bearer TOKEN"},
        {"X-Lawnmap-Token": ["TOKEN", "TOKEN"]},
        {"X-Lawnmap-Token": "TOKENx"},
    ],
)
@pytest.mark.parametrize(("method", "path"), [("GET", "/api/site"), ("POST", "/api/save")])
def test_tokens(server, saved, method, path, changes):
    before = len(saved)
    data = request(server, method, path, b"{}" if method == "POST" else None, **changes)
    status, _, body = ask(server, data.replace(b"TOKEN", server.door.token.encode()))
    assert (status, body) == (401, b"")
    assert len(saved) == before


@RAW
@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"Origin": None}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "https://evil.example"}, 403),
        ({"Origin": "http://127.0.0.1:1"}, 403),
        ({"Origin": "http://localhost:PORT"}, 403),  # not the host that was asked
        ({"Origin": ["http://127.0.0.1:PORT", "http://evil.example"]}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Content-Type": None}, 415),
        ({"Content-Type": "text/plain"}, 415),
        ({"Content-Type": "application/x-www-form-urlencoded"}, 415),
        ({"Content-Type": "multipart/form-data; boundary=x"}, 415),
        ({"Content-Length": None}, 411),
        ({"Content-Length": "-1"}, 400),
        ({"Content-Length": "abc"}, 400),
        ({"Content-Length": "+2"}, 400),
        ({"Content-Length": "0x2"}, 400),
        ({"Content-Length": "٢".encode().decode("latin-1")}, 400),
        ({"Content-Length": ["2", "2"]}, 400),
        ({"Content-Length": "100000000000"}, 413),
        ({"Content-Length": "5000001"}, 413),
        ({"Transfer-Encoding": "chunked"}, 400),
        ({"Content-Encoding": "gzip"}, 400),
    ],
)
def test_writes(server, saved, changes, expected):
    before = len(saved)
    status, head, body = ask(server, request(server, "POST", "/api/save", b"{}", **changes))
    assert (status, body) == (expected, b"")
    assert "Connection: close" in head
    assert len(saved) == before


@RAW
@pytest.mark.parametrize(
    "body", [b"", b"{", b"NaN", b'{"a":1,"a":2}', b"[" * 100_000, b"\xff", b'{"a":1e400}', b"{}{}"]
)
def test_bodies_that_are_no_json(server, saved, body):
    before = len(saved)
    assert ask(server, request(server, "POST", "/api/save", body))[0] == 400
    assert len(saved) == before


@RAW
@pytest.mark.parametrize(
    ("body", "expected", "told"),
    [(b'"busy"', 409, "elsewhere"), (b'"bad"', 422, "zone a"), (b'"fault"', 500, "fault")],
)
def test_errors_are_told_in_words(server, body, expected, told):
    status, _, answer = ask(server, request(server, "POST", "/api/save", body))
    assert status == expected
    assert told in json.dumps(json.loads(answer)["error"])
    assert "ZeroDivision" not in answer.decode()


@RAW
@pytest.mark.parametrize(
    "method", ["PUT", "DELETE", "PATCH", "OPTIONS", "HEAD", "TRACE", "CONNECT"]
)
def test_other_methods(server, method):
    status, head, body = ask(server, request(server, method, "/api/save"))
    assert (status, body) == (405, b"")
    assert "Access-Control" not in head


@RAW
@pytest.mark.parametrize(
    "data",
    [
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(200),  # the beginning of TLS
        b"GET\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"\0\r\n\r\n", b"GET / HTTP/1.1\r\nbad\r\n\r\n",
        b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + b"A: b\r\n" * 200 + b"\r\n",
        b"GET / HTTP/0.9\r\n\r\n", b"GET /\r\n\r\n",
    ],
)  # fmt: skip
def test_what_is_no_request(server, data, capfd):
    ask(server, data)
    assert ask(server, request(server))[0] == 200  # alive afterwards
    assert capfd.readouterr() == ("", "")


def test_every_answer_has_the_headers(server, figure):
    wanted = (
        "X-Content-Type-Options: nosniff", "Referrer-Policy: no-referrer",
        "Cache-Control: no-store", "Cross-Origin-Resource-Policy: same-origin",
        "Cross-Origin-Opener-Policy: same-origin", "frame-ancestors 'none'",
        "default-src 'none'; script-src 'self';",
    )  # fmt: skip
    answers = [
        request(server),
        request(server, path="/api/site"),
        request(server, path="/none"),
        request(server, Host="evil.example"),
    ]
    for data in answers:
        head = ask(server, data)[1]
        assert [line for line in wanted if line not in head] == []
        assert "unsafe" not in head
        assert "Server:" not in head
        assert "Python" not in head
    figure(17, f"{len(wanted)} header checks on {len(answers)} kinds of answer: 0 missing")


def test_silent_connections_do_not_keep_others_out(server, figure):
    lines = [
        socket.create_connection(("127.0.0.1", server.door.port), timeout=5) for _ in range(20)
    ]
    try:
        for line in lines:
            line.sendall(b"POST /api/save HTTP/1.1\r\nHost: ")
        start = time.monotonic()
        assert ask(server, request(server))[0] == 200
        took = time.monotonic() - start
        assert took < 3
        figure(18, f"{len(lines)} silent connections: a good request answered in {took:.2f} s")
    finally:
        for line in lines:
            line.close()


def test_a_body_that_never_comes_is_given_up(server, monkeypatch):
    monkeypatch.setattr("lawnmap.web.server.BODY_S", 0.3)
    monkeypatch.setattr("lawnmap.web.server.Handler.timeout", 0.3)
    data = request(server, "POST", "/api/save", b"{}", **{"Content-Length": "900"})
    with socket.create_connection(("127.0.0.1", server.door.port), timeout=10) as line:
        line.sendall(data)
        assert line.recv(100) == b""


def test_the_token_is_in_the_fragment_and_new_each_time(server):
    before, _, fragment = server.address.partition("#")
    assert server.door.token in fragment
    assert server.door.token not in before
    other = Server({}, {}, {})
    other.server_close()
    assert other.door.token != server.door.token
    assert len(server.door.token) >= 43  # 32 random bytes


def entering(server, code):
    """Ask for the token with a code; only a request of our own page has the right headers."""
    asked = request(server, "POST", "/api/enter", json.dumps(code).encode(), **{TOKEN_HEADER: None})
    status, _, body = ask(server, asked)
    return status, json.loads(body)["result"] if body else None


def test_the_code_that_a_browser_is_started_with_lets_one_in_once():
    door = Server({}, {}, {})
    thread = threading.Thread(target=door.serve)
    thread.start()
    try:
        before, _, fragment = door.invitation.partition("#c=")
        assert before == f"http://127.0.0.1:{door.door.port}/"
        assert door.door.token not in door.invitation
        for wrong in ({"code": "x"}, {"code": None}, {"code": 5}, {}, [], {"code": "ü" * 43}):
            assert entering(door, wrong) == (401, None)
        foreign = request(
            door, "POST", "/api/enter", json.dumps({"code": fragment}).encode(), Origin="null"
        )
        assert ask(door, foreign)[0] == 403
        assert entering(door, {"code": fragment}) == (200, {"token": door.door.token})
        assert entering(door, {"code": fragment}) == (401, None)
        assert entering(door, {"code": ""}) == (401, None)
    finally:
        door.shutdown()
        thread.join(timeout=10)


def test_only_the_loopback_is_listened_on(server):
    assert server.server_address[0] == "127.0.0.1"


def test_it_stops_when_nobody_asks_any_more():
    idle = Server({}, {}, {}, idle_s=0.3)
    thread = threading.Thread(target=idle.serve)
    thread.start()
    thread.join(timeout=10)
    assert not thread.is_alive()
    with pytest.raises(OSError):
        socket.create_connection(("127.0.0.1", idle.door.port), timeout=1)


def test_the_log_holds_no_token(server, caplog, figure):
    caplog.set_level("DEBUG")
    ask(server, request(server, "POST", "/api/save", b'"fault"'))
    found = caplog.text.count(server.door.token)
    assert found == 0
    figure(17, f"log after a fault: {found} tokens")
