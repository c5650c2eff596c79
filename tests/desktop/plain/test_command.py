"""The process: heard, answered, stopped and ended, with small programs in lawnmap's place."""

import json
import os
import sys
import time
from pathlib import Path

import pytest

from lawnmap.desktop import command
from lawnmap.desktop.problem import Problem, Refused, Stopped

LINUX = Path("/proc/self/stat").exists()
ANSWER = {"lawnmap": {"version": "1.2.3", "json": 1}, "warnings": ["wet"], "result": [1.1]}


def program(folder, source):
    """Return a command line that runs some Python in lawnmap's place."""
    path = folder / "program.py"
    path.write_text(f"import json, os, signal, subprocess, sys, time\n{source}", encoding="utf-8")
    return [sys.executable, "-I", "-S", str(path)]


def ask(folder, source, **options):
    return command.ask(program(folder, source), folder=folder, **options)


def answering(told=ANSWER):
    return f"print(json.dumps({told!r}))\n"


def gone(pid):
    """Tell whether a process has ended, seen or not by whoever started it."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return True
    return state == "Z"


def soon(true, seconds=10.0):
    until = time.monotonic() + seconds
    while not true() and time.monotonic() < until:
        time.sleep(0.01)
    return true()


def test_the_answer_is_what_was_printed(tmp_path):
    answer = ask(tmp_path, answering())
    assert answer == ([1.1], ["wet"], "1.2.3")


def test_progress_is_heard_while_it_works(tmp_path):
    heard = []

    def hear(percent, what):
        heard.append((percent, what))
        (tmp_path / f"heard_{percent}").touch()

    source = """
for percent, what in ((10, "areas"), (60, "pass lines"), (999, "papers")):
    print(f"progress {percent} {what}", file=sys.stderr, flush=True)
    # It goes on only when it was heard, so nothing is kept back until the end.
    seen = os.path.join(os.path.dirname(__file__), f"heard_{min(percent, 100)}")
    while not os.path.exists(seen):
        time.sleep(0.01)
print("Note: progress 5 is a note", file=sys.stderr)
"""
    ask(tmp_path, source + answering(), heard=hear)
    assert heard == [(10, "areas"), (60, "pass lines"), (100, "papers")]


def test_an_error_is_ours_word_for_word(tmp_path):
    message = "zones.gpkg: zone a: moss_rating is 9, outside 0 to 5. Nothing was changed. Mend it."
    error = {"code": 3, "file": "zones.gpkg", "place": "zone a", "problem": "x", "remedy": "y"}
    source = f"print('Note: before', file=sys.stderr); print('lawnmap: {message}', file=sys.stderr)"
    told = {key: ANSWER[key] for key in ("lawnmap", "warnings")} | {"error": error}
    with pytest.raises(Refused) as raised:
        ask(tmp_path, f"{source}\n{answering(told)}sys.exit(3)")
    assert str(raised.value) == message
    assert (raised.value.file, raised.value.code) == ("zones.gpkg", 3)
    named = raised.value.about({"zones.gpkg": "Rasen: Süd"})
    assert str(named) == message.replace("zones.gpkg", "Rasen: Süd")
    assert str(raised.value.about({"other.gpkg": "Beds"})) == message


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("raise RuntimeError('no module named lawnmap')", "no module named lawnmap"),
        ("os.kill(os.getpid(), signal.SIGKILL)", "signal 9"),
        ("print('{', file=sys.stdout); sys.exit(1)", "exit code 1"),
        ("print('no json')", "another form"),
        (answering({**ANSWER, "lawnmap": {"json": 2}}), "another form"),
        (answering({"lawnmap": {"json": 1}}), "another form"),
        ("sys.stderr.buffer.write(b'\\xff\\xfe broken'); sys.exit(1)", "broken"),
    ],
)
def test_an_end_without_an_answer_is_told(tmp_path, source, said):
    with pytest.raises(Problem, match=said) as raised:
        ask(tmp_path, source)
    assert "Nothing was changed." in str(raised.value)
    assert "lawnmap desktop install" in str(raised.value)


def test_what_cannot_be_started_is_told(tmp_path):
    with pytest.raises(Problem, match="cannot be started") as raised:
        command.ask([str(tmp_path / "python")], folder=tmp_path)
    assert str(raised.value).startswith(str(tmp_path / "python"))
    with pytest.raises(Problem, match="cannot be started"):
        command.ask([sys.executable, "a\0b"], folder=tmp_path)


def test_much_is_printed_on_both_without_waiting_for_each_other(tmp_path):
    source = """
