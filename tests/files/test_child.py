"""The guarded child: what a hostile or broken function can and cannot do in it."""

import errno
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import textwrap
import threading
import time
from pathlib import Path

import pytest

from lawnmap import errors
from lawnmap.errors import InputRefused, LawnmapError, LayerNeeded, SiteDamaged, WriteFailed
from lawnmap.files import child, platform
from lawnmap.files.answer import Allowance

FUNCTIONS = """
import ctypes, os, pathlib, signal, socket, subprocess, sys, tempfile, time

def echo(**arguments):
    return arguments

def seen():
    return {
        "names": sorted(path.name for path in pathlib.Path().iterdir()),
        "bytes": [len(path.read_bytes()) for path in sorted(pathlib.Path().iterdir())],
        "temporary": tempfile.gettempdir(),
        "environment": dict(os.environ),
    }

def hang():
    time.sleep(600)

def hang_in_a_grandchild(mark):
    other = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
    pathlib.Path(mark).write_text(str(other.pid))
    other.wait()

def compute():
    while True:
        pass

def hog():
    held = []
    while True:
        held.append(bytes(200_000_000))

def crash(number):
    os.kill(os.getpid(), number)

def bad_pointer():
    ctypes.string_at(1)

def leave(code):
    os._exit(code)

def fill_disk():
    with open("large", "wb") as stream:
        for _ in range(300):
            stream.write(bytes(1_000_000))

def say_much(length):
    return "x" * length

def print_much():
    print("not JSON", flush=True)
    os.write(1, b"not JSON either")
    return "said"

def litter():
    pathlib.Path("litter.txt").write_text("left behind")
    pathlib.Path(tempfile.gettempdir(), "more.txt").write_text("left behind")
    return os.getcwd()

def refuse(kind, **fields):
    from lawnmap import errors
    raise getattr(errors, kind)("was wrong", **fields)

def refuse_in_own_words():
    from lawnmap.errors import LayerNeeded
    class OutsideError(LayerNeeded):
        pass
    raise OutsideError("was wrong")

def fail():
    raise KeyError("12 Elm Row")

def impossible(what):
    return {"nan": float("nan"), "set": {1}, "surrogate": "\\ud800"}[what]

def forge(text):
    from lawnmap.files import answer
    answer._answered = lambda request, allowance: text.encode()
    frame = sys._getframe()
    while "stream" not in frame.f_locals:
        frame = frame.f_back
    frame.f_locals["stream"].write(text.encode())
    frame.f_locals["stream"].flush()
    os._exit(0)

def connect(port):
    try:
        socket.create_connection(("127.0.0.1", port), timeout=2).close()
    except OSError as error:
        return type(error).__name__
    return "reached"

def fetch(port):
    import pyogrio
    pyogrio.set_gdal_config_options(
        # Both softer locks undone: the one under test is the system's.
        {"GDAL_HTTP_PROXY": "", "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".geojson"}
    )
    try:
        pyogrio.read_info(f"/vsicurl/http://127.0.0.1:{port}/plan.geojson")
    except Exception as error:
        return type(error).__name__
    return "read"

def look_into(file):
    import pyogrio.raw
    try:
        return [str(value) for value in pyogrio.raw.read(file)[3][0]]
    except Exception as error:
        return type(error).__name__
"""


@pytest.fixture(autouse=True)
def functions(tmp_path, monkeypatch):
    """Put the functions above where a child finds them, and watch the folder for leftovers."""
    home = tmp_path / "modules"
    home.mkdir()
    (home / "inside.py").write_text(FUNCTIONS)
    monkeypatch.syspath_prepend(home)
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(temporary))
    yield temporary
    assert list(temporary.iterdir()) == []


@pytest.fixture
def listener():
    """Count who knocks at a port of this machine."""
    hits = []
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.1)
    done = threading.Event()

    def wait():
        while not done.is_set():
            try:
                server.accept()[0].close()
            except TimeoutError:
                continue
            hits.append(1)

    thread = threading.Thread(target=wait)
    thread.start()
    yield server.getsockname()[1], hits
    done.set()
    thread.join()
    server.close()


def heard(hits, seconds=5):
    """Wait for the first knock, so long at most."""
    end = time.monotonic() + seconds
    while not hits and time.monotonic() < end:
        time.sleep(0.01)
    return bool(hits)


