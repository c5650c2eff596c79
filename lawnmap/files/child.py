"""The guarded child: one function in a fresh interpreter with no network and little to spend.

Libraries that read hostile bytes in C, and geometry that may never end, run here. The child gets
private copies of the bytes under names we chose, in a folder of its own that is removed afterwards,
a clean environment, limits, and no network; what it hands back is plain JSON. If it hangs, grows or
crashes, a person reads one line and the program goes on.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, NoReturn

from lawnmap import errors
from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files import json_text, platform
from lawnmap.files.answer import Allowance
from lawnmap.files.commit import write_failed

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


WATCH_S = 0.2
PIPE = subprocess.PIPE
REMEDY = "Export the plan again, cut down to the site, or in another format."

# Reads the request before anything else, since it says where lawnmap is to be found. -I keeps the
# caller's variables, start-up files and the working folder out; -B leaves no bytecode behind.
FLAGS = ("-I", "-B", "-X", "utf8")
START = (
    "import json, sys; request = json.load(sys.stdin.buffer); sys.path[:] = request['path']; "
    "from lawnmap.files.answer import answer; answer(request)"
)

# How the system finds the interpreter's own libraries; everything else of the caller's is left out.
KEPT = ("PATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "SYSTEMROOT")

ENVIRONMENT = {
    "LC_ALL": "C.UTF-8",
    # Each thread books address space, which is limited.
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MALLOC_ARENA_MAX": "2",
    # The second lock on the network, and the only one where the system offers no first.
    "PROJ_NETWORK": "OFF",
    "GDAL_HTTP_PROXY": "127.0.0.1:1",
    "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".none",
    "CPL_ALLOW_VSISTDIN": "NO",
    # No drivers from outside GDAL, no program in a file, no second file named by a first.
    "GDAL_DRIVER_PATH": "disable",
    "GDAL_VRT_ENABLE_PYTHON": "NO",
    "OGR_SQLITE_ALLOW_EXTERNAL_ACCESS": "NO",
}


class ChildError(RuntimeError):
    """What went wrong inside a child: the kind of exception and its frames, none of the data."""


def run(
    function: str,
    files: Mapping[str, bytes] | None = None,
    arguments: Mapping[str, Any] | None = None,
    *,
    seconds: float = Allowance().wall_s,
    cpu_s: int = Allowance().cpu_s,
    environment: Mapping[str, str] | None = None,
    without: Sequence[str] = (),
) -> Any:
    """Call a function in a guarded child process and return what it returns.

    Parameters
    ----------
    function : str
        ``package.module:name``. It is called in the folder that holds `files`.
    files : mapping of str to bytes, optional
        What it may read, by names of our choosing.
    arguments : mapping, optional
        Keyword arguments, as JSON has them.
    seconds : float
        The longest it may take [s], computing and waiting together.
    cpu_s : int
        The longest it may compute [s], where the system keeps count.
    environment : mapping, optional
        Variables that must be set before a library is imported.
    without : sequence of str, optional
        Packages that are not there for it, though they are installed.

    Returns
    -------
    Any
        As JSON has it: tuples come back as lists.

    Raises
    ------
    InputRefused
        When the child takes too long, needs too much memory, writes too much, crashes, or meets an
        exception that is not lawnmap's own (its frames are the cause).
    LawnmapError
        Raised in the child: the same class with the same fields.
    WriteFailed
        When the system's folder for what passes is full, or not to be written to.
    """
    allowance = Allowance()._replace(
        wall_s=seconds, cpu_s=min(Allowance().cpu_s, math.ceil(seconds), cpu_s)
    )
    try:
        with tempfile.TemporaryDirectory(prefix="lawnmap-", ignore_cleanup_errors=True) as name:
            folder = Path(name)
            _hand_over(folder, files or {})
            request_of(folder, function, arguments or {}, allowance, without=without)
            stopped, code = _started(folder, allowance, environment or {})
            return _understood(folder / "answer.json", stopped, code, allowance)
    except LawnmapError:
        raise
    except OSError as error:  # nothing is wrong with the input: there is no place to hand it over
        raise write_failed(Path("temporary folder"), error) from error


def request_of(
    folder: Path,
    function: str,
    arguments: Mapping[str, Any],
    allowance: Allowance,
    *,
    without: Sequence[str] = (),
) -> None:
    """Write down what a child is asked, where it is started from."""
    request = {
        "path": [os.path.abspath(entry) for entry in sys.path],  # noqa: PTH100  ("" is the folder we are in)
        "function": function,
        "arguments": dict(arguments),
        "allowance": allowance,
        "without": list(without),
    }
    (folder / "request.json").write_text(json.dumps(request), encoding="ascii")


def bounds() -> dict[str, Any]:
    """Return what keeps a child in bounds here, asked of a child (``platform.bounds``)."""
    told: dict[str, Any] = run("lawnmap.files.platform:bounds")
    return told


def _hand_over(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write private copies under plain names, so that no name can mean anything to a library."""
    inside = folder / "files"
    inside.mkdir()
    for name, data in files.items():
        if not re.fullmatch(r"[a-z0-9_]+\.[a-z0-9]+", name):
            raise ValueError(f"not a plain name: {name!r}")
        (inside / name).write_bytes(data)


