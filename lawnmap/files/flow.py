"""A guarded child that pours: bytes come out of it while it works, as much as there is.

For tables of more rows than fit into memory. The child has all the guards of
:mod:`lawnmap.files.child` but three: it opens a file where it lies, by a link under a name of our
choosing, since 4 GB are not copied for every look; it may work for hours, and is stopped only when
it hands over nothing for a while; and what comes out is not JSON, so whoever reads it checks it.
"""

from __future__ import annotations

import contextlib
import io
import tempfile
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, cast

from lawnmap.errors import InputRefused
from lawnmap.files import child, json_text, platform
from lawnmap.files.answer import Allowance, function_of, lock_door, own_output, told_of

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Iterator, Mapping

STALLED_S = 60
# Two days of computing: more than 4 GB ever took, and an end to what has none.
ALLOWANCE = Allowance(cpu_s=172_800, wall_s=STALLED_S)
WATCH_S = 0.2
TOLD = "told.json"
MOST_TOLD = 1_000_000
START = (
    "import json, sys; request = json.load(sys.stdin.buffer); sys.path[:] = request['path']; "
    "from lawnmap.files.flow import pour; pour(request)"
)


@contextlib.contextmanager
def poured(
    function: str,
    path: Path,
    name: str,
    arguments: Mapping[str, Any],
    *,
    environment: Mapping[str, str],
    allowance: Allowance = ALLOWANCE,
) -> Iterator[BinaryIO]:
    """Give what a function in a guarded child writes, while it writes it.

    Parameters
    ----------
    function : str
        ``package.module:name``, called with a binary stream, `name` as ``file``, and `arguments`.
    path : Path
        The one file it may want to open.
    name : str
        What that file is called for the child.
    arguments : mapping
        As JSON has them.
    environment : mapping
        Variables that must be set before a library is imported.
    allowance : Allowance
        Its `wall_s` is the longest that the child may keep us waiting for a byte.

    Raises
    ------
    InputRefused
        When the child keeps us waiting too long, needs too much memory or crashes.
    LawnmapError
        Raised in the child: the same class with the same fields.
    """
    with tempfile.TemporaryDirectory(prefix="lawnmap-", ignore_cleanup_errors=True) as made:
        folder = Path(made)
        (folder / "files").mkdir()
        arguments = {**arguments, "file": _linked(folder / "files" / name, path)}
        child.request_of(folder, function, arguments, allowance)
        process = child.launch(folder, START, environment, output=child.PIPE)
        flow = _Flow(process, allowance)
        try:
            yield cast("BinaryIO", flow)
            flow.end(folder / TOLD)
        except Exception:
            # A stream that stops short is read as damaged; why it stopped is nearer to the cause.
            flow.end(folder / TOLD, broken=True)
            raise
        finally:
            flow.close()


def _linked(link: Path, path: Path) -> str:
    """Return the plain name of a file, or its path where the system lets nobody make links."""
    try:
        link.symlink_to(path.resolve())
    except OSError:
        return str(path.resolve())
    return link.name


class _Flow(io.RawIOBase):
    """The child's output, with somebody watching for as long as we wait for it."""

    def __init__(self, process: subprocess.Popen[bytes], allowance: Allowance) -> None:
        super().__init__()
        self._process = process
        self._allowance = allowance
        self._waiting: float | None = None
        self._stopped = ""
        self._at_end = False
        self._done = threading.Event()
        threading.Thread(target=self._watch, daemon=True).start()

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        self._waiting = time.monotonic()
        try:
            many = cast("io.BufferedReader", self._process.stdout).readinto(buffer)
        finally:
            self._waiting = None
        self._at_end = self._at_end or many == 0
        return many

    def _watch(self) -> None:
        """Stop a child that keeps us waiting, or grows."""
        while not self._done.wait(WATCH_S):
            since = self._waiting
            if since is not None and time.monotonic() - since > self._allowance.wall_s:
                self._stop("time")
            elif (platform.resident_bytes(self._process.pid) or 0) > self._allowance.memory_bytes:
                self._stop("memory")

    def _stop(self, reason: str) -> None:
        self._stopped = reason
        self._done.set()
        child.kill(self._process)

    def end(self, told: Path, *, broken: bool = False) -> None:
        """Raise what went wrong in the child, if all it had to say was listened to."""
        if not (self._at_end or self._stopped or broken):
            return
        if not self._at_end and not self._stopped:  # damaged bytes; it may hang as well
            child.kill(self._process)
        code = self._process.wait()
        if told.is_file():
            child.raise_told(_read(told), self._allowance)
        if self._stopped or (code and self._at_end):
            reason = self._stopped or child.signal_name(-code) or f"exit code {code}"
            raise child.refusal(reason, self._allowance)

    def close(self) -> None:
        """End the child, whatever it is doing."""
        self._done.set()
        child.kill(self._process)
        cast("BinaryIO", self._process.stdout).close()
        super().close()


def _read(path: Path) -> dict[str, Any]:
    """Parse what the child told as strictly as a plan: whatever read the hostile bytes wrote it."""
    with contextlib.suppress(InputRefused), path.open("rb") as stream:
        told = json_text.loads(stream.read(MOST_TOLD), name="")
        if isinstance(told, dict):
            return told
    return {"fault": "an answer out of form"}


# Inside the child --------------------------------------------------------------------------------


def pour(request: Mapping[str, Any]) -> None:
    """Lock the door and let the function write. Runs inside the child only."""
    lock_door(Allowance(*request["allowance"]))
    with own_output() as stream:
        try:
            function_of(request)(stream, **request["arguments"])
        except BrokenPipeError:  # nobody listens any more
            return
        except Exception as error:  # noqa: BLE001  (the outer net of whatever runs in here)
            Path("..", TOLD).write_bytes(told_of(error))