def refusal(function, **options):
    with pytest.raises(InputRefused) as caught:
        child.run(f"inside:{function}", **options)
    assert "Traceback" not in str(caught.value)
    assert caught.value.remedy
    return caught.value


# What goes in and comes out ----------------------------------------------------------------------


def test_arguments_and_value_are_json():
    given = {"text": "Süd é \u202e", "number": 0.1 + 0.2, "none": None, "nested": [[1, [True]]]}
    assert child.run("inside:echo", arguments=given) == given


def test_files_are_private_copies_in_a_folder_of_their_own():
    seen = child.run("inside:seen", {"plan.shp": b"12345", "plan.dbf": b""})
    assert seen["names"] == ["plan.dbf", "plan.shp"]
    assert seen["bytes"] == [0, 5]
    assert seen["temporary"].startswith(tempfile.tempdir)


@pytest.mark.parametrize(
    "name", ["../plan.shp", "/plan.shp", "plan", "a b.shp", "PLAN.SHP", ".shp"]
)
def test_only_plain_names_are_handed_over(name):
    with pytest.raises(ValueError, match="not a plain name"):
        child.run("inside:seen", {name: b""})


def test_nothing_of_the_caller_s_environment_comes_along(monkeypatch):
    for name in (
        "PYTHONSTARTUP",
        "PYTHONPATH",
        "GDAL_CONFIG_FILE",
        "OGR_SKIP",
        "http_proxy",
        "SECRET",
    ):
        monkeypatch.setenv(name, "12 Elm Row")
    environment = child.run("inside:seen", environment={"OGR_SKIP": "WFS"})["environment"]
    assert "12 Elm Row" not in environment.values()
    assert environment["OGR_SKIP"] == "WFS"
    assert environment["HOME"].startswith(tempfile.tempdir)
    assert environment["GDAL_HTTP_PROXY"] == "127.0.0.1:1"


def test_a_module_in_the_working_folder_is_not_imported():
    names = ["ctypes.py", "json.py", "socket.py"]
    seen = child.run("inside:seen", dict.fromkeys(names, b"raise SystemExit"))
    assert seen["names"] == names


def test_what_a_library_prints_does_not_land_in_the_answer():
    assert child.run("inside:print_much") == "said"


def test_a_child_leaves_no_file_behind():
    folder = child.run("inside:litter")
    assert folder.startswith(tempfile.tempdir)
    assert not Path(folder).exists()


# Limits ------------------------------------------------------------------------------------------


def test_a_hanging_child_is_stopped_in_time():
    start = time.monotonic()
    error = refusal("hang", seconds=1)
    assert time.monotonic() - start < 10
    assert "took more than 1 s and was stopped" in str(error)


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="no process groups here")
def test_with_a_child_goes_all_that_it_started(tmp_path):
    mark = tmp_path / "mark"
    refusal("hang_in_a_grandchild", arguments={"mark": str(mark)}, seconds=2)
    end = time.monotonic() + 10
    while platform.resident_bytes(int(mark.read_text())):
        assert time.monotonic() < end
        time.sleep(0.05)
    assert mark.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on computing time there")
def test_a_computing_child_is_stopped_by_the_system(monkeypatch):
    monkeypatch.setattr(child, "Allowance", lambda: Allowance(cpu_s=1))
    assert "took more than 1 s of computing" in str(refusal("compute"))


def test_a_child_that_takes_all_memory_is_stopped():
    assert "needed more than 4 GB of memory" in str(refusal("hog"))


def test_where_the_system_sets_no_limit_memory_is_watched(monkeypatch):
    monkeypatch.setattr(child.platform, "resident_bytes", lambda _: 5_000_000_000)
    start = time.monotonic()
    assert "needed more than 4 GB of memory" in str(refusal("hang"))
    assert time.monotonic() - start < 10


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on files there")
def test_a_child_that_fills_the_disk_is_stopped():
    assert "came out larger than 100 MB" in str(refusal("fill_disk"))


def test_too_long_an_answer_is_refused():
    assert "came out larger than 100 MB" in str(
        refusal("say_much", arguments={"length": 100_000_001})
    )


@pytest.mark.parametrize("name", ["SIGSEGV", "SIGABRT", "SIGKILL", "SIGFPE"])
@pytest.mark.skipif(sys.platform == "win32", reason="no signals there")
def test_a_crash_is_told_in_words(name):
    error = refusal("crash", arguments={"number": int(getattr(signal, name))})
    assert f"made the library behind it crash ({name})" in str(error)


