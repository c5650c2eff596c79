"""What a request must be before anything looks at what it wants.

A page on this machine's loopback address can be reached by every other page in the user's browser
and by every other user of the machine. Host and Origin keep the first out, the token keeps out the
second. All of it is decided from the request line and the headers alone, here, without a socket.
"""

from __future__ import annotations

import hmac
import re
from email.message import Message
from typing import NamedTuple

from lawnmap.errors import LawnmapError

TOKEN_HEADER = "X-Lawnmap-Token"  # noqa: S105 - the name of the header, not a token
MOST_BODY = 5_000_000  # bytes

# Sent with every answer. Nothing inline may run, nothing may be framed, kept or sent on.
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


class Door(NamedTuple):
    """Where the server listens, and the token that opens it."""

    port: int
    token: str

    @property
    def hosts(self) -> tuple[str, str]:
        """What the header Host may say: these, letter for letter."""
        return f"127.0.0.1:{self.port}", f"localhost:{self.port}"


class Refusal(LawnmapError):
    """A request that is not answered; `status` is the HTTP status."""

    def __init__(self, status: int, problem: str) -> None:
        super().__init__(problem)
        self.status = status


def check_address(headers: Message, door: Door) -> None:
    """Check that the request was meant for this server and does not come from a foreign page.

    Raises
    ------
    Refusal
        400 without one Host, 421 for another's, 403 from another site.
    """
    hosts = headers.get_all("Host", [])
    if len(hosts) != 1:
        raise Refusal(400, "one Host is needed")
    if hosts[0] not in door.hosts:
        raise Refusal(421, "not a name of this server")
    if any(each not in {"same-origin", "none"} for each in headers.get_all("Sec-Fetch-Site", [])):
        raise Refusal(403, "from another site")


def check_token(headers: Message, door: Door) -> None:
    """Check the token, in constant time.

    Raises
    ------
    Refusal
        401.
    """
    given = headers.get_all(TOKEN_HEADER, [])
    if len(given) != 1 or not same(given[0], door.token):
        raise Refusal(401, "the token is missing or wrong")


def same(given: str, secret: str) -> bool:
    """Compare in constant time."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), secret.encode())


def check_write(headers: Message) -> int:
    """Check what may change something, and return the length of its body [byte].

    Raises
    ------
    Refusal
        403 from another origin, 415 for another kind of content, 400 or 411 for a length that is
        not one whole number, 413 for too much.
    """
    origins = headers.get_all("Origin", [])
    if origins != [f"http://{headers['Host']}"]:
        raise Refusal(403, "from another origin")
    kinds = headers.get_all("Content-Type", [])
    if len(kinds) != 1 or not re.fullmatch(
        r"application/json(?:; ?charset=utf-8)?", kinds[0], re.IGNORECASE
    ):
        raise Refusal(415, "only application/json is taken")
    if headers.get_all("Transfer-Encoding") or headers.get_all("Content-Encoding"):
        raise Refusal(400, "the body has to come as it is, with its length")
    lengths = headers.get_all("Content-Length", [])
    if not lengths:
        raise Refusal(411, "the length of the body is missing")
    if len(lengths) != 1 or not re.fullmatch(r"[0-9]{1,15}", lengths[0], re.ASCII):
        raise Refusal(400, "the length of the body is not a number")
    if int(lengths[0]) > MOST_BODY:
        raise Refusal(413, f"more than {MOST_BODY / 1e6:g} MB")
    return int(lengths[0])