line = b"x" * 99 + b"\\n"
for _ in range(100):
    sys.stderr.buffer.write(line * 200); sys.stderr.flush()
    sys.stdout.buffer.write(b" " * 40_000); sys.stdout.flush()
"""
    ended = command.run(program(tmp_path, source + answering()), folder=tmp_path)
    assert len(ended.said) == 20_000
    assert len(ended.output) > 4_000_000
    assert json.loads(ended.output) == ANSWER


def test_more_than_can_be_taken_in_is_stopped(tmp_path, monkeypatch):
    monkeypatch.setattr(command, "MOST_BYTES", 100_000)
    with pytest.raises(Problem, match="more than can be taken in"):
        ask(tmp_path, "while True: sys.stdout.write('x' * 10_000)")


CHILDREN = """
child = subprocess.Popen([sys.executable, "-I", "-S", "-c", "import time; time.sleep(600)"])
folder = os.path.dirname(__file__)
with open(os.path.join(folder, "pids"), "w") as file: file.write(f"{os.getpid()} {child.pid}")
print("progress 5 begun", file=sys.stderr, flush=True)
time.sleep(600)
"""


@pytest.mark.skipif(not LINUX, reason="reads the state of processes from /proc")
@pytest.mark.parametrize("deaf", ["", "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"])
def test_stopping_ends_it_and_its_children(tmp_path, deaf):
    heard = []
    with pytest.raises(Stopped, match="Nothing was changed"):
        ask(
            tmp_path,
            deaf + CHILDREN,
            heard=lambda *of: heard.append(of),
            cancelled=lambda: bool(heard),
        )
    pids = (tmp_path / "pids").read_text(encoding="ascii").split()
    assert len(pids) == 2
    assert all(soon(lambda pid=pid: gone(pid)) for pid in pids)


@pytest.mark.skipif(not LINUX, reason="reads the state of processes from /proc")
def test_too_long_ends_it(tmp_path):
    with pytest.raises(Problem, match="took too long"):
        ask(tmp_path, CHILDREN, seconds=0.3)
    pids = (tmp_path / "pids").read_text(encoding="ascii").split()
    assert all(soon(lambda pid=pid: gone(pid)) for pid in pids)


@pytest.mark.skipif(not LINUX, reason="reads the state of processes from /proc")
def test_what_breaks_in_hearing_ends_it_too(tmp_path):
    def broken(percent, what):
        raise KeyError(percent, what)

    with pytest.raises(KeyError):
        ask(tmp_path, CHILDREN, heard=broken)
    pids = (tmp_path / "pids").read_text(encoding="ascii").split()
    assert all(soon(lambda pid=pid: gone(pid)) for pid in pids)


def test_one_left_behind_with_the_pipes_keeps_nobody_waiting(tmp_path, monkeypatch):
    monkeypatch.setattr(command, "DRAIN_S", 0.2)
    left = 'subprocess.Popen([sys.executable, "-I", "-S", "-c", "import time; time.sleep(5)"])\n'
    answer = ask(tmp_path, left + answering())
    assert answer.result == [1.1]


def test_it_is_started_with_a_clean_environment_in_its_folder(tmp_path, monkeypatch):
    for name in ("PYTHONPATH", "PYTHONHOME", "LD_LIBRARY_PATH", "GDAL_DATA", "PROJ_LIB"):
        monkeypatch.setenv(name, str(tmp_path / "of_the_gis"))
    source = "print(json.dumps({**TOLD, 'result': [os.getcwd(), dict(os.environ)]}))"
    answer = ask(tmp_path, f"TOLD = {ANSWER!r}\n{source}")
    where, environment = answer.result
    assert os.path.realpath(where) == os.path.realpath(tmp_path)
    assert "of_the_gis" not in json.dumps(environment)
    assert environment["LAWNMAP_PROGRESS"] == "lines"


def test_nothing_is_read_from_whoever_started_it(tmp_path):
    answer = ask(tmp_path, f"ANSWER = {ANSWER!r}\nassert sys.stdin.read() == ''\n" + answering())
    assert answer.result == [1.1]


def test_windows_ends_the_whole_tree_and_shows_no_console(monkeypatch):
    started = []
    monkeypatch.setattr(command.subprocess, "CREATE_NO_WINDOW", 0x08000000, raising=False)
    monkeypatch.setattr(command.subprocess, "run", lambda *of, **how: started.append((of[0], how)))
    monkeypatch.setenv("SYSTEMROOT", "C:\\Windows")
    command._taskkill(77)
    ((line, how),) = started
    assert line[1:] == ["/T", "/F", "/PID", "77"]
    assert line[0].endswith("taskkill.exe")
    assert how["creationflags"] == 0x08000000 == command._no_window()