@pytest.mark.skipif(sys.platform == "win32", reason="no signals there")
def test_a_true_crash_leaves_no_core_and_is_told():
    assert "crash (SIG" in str(refusal("bad_pointer"))


@pytest.mark.parametrize("code", [0, 1, 3])
def test_a_child_that_leaves_without_an_answer_is_told(code):
    words = f"exit code {code}" if code else "an answer out of form"
    assert words in str(refusal("leave", arguments={"code": code}))


# Errors ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", errors.__all__)
def test_every_error_of_ours_comes_back_as_it_was(kind):
    fields = {"file": "plan.gpkg", "place": "zone 3", "done": "Not done.", "remedy": "Mend it."}
    with pytest.raises(LawnmapError) as caught:
        child.run("inside:refuse", arguments={"kind": kind, **fields})
    assert type(caught.value) is getattr(errors, kind)
    assert {name: getattr(caught.value, name) for name in fields} == fields
    assert caught.value.problem == "was wrong"


def test_a_plugin_s_own_error_comes_back_as_the_nearest_of_ours():
    with pytest.raises(LayerNeeded, match="was wrong"):
        child.run("inside:refuse_in_own_words")


def test_any_other_exception_is_told_by_kind_with_frames_but_no_data():
    error = refusal("fail")
    assert "could not be read (KeyError)" in str(error)
    assert "in fail" in str(error.__cause__)
    assert "Elm" not in str(error) + str(error.__cause__).replace(
        'raise KeyError("12 Elm Row")', ""
    )


@pytest.mark.parametrize("what", ["nan", "set", "surrogate"])
def test_a_value_that_json_lacks_is_refused(what):
    assert "could not be read" in str(refusal("impossible", arguments={"what": what}))


@pytest.mark.parametrize(
    "text",
    [
        "[]",
        "7",
        "",
        '{"value": NaN}',
        '{"value": 1, "value": 2}',
        '{"value": ' + "[" * 100 + "]" * 100 + "}",
        '{"refused": 7}',
        '{"refused": {"class": "__builtins__"}}',
        '{"refused": {"class": ["InputRefused"], "problem": {}}}',
        '{"fault": ["x"]}',
        "{}",
    ],
)
def test_an_answer_out_of_form_is_refused_whatever_wrote_it(text):
    with pytest.raises(InputRefused):
        child.run("inside:forge", arguments={"text": text})


def test_a_child_that_cannot_be_started_is_our_fault(monkeypatch):
    monkeypatch.setattr(child.sys, "executable", "/nowhere/python")
    with pytest.raises(LawnmapError, match="cannot be started") as caught:
        child.run("inside:seen")
    assert caught.value.exit_code == 1


def test_an_interrupt_ends_the_child_too(monkeypatch):
    pids = []

    def interrupted(pid):
        pids.append(pid)
        raise KeyboardInterrupt

    monkeypatch.setattr(child.platform, "resident_bytes", interrupted)
    with pytest.raises(KeyboardInterrupt):
        child.run("inside:hang")
    monkeypatch.undo()
    assert platform.resident_bytes(pids[0]) is None


# By itself, without a child ----------------------------------------------------------------------


ALLOWANCE = Allowance(cpu_s=7, wall_s=9.5, memory_bytes=1_500_000_000, output_bytes=2_500_000)


@pytest.mark.parametrize(
    ("reason", "told"),
    [
        ("time", "took more than 9.5 s and was stopped"),
        ("computing", "took more than 7 s of computing and was stopped"),
        ("memory", "needed more than 1.5 GB of memory and was stopped"),
        ("output", "came out larger than 2.5 MB and was stopped"),
        ("SIGBUS", "made the library behind it crash (SIGBUS)"),
        ("KeyError", "could not be read (KeyError)"),
    ],
)
def test_every_end_is_told_in_words(reason, told):
    error = child.refusal(reason, ALLOWANCE)
    assert error.problem == told
    assert error.remedy == "Export the plan again, cut down to the site, or in another format."


def test_signals_have_names():
    assert child.signal_name(9) == "SIGKILL"
    assert child.signal_name(24) == "computing"  # SIGXCPU
    assert child.signal_name(0) == child.signal_name(-3) == ""


def understood(tmp_path, answer, *, stopped="", code=0, allowance=ALLOWANCE):
    (tmp_path / "answer.json").write_bytes(answer)
    return child._understood(tmp_path / "answer.json", stopped, code, allowance)