def _started(folder: Path, allowance: Allowance, environment: Mapping[str, str]) -> tuple[str, int]:
    """Run the child to its end; return why it was stopped ("" if it was not) and its exit code."""
    with (folder / "answer.json").open("wb") as answer_file:
        process = launch(folder, START, environment, output=answer_file)
        try:
            stopped = _watched(process, allowance)
        finally:
            kill(process)
    return stopped, process.returncode


def launch(
    folder: Path, start: str, environment: Mapping[str, str], *, output: IO[bytes] | int
) -> subprocess.Popen[bytes]:
    """Start a child in ``files`` of its own folder, its request on standard input.

    Parameters
    ----------
    folder : Path
        Holds ``request.json`` and the folder ``files``.
    start : str
        Program text: the first that runs.
    environment : mapping
        Variables beside those that every child gets.
    output : file or int
        Where its standard output goes.

    Raises
    ------
    LawnmapError
        When the system does not start it.
    """
    temporary = dict.fromkeys(("HOME", "TMPDIR", "TEMP", "TMP"), str(folder))
    kept = {name: os.environ[name] for name in KEPT if name in os.environ}
    with (folder / "request.json").open("rb") as request:
        try:
            return subprocess.Popen(  # noqa: S603  (our own interpreter, fixed words)
                [sys.executable, *FLAGS, "-c", start],
                stdin=request,
                stdout=output,
                stderr=subprocess.DEVNULL,
                cwd=folder / "files",
                env=ENVIRONMENT | kept | temporary | dict(environment),
                start_new_session=True,
            )
        except OSError as error:
            raise LawnmapError(
                f"the guarded process cannot be started ({error.strerror})"
            ) from error


def _watched(process: subprocess.Popen[bytes], allowance: Allowance) -> str:
    """Wait until the child ends or has to be stopped; return why."""
    end = time.monotonic() + allowance.wall_s
    while True:
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(timeout=WATCH_S)
            return ""
        if time.monotonic() > end:
            return "time"
        if (platform.resident_bytes(process.pid) or 0) > allowance.memory_bytes:
            return "memory"


def kill(process: subprocess.Popen[bytes]) -> None:
    """End the child and all it started, if it has not ended by itself."""
    if process.poll() is not None:
        return
    if hasattr(os, "killpg"):
        os.killpg(process.pid, signal.SIGKILL)
    else:
        process.kill()
    process.wait()


def _understood(path: Path, stopped: str, code: int, allowance: Allowance) -> Any:
    """Turn a finished child into its value or into an error in words."""
    reason = stopped or signal_name(-code) or (f"exit code {code}" if code else "")
    if not reason and path.stat().st_size > allowance.output_bytes:
        reason = "output"
    if reason:
        raise refusal(reason, allowance)
    told = _told(path.read_bytes())
    if "value" not in told:
        raise_told(told, allowance)
    return told["value"]


def raise_told(told: Mapping[str, Any], allowance: Allowance) -> NoReturn:
    """Raise what a child told went wrong."""
    if "refused" in told:
        raise carried(told["refused"])
    raise refusal(str(told.get("fault")), allowance) from ChildError(str(told.get("frames")))


def _told(data: bytes) -> dict[str, Any]:
    """Parse an answer as strictly as a plan: whatever read the hostile bytes wrote it."""
    with contextlib.suppress(InputRefused):
        told = json_text.loads(data, name="")
        if isinstance(told, dict):
            return told
    return {"fault": "an answer out of form"}


def signal_name(number: int) -> str:
    """Return the name of the signal that ended the child, "" when none did."""
    if number <= 0:
        return ""
    name = signal.Signals(number).name
    return "computing" if name == "SIGXCPU" else name


def refusal(reason: str, allowance: Allowance) -> InputRefused:
    """Return the error for a child that was stopped, crashed or met a fault, in words."""
    memory, output = allowance.memory_bytes / 1e9, allowance.output_bytes / 1e6
    words = {
        "time": f"took more than {allowance.wall_s:g} s and was stopped",
        "computing": f"took more than {allowance.cpu_s} s of computing and was stopped",
        "memory": f"needed more than {memory:g} GB of memory and was stopped",
        "output": f"came out larger than {output:g} MB and was stopped",
    }
    if reason.startswith("SIG"):
        return InputRefused(f"made the library behind it crash ({reason})", remedy=REMEDY)
    return InputRefused(words.get(reason, f"could not be read ({reason})"), remedy=REMEDY)


def carried(fields: Any) -> LawnmapError:
    """Make a LawnmapError again from what the child wrote of it."""
    fields = fields if isinstance(fields, dict) else {}
    kinds: dict[str, type[LawnmapError]] = {name: getattr(errors, name) for name in errors.__all__}
    kind = kinds.get(str(fields.get("class")), InputRefused)
    kept = {name: str(fields.get(name, "")) for name in ("file", "place", "done", "remedy")}
    return kind(str(fields.get("problem")), **kept)
