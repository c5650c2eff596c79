"""The guarded child: what a hostile or broken function can and cannot do in it."""

import os
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
from lawnmap.errors import InputRefused, LawnmapError, LayerNeeded, SiteDamaged
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
    while frame.f_code.co_name != "answer":
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
    import signal

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


# Network and other files -------------------------------------------------------------------------


def test_the_network_lock_is_told_by_a_child():
    assert child.network_lock() in {platform.SECCOMP, platform.NAMESPACE, platform.NO_LOCK}


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