def test_a_finished_child_is_understood(tmp_path):
    assert understood(tmp_path, b'{"value": [1, null]}') == [1, None]
    assert understood(tmp_path, b'{"value": null}') is None
    just = b'{"value": 7}'
    allowance = ALLOWANCE._replace(output_bytes=len(just))
    assert understood(tmp_path, just, allowance=allowance) == 7
    for options, told in (
        ({"stopped": "time", "code": -9}, "took more than 9.5 s"),
        ({"code": -11}, "SIGSEGV"),
        ({"code": -24}, "7 s of computing"),
        ({"code": 3}, "(exit code 3)"),
        ({"allowance": allowance._replace(output_bytes=len(just) - 1)}, "came out larger"),
    ):
        with pytest.raises(InputRefused) as caught:
            understood(tmp_path, just, **options)
        assert told in caught.value.problem


def test_a_fault_is_raised_with_its_frames_as_the_cause(tmp_path):
    with pytest.raises(InputRefused) as caught:
        understood(tmp_path, b'{"fault": "KeyError", "frames": "in act"}')
    assert caught.value.problem == "could not be read (KeyError)"
    assert isinstance(caught.value.__cause__, child.ChildError)
    assert str(caught.value.__cause__) == "in act"


def test_what_a_child_wrote_of_an_error_is_not_believed():
    error = child.carried({"class": "Busy", "problem": "p", "file": "f", "place": "l"})
    assert (type(error), error.problem, error.file) == (errors.Busy, "p", "f")
    assert (error.place, error.done, error.remedy) == ("l", "", "")
    for fields in (None, [], "x", {"class": "SystemExit"}, {}):
        assert type(child.carried(fields)) is InputRefused
    assert child.carried({}).problem == "None"
    assert child.carried({"class": "Busy", "done": "d", "remedy": 7}).remedy == "7"


@pytest.mark.parametrize(("seconds", "cpu_s"), [(0.5, 1), (1, 1), (1.5, 2), (20, 20), (900, 20)])
def test_a_short_wait_is_a_short_time_of_computing(monkeypatch, seconds, cpu_s):
    asked = []

    def started(folder, allowance, environment):
        asked.append((allowance, environment))
        (folder / "answer.json").write_bytes(b'{"value": 1}')
        return "", 0

    monkeypatch.setattr(child, "_started", started)
    assert child.run("inside:seen", seconds=seconds, environment={"A": "b"}) == 1
    assert asked == [(Allowance(cpu_s=cpu_s, wall_s=seconds), {"A": "b"})]
    child.run("inside:seen")
    assert asked[1] == (Allowance(), {})


def test_what_a_child_is_asked(tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "path", ["", "/elsewhere"])
    monkeypatch.chdir(tmp_path)
    child.request_of(tmp_path, "a:b", {"é": 1}, ALLOWANCE, without=("ogr",))
    told = json.loads((tmp_path / "request.json").read_text(encoding="ascii"))
    assert told == {
        "path": [str(tmp_path), "/elsewhere"],
        "function": "a:b",
        "arguments": {"é": 1},
        "allowance": list(ALLOWANCE),
        "without": ["ogr"],
    }


def test_what_a_run_hands_to_its_child(monkeypatch):
    """The folder has a name that tells whose it is, and goes even when a file in it will not."""
    made, asked = [], []
    true_folder = tempfile.TemporaryDirectory

    def folder(**options):
        made.append(options)
        return true_folder(**options)

    def started(folder, allowance, environment):
        asked.append(json.loads((folder / "request.json").read_text(encoding="ascii")))
        asked.append((folder / "files" / "plan.shp").read_bytes())
        (folder / "answer.json").write_bytes(b'{"value": 1}')
        return "", 0

    monkeypatch.setattr(tempfile, "TemporaryDirectory", folder)
    monkeypatch.setattr(child, "_started", started)
    assert child.run("a:b", {"plan.shp": b"12"}, {"c": 3}, without=("ogr",)) == 1
    assert made == [{"prefix": "lawnmap-", "ignore_cleanup_errors": True}]
    assert (asked[0]["function"], asked[0]["arguments"]) == ("a:b", {"c": 3})
    assert (asked[0]["without"], asked[0]["allowance"]) == (["ogr"], list(Allowance()))
    assert asked[1] == b"12"


