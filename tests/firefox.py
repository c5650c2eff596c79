"""Drive Debian's firefox-esr over WebDriver BiDi with nothing but the standard library."""

import base64
import json
import os
import socket
import struct
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import cycle
from pathlib import Path
from typing import Any

FIREFOX = "/usr/bin/firefox-esr"
OPTIONS = ["--headless", "--no-remote", "--remote-debugging-port", "0"]
FINAL_TEXT, MASKED = 0x81, 0x80  # RFC 6455, 5.2
EVENTS = ["log.entryAdded", "network.beforeRequestSent", "browsingContext.userPromptOpened"]
DISMISS = {"alwaysMatch": {"unhandledPromptBehavior": {"default": "dismiss"}}}
# BiDi is silent about files: what fails to load from disk is put on the console by this.
WATCH = """() => addEventListener("error", event => event.target !== window &&
  console.error("not loaded: " + (event.target.src || event.target.href)), true)"""
# Every host is behind a proxy that is not there; scroll bars take no room, as in Chromium.
PREFERENCES: dict[str, bool | int | str] = {
    **{f"network.proxy.{kind}": "127.0.0.1" for kind in ("http", "ssl", "socks")},
    **{f"network.proxy.{kind}_port": 1 for kind in ("http", "ssl", "socks")},
    "network.proxy.type": 1,
    "network.proxy.failover_direct": False,
    "network.proxy.allow_hijacking_localhost": True,
    "network.dns.disabled": True,
    "widget.gtk.overlay-scrollbars.enabled": True,
    "ui.useOverlayScrollbars": 1,
}


