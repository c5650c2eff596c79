"""What a hostile file is baited with: an address that listens, a secret, a thing code would make.

Every address in the set leads to the canary, every path to the secret, every piece of code in a
name makes the trap's folder. A run that takes any of the three baits is seen.
"""

import contextlib
import inspect
import socket
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

MARK = "CANARY-8241-ELM"
PRIVATE = "PRIV-8241"  # what a camera wrote of who and where


@dataclass(frozen=True)
class Bait:
    """The baits of one test.

    Attributes
    ----------
    port : int
        Where the canary listens on this machine.
    secret : Path
        A file that only :data:`MARK` stands in, as a table of one column.
    trap : Path
        Is not there, unless code in a file was run.
    hits : list
        One entry for each knock at the canary.
    """

    port: int
    secret: Path
    trap: Path
    hits: list = field(default_factory=list)

    @property
    def url(self):
        """The address of the canary."""
        return f"http://127.0.0.1:{self.port}/plan.geojson"

    def made(self, data):
        """Return bytes, or what a function makes, with baits filled in.

        A function that asks for the bait fills it in itself: in what is packed or counts its own
        bytes it cannot be put in afterwards.
        """
        if callable(data) and inspect.signature(data).parameters:
            return data(self)
        return self.filled(data() if callable(data) else data)

    def filled(self, data):
        """Return `data` with ``@URL@``, ``@PORT@``, ``@SECRET@`` and ``@TRAP@`` filled in."""
        for name, value in (
            ("URL", self.url),
            ("PORT", self.port),
            ("SECRET", self.secret),
            ("TRAP", self.trap),
        ):
            data = data.replace(f"@{name}@".encode(), str(value).encode())
        return data


@contextlib.contextmanager
def laid(folder):
    """Lay the baits in a folder, with a canary that listens until the end."""
    secret = folder / "secret.csv"
    secret.write_text(f"key\n{MARK}\n", encoding="utf-8")
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.1)
    bait = Bait(server.getsockname()[1], secret, folder / "trap")
    done = threading.Event()

    def wait():
        while not done.is_set():
            try:
                caller, _ = server.accept()
            except TimeoutError:
                continue
            bait.hits.append(time.monotonic())
            caller.close()

    thread = threading.Thread(target=wait)
    thread.start()
    try:
        yield bait
    finally:
        done.set()
        thread.join()
        server.close()


def heard(bait, seconds=0.3):
    """Wait so long for a knock, and return whether there was one."""
    end = time.monotonic() + seconds
    while not bait.hits and time.monotonic() < end:
        time.sleep(0.01)
    return bool(bait.hits)