def test_a_full_folder_for_what_passes_is_no_fault_of_the_input(monkeypatch):
    def full(**_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(tempfile, "TemporaryDirectory", full)
    with pytest.raises(WriteFailed) as caught:
        child.run("inside:seen")
    assert str(caught.value) == (
        "temporary folder: could not be written (No space left on device). Nothing was changed."
        " Make room on the disk and try again."
    )


def test_a_time_of_computing_may_be_set(monkeypatch):
    asked = []

    def started(folder, allowance, environment):
        asked.append(allowance)
        (folder / "answer.json").write_bytes(b'{"value": 1}')
        return "", 0

    monkeypatch.setattr(child, "_started", started)
    for cpu_s in (3, 20, 90):
        child.run("a:b", seconds=10, cpu_s=cpu_s)
    assert [each.cpu_s for each in asked] == [3, 10, 10]
    assert {each.wall_s for each in asked} == {10}


class Watched:
    """A process that ends at the n-th look at it."""

    pid = 4_000_001

    def __init__(self, looks):
        self.looks, self.waits = looks, []

    def wait(self, timeout):
        self.waits.append(timeout)
        if len(self.waits) < self.looks:
            raise subprocess.TimeoutExpired("child", timeout)


@pytest.mark.parametrize(
    ("looks", "clock", "held", "memory_bytes", "stopped"),
    [
        (1, [0.0], 9, 1, ""),  # it has ended: nobody asks what it held
        (3, [0.0, 5.0, 9.5], 100, 100, ""),  # just as much, and just as long, as it may
        (9, [0.0, 5.0, 9.6], 100, 100, "time"),
        (9, [0.0, 9.6], 101, 100, "time"),
        (9, [0.0, 5.0], 101, 100, "memory"),
        (3, [0.0, 1.0, 2.0], None, 0, ""),  # the system does not tell
    ],
)
def test_a_child_is_watched(monkeypatch, looks, clock, held, memory_bytes, stopped):
    times, asked = iter(clock), []
    monkeypatch.setattr(child.time, "monotonic", lambda: next(times))
    monkeypatch.setattr(child.platform, "resident_bytes", lambda pid: asked.append(pid) or held)
    process = Watched(looks)
    assert child._watched(process, ALLOWANCE._replace(memory_bytes=memory_bytes)) == stopped
    assert set(process.waits) == {0.2}
    assert set(asked) <= {4_000_001}
    assert next(times, None) is None  # asked as often as was to be


@pytest.mark.parametrize("ends", ["by itself", "by an interrupt"])
def test_a_child_is_started_watched_and_ended_whatever_comes(tmp_path, monkeypatch, ends):
    called = []
    process = Process(ended=False)
    process.returncode = -9

    def launch(folder, start, environment, *, output):
        output.write(b"said")
        called.append((folder, start, environment))
        return process

    def watched(which, allowance):
        called.append((which, allowance))
        if ends == "by an interrupt":
            raise KeyboardInterrupt
        return "time"

    monkeypatch.setattr(child, "launch", launch)
    monkeypatch.setattr(child, "_watched", watched)
    monkeypatch.setattr(child, "kill", called.append)
    if ends == "by itself":
        assert child._started(tmp_path, ALLOWANCE, {"A": "b"}) == ("time", -9)
    else:
        with pytest.raises(KeyboardInterrupt):
            child._started(tmp_path, ALLOWANCE, {"A": "b"})
    assert called == [(tmp_path, child.START, {"A": "b"}), (process, ALLOWANCE), process]
    assert (tmp_path / "answer.json").read_bytes() == b"said"


def test_how_a_child_is_launched(tmp_path, monkeypatch):
    asked = []
    (tmp_path / "request.json").write_text("{}", encoding="ascii")
    monkeypatch.setattr(child.subprocess, "Popen", lambda *a, **k: asked.append((a, k)) or "made")
    monkeypatch.setattr(os, "environ", {"PATH": "/bin", "HOME": "/root", "SECRET": "x"})
    made = child.launch(tmp_path, "pass", {"OGR_SKIP": "WFS", "HOME": "/own"}, output=7)
    assert made == "made"
    ((command,), options) = asked[0]
    assert command == [sys.executable, "-I", "-B", "-X", "utf8", "-c", "pass"]
    stdin = options.pop("stdin")
    assert (stdin.name, stdin.mode) == (str(tmp_path / "request.json"), "rb")
    environment = options.pop("env")
    assert options == {
        "stdout": 7,
        "stderr": subprocess.DEVNULL,
        "cwd": tmp_path / "files",
        "start_new_session": True,
    }
    folder = str(tmp_path)
    own = {"PATH": "/bin", "TMPDIR": folder, "TEMP": folder, "TMP": folder, "HOME": "/own"}
    assert environment == child.ENVIRONMENT | own | {"OGR_SKIP": "WFS"}


def test_what_every_child_is_kept_from():
    """One changed letter here is a second file read, or a call to the network."""
    assert child.ENVIRONMENT == {
        "LC_ALL": "C.UTF-8",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "MALLOC_ARENA_MAX": "2",
        "PROJ_NETWORK": "OFF",
        "GDAL_HTTP_PROXY": "127.0.0.1:1",
        "CPL_VSIL_CURL_ALLOWED_EXTENSIONS": ".none",
        "CPL_ALLOW_VSISTDIN": "NO",
        "GDAL_DRIVER_PATH": "disable",
        "GDAL_VRT_ENABLE_PYTHON": "NO",
        "OGR_SQLITE_ALLOW_EXTERNAL_ACCESS": "NO",
    }


class Process:
    """A process that ends when it is told to, or has ended."""

    def __init__(self, *, ended):
        self.ended, self.calls, self.pid = ended, [], 4_000_001

    def poll(self):
        return 0 if self.ended else None

    def kill(self):
        self.calls.append("kill")

    def wait(self):
        self.calls.append("wait")


def test_only_a_child_that_runs_is_ended(monkeypatch):
    killed = []
    monkeypatch.setattr(os, "killpg", lambda *what: killed.append(what), raising=False)
    done, runs = Process(ended=True), Process(ended=False)
    child.kill(done)
    child.kill(runs)
    assert (done.calls, runs.calls, killed) == ([], ["wait"], [(4_000_001, signal.SIGKILL)])
    monkeypatch.delattr(os, "killpg")  # Windows has none
    other = Process(ended=False)
    child.kill(other)
    assert other.calls == ["kill", "wait"]


# Network and other files -------------------------------------------------------------------------


def test_what_keeps_it_in_bounds_is_told_by_a_child():
    told = child.bounds()
    assert told["network"] in {platform.SECCOMP, platform.NAMESPACE, platform.NO_LOCK}
    most = Allowance()
    held = {"cpu_s": most.cpu_s, "memory_bytes": most.memory_bytes, "file_bytes": most.output_bytes}
    for name, value in told["limits"].items():
        assert value is None or value <= held[name]


@pytest.mark.skipif(sys.platform != "linux", reason="no network lock elsewhere")
def test_nobody_is_reached_from_inside(listener):
    port, hits = listener
    # The same code outside knocks at once: the listener hears, and GDAL has a network.
    for name, arguments in (("connect", port), ("fetch", port)):
        code = f"{FUNCTIONS}\nprint({name}({arguments}))"
        subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, timeout=60)
        assert heard(hits)
        hits.clear()
        assert "Error" in child.run(f"inside:{name}", arguments={"port": port})
        assert not heard(hits, seconds=0.5)