class Firefox:
    """One window; ``said`` has errors and console lines, ``asked`` the requests."""

    def __init__(self, port: int, timeout: float) -> None:
        self.said: list[str] = []
        self.asked: list[str] = []
        self.dialogs: list[str] = []
        self._count = 0
        self._socket = socket.create_connection(("127.0.0.1", port), timeout)
        self._in = self._socket.makefile("rb")
        self._socket.sendall(
            f"GET /session HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nUpgrade: websocket\r\n"
            "Connection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
            f"Sec-WebSocket-Key: {base64.b64encode(os.urandom(16)).decode()}\r\n\r\n".encode()
        )
        if b" 101 " not in (status := self._in.readline()):
            raise ConnectionError(f"no WebSocket: {status!r}")
        while self._in.readline().strip():
            pass
        self.call("session.new", capabilities=DISMISS)
        self.call("session.subscribe", events=EVENTS)
        self.call("script.addPreloadScript", functionDeclaration=WATCH)
        self._page: str = self.call("browsingContext.getTree")["contexts"][0]["context"]

    def close(self) -> None:
        self._in.close()
        self._socket.close()

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        """Send a BiDi command and return its result; events that come before it are kept."""
        self._count += 1
        self._send(json.dumps({"id": self._count, "method": method, "params": params}).encode())
        while (message := json.loads(self._receive())).get("id") != self._count:
            self._keep(message.get("method", ""), message.get("params", {}))
        if message["type"] == "error":
            raise RuntimeError(f"{method}: {message['error']}: {message['message']}")
        return dict(message["result"])

    def _send(self, data: bytes) -> None:
        # Firefox drops a connection whose lengths are not shortest, or whose mask is nought.
        size = len(data)
        if size < 126:
            head = struct.pack(">BB", FINAL_TEXT, MASKED | size)
        elif size < 2**16:
            head = struct.pack(">BBH", FINAL_TEXT, MASKED | 126, size)
        else:
            head = struct.pack(">BBQ", FINAL_TEXT, MASKED | 127, size)
        mask = os.urandom(4)
        masked = bytes(byte ^ key for byte, key in zip(data, cycle(mask), strict=False))
        self._socket.sendall(head + mask + masked)

    def _receive(self) -> bytes:
        message = b""
        while True:
            first, size = self._read(2)
            if size > 125:
                size = int.from_bytes(self._read(2 if size == 126 else 8), "big")
            data = self._read(size)
            if first & 15 == 8:
                raise ConnectionError("Firefox closed the connection")
            if first & 15 < 3:
                message += data
                if first & 128:
                    return message

    def _read(self, count: int) -> bytes:
        if len(data := self._in.read(count)) < count:
            raise ConnectionError("Firefox is gone")
        return data

    def _keep(self, event: str, params: dict[str, Any]) -> None:
        if event == "log.entryAdded":
            self.said.append(f"{params['level']}: {params['text']}")
        elif event == "browsingContext.userPromptOpened":
            self.dialogs.append(params["message"])
        elif event in EVENTS and not params["request"]["url"].startswith("data:"):
            self.asked.append(params["request"]["url"])  # data: has Firefox's own font of bullets

    def goto(self, url: str) -> None:
        self.call("browsingContext.navigate", context=self._page, url=url, wait="complete")

    def size(self, width: int, height: int) -> None:
        view = {"width": width, "height": height}
        self.call("browsingContext.setViewport", context=self._page, viewport=view)

    def evaluate(self, expression: str) -> Any:
        """Return the value of a JavaScript expression (awaited), by way of JSON."""
        code = f"(async () => JSON.stringify(await ({expression})))()"
        where = {"context": self._page}
        got = self.call("script.evaluate", expression=code, target=where, awaitPromise=True)
        if got["type"] == "exception":
            raise RuntimeError(got["exceptionDetails"]["text"])
        return json.loads(got["result"].get("value", "null"))

    def click(self, selector: str) -> None:
        """Scroll to the first such element and click its middle as a mouse does."""
        found = f"document.querySelector({json.dumps(selector)})"
        self.evaluate(f"{found}.scrollIntoView({{block: 'center'}})")
        locator = {"type": "css", "value": selector}
        found = self.call("browsingContext.locateNodes", context=self._page, locator=locator)
        origin = {"type": "element", "element": {"sharedId": found["nodes"][0]["sharedId"]}}
        move = {"type": "pointerMove", "x": 0, "y": 0, "origin": origin}
        button = [{"type": kind, "button": 0} for kind in ("pointerDown", "pointerUp")]
        self._act({"type": "pointer", "id": "mouse", "actions": [move, *button]})

    def press(self, keys: str) -> None:
        r"""Press keys one after another, special ones as WebDriver has them (Tab: "\ue004")."""
        steps = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        self._act({"type": "key", "id": "keyboard", "actions": steps})

    def _act(self, source: dict[str, Any]) -> None:
        self.call("input.performActions", context=self._page, actions=[source])

    def screenshot(self, origin: str = "viewport") -> bytes:
        """Return a PNG of the window, or of the whole page by ``document``."""
        shot = self.call("browsingContext.captureScreenshot", context=self._page, origin=origin)
        return base64.b64decode(shot["data"])

    def pdf(self, **asked: Any) -> bytes:
        """Print as the page's own @page rules say, with backgrounds; ``page`` sets paper in cm."""
        given = {"context": self._page, "background": True, **asked}
        printed = self.call("browsingContext.print", **given)
        return base64.b64decode(printed["data"])


@contextmanager
def firefox(binary: str = FIREFOX, timeout: float = 60.0) -> Iterator[Firefox]:
    """Start a headless Firefox in a profile of its own and end it."""
    with tempfile.TemporaryDirectory(prefix="firefox-", ignore_cleanup_errors=True) as folder:
        home = Path(folder)
        lines = [f"user_pref({json.dumps(k)}, {json.dumps(v)});" for k, v in PREFERENCES.items()]
        (home / "user.js").write_text("\n".join(lines), encoding="utf-8")
        command = [binary, *OPTIONS, "--profile", folder]
        with (
            (home / "log").open("wb") as out,
            subprocess.Popen(
                command, env={**os.environ, "HOME": folder}, stdout=out, stderr=out
            ) as process,
        ):
            try:
                with closing(Firefox(_port(home, process, timeout), timeout)) as page:
                    yield page
            finally:
                process.kill()


def _port(home: Path, process: subprocess.Popen[bytes], timeout: float) -> int:
    """Return the port that Firefox writes into its profile once it listens."""
    written = home / "WebDriverBiDiServer.json"
    end = time.monotonic() + timeout
    while not (written.exists() and written.stat().st_size):
        if process.poll() is not None or time.monotonic() > end:
            raise ConnectionError(f"Firefox did not start: {(home / 'log').read_text()[-800:]}")
        time.sleep(0.05)
    return int(json.loads(written.read_text(encoding="utf-8"))["ws_port"])
