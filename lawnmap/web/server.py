"""A server for one user on one machine: a fixed table of routes behind the guards.

The standard library's server is enough. It answers what stands in the table and nothing else: no
files by path, no listing, no redirect, no page of its own for an error.
"""

from __future__ import annotations

import logging
import secrets
import socket
import threading
import time
from collections.abc import Callable, Mapping
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any, NamedTuple

from lawnmap.errors import Busy, LawnmapError
from lawnmap.files import json_text
from lawnmap.web import guards
from lawnmap.web.guards import Door, Refusal

LOOPBACK = "127.0.0.1"
BODY_S = 15.0  # for a request to arrive whole
IDLE_S = 1_800.0  # without a request; an open page asks once a minute
LOOK_S = 0.5
ENTER = "/api/enter"  # the one thing that may be asked without the token

log = logging.getLogger(__name__)


class Asset(NamedTuple):
    """Bytes that hold nothing of the site, and so need no token."""

    kind: str
    data: bytes


Answer = Callable[[Any], Any]  # takes the body as JSON has it (None for a GET), gives JSON


class Server(ThreadingHTTPServer):
    """Serves assets to anyone on this machine and answers to whoever has the token.

    Parameters
    ----------
    assets : mapping of str to Asset
        By exact path.
    looks, writes : mapping of str to callable
        What answers a GET and a POST, by exact path.
    """

    daemon_threads = True
    block_on_close = False
    request_queue_size = 64

    def __init__(
        self,
        assets: Mapping[str, Asset],
        looks: Mapping[str, Answer],
        writes: Mapping[str, Answer],
        *,
        idle_s: float = IDLE_S,
    ) -> None:
        super().__init__((LOOPBACK, 0), Handler)
        self.assets, self.looks, self.writes = assets, looks, writes
        self.door = Door(self.server_address[1], secrets.token_urlsafe(32))
        self._code, self._entering = secrets.token_urlsafe(32), threading.Lock()
        self.idle_s = idle_s
        self.heard = time.monotonic()

    @property
    def invitation(self) -> str:
        """Address for a program to open, with a code that lets the first who comes in, once.

        Other users of the machine may read a program's command line.
        """
        return f"http://{LOOPBACK}:{self.door.port}/#c={self._code}"

    def enter(self, given: Any) -> dict[str, str]:
        """Give the token for the code of the invitation.

        Raises
        ------
        Refusal
            401 for a wrong code, or one that was used.
        """
        code = given.get("code") if isinstance(given, dict) else None
        with self._entering:
            if not self._code or not isinstance(code, str) or not guards.same(code, self._code):
                raise Refusal(401, "the code is wrong or was used")
            self._code = ""
        return {"token": self.door.token}

    @property
    def address(self) -> str:
        """Address to open, the token in its fragment: a browser never sends that anywhere."""
        return f"http://{LOOPBACK}:{self.door.port}/#t={self.door.token}"

    def serve(self) -> None:
        """Answer until nothing was asked for the idle time, or :meth:`shutdown` is called."""
        threading.Thread(target=self._watch, daemon=True).start()
        try:
            self.serve_forever(poll_interval=LOOK_S)
        finally:
            self.server_close()

    def _watch(self) -> None:
        while time.monotonic() - self.heard < self.idle_s:
            time.sleep(min(LOOK_S, self.idle_s))
        self.shutdown()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Keep quiet: a connection that broke off does not belong on the terminal."""


class Handler(BaseHTTPRequestHandler):
    """One connection."""

    server: Server
    protocol_version = "HTTP/1.1"
    timeout = BODY_S
    server_version = sys_version = ""

    def do_GET(self) -> None:
        """Answer with an asset, or with what the table has for those with the token."""
        self._answer(self._got)

    def do_POST(self) -> None:
        """Take a body and answer."""
        self._answer(self._posted)

    def _answer(self, work: Callable[[], Asset]) -> None:
        self.server.heard = time.monotonic()
        try:
            guards.check_address(self.headers, self.server.door)
            asset, status = work(), 200
        except Refusal as error:
            # What follows on this connection may be a body that nobody read.
            self.close_connection = True
            asset, status = Asset("text/plain", b""), error.status
        except LawnmapError as error:
            asset, status = _told(error), 409 if isinstance(error, Busy) else 422
        except (TimeoutError, ConnectionError):
            self.close_connection = True
            return
        except Exception:
            log.exception("a request was not answered")
            asset, status = _json({"error": {"problem": "a fault in lawnmap; see its log"}}), 500
        self._send(status, asset)

    def _got(self) -> Asset:
        if self.path in self.server.assets:
            return self.server.assets[self.path]
        answer = self.server.looks.get(self.path)
        if answer is None:
            raise Refusal(404, "there is no such page")
        guards.check_token(self.headers, self.server.door)
        return _json({"result": answer(None)})

    def _posted(self) -> Asset:
        answer = self.server.enter if self.path == ENTER else self.server.writes.get(self.path)
        if answer is None:
            raise Refusal(404, "there is no such page")
        if self.path != ENTER:
            guards.check_token(self.headers, self.server.door)
        length = guards.check_write(self.headers)
        try:
            given = json_text.loads(self._body(length), name="")
        except LawnmapError as error:
            raise Refusal(400, error.problem) from error
        return _json({"result": answer(given)})

    def _body(self, length: int) -> bytes:
        """Read a body piece by piece: one that drips in for ever is given up."""
        end = time.monotonic() + BODY_S
        body = b""
        while len(body) < length:
            piece = self.rfile.read1(min(65_536, length - len(body)))
            if not piece or time.monotonic() > end:
                raise ConnectionError
            body += piece
        return body

    def _send(self, status: int, asset: Asset) -> None:
        self.send_response_only(status)
        for name, value in guards.HEADERS.items():
            self.send_header(name, value)
        self.send_header("Content-Type", asset.kind)
        self.send_header("Content-Length", str(len(asset.data)))
        if self.close_connection:
            self.send_header("Connection", "close")
        self.end_headers()
        self.wfile.write(asset.data)

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:  # noqa: ARG002
        """Answer what is no HTTP, or no method of ours, with a status and nothing more."""
        self.close_connection = True
        self._send(405 if code == 501 else code, Asset("text/plain", b""))  # noqa: PLR2004

    def handle(self) -> None:
        """Serve the connection; one that breaks off is nobody's trouble."""
        try:
            super().handle()
        except (ConnectionError, TimeoutError, socket.timeout):  # noqa: UP041
            self.close_connection = True

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002
        """Say nothing: the terminal is the user's, and a request line might hold a secret."""


def _json(data: Any) -> Asset:
    return Asset("application/json", json_text.dumps(data).encode("utf-8"))


def _told(error: LawnmapError) -> Asset:
    """Return an error in its parts, with its place on the map and what else it carries, if any."""
    fields = ("file", "place", "problem", "done", "remedy")
    told = {name: getattr(error, name) for name in fields}
    on_map = {"at": None, "key": None, **getattr(error, "more", {})}
    return _json({"error": {**told, **on_map}, **getattr(error, "beside", {})})