DISGUISES = {
    "plan.gpkg": """<OGRVRTDataSource><OGRVRTLayer name="secret">
        <SrcDataSource>{secret}</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>""",
    "plan.shp": """{{"type": "gdal_streamed_alg",
        "command_line": "gdal vector pipeline ! read {secret}"}}""",
}


@pytest.mark.parametrize("name", DISGUISES)
@pytest.mark.parametrize("driver", ["GPKG", "ESRI Shapefile"])
def test_no_other_file_is_read_from_inside(tmp_path, name, driver):
    from lawnmap.readers import ogr

    secret = tmp_path / "secret.csv"
    secret.write_text("key\nCANARY-8241\n")
    data = textwrap.dedent(DISGUISES[name]).format(secret=secret).encode()
    inside = {"function": "inside:look_into", "files": {name: data}, "arguments": {"file": name}}
    # With all drivers on, the file in disguise does give the secret away.
    assert child.run(**inside) == ["CANARY-8241"]
    skip = {"OGR_SKIP": ",".join(ogr.drivers() - {driver})}
    assert child.run(**inside, environment=skip) == "DataSourceError"


def test_damage_told_by_a_child_is_not_an_input_refused():
    with pytest.raises(SiteDamaged) as caught:
        child.run("inside:refuse", arguments={"kind": "SiteDamaged"})
    assert not isinstance(caught.value, InputRefused)
    assert caught.value.done == "Nothing was changed."
