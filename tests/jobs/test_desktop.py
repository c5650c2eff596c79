"""The plugin for the desktop GIS, put into profiles that are folders made here."""

import errno
import json
import os
import stat
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused, WriteFailed
from lawnmap.jobs.desktop import copied, look, profiles, put, switch
from lawnmap.jobs.desktop.profiles import Profile

HERE = version("lawnmap")
FILES = {
    "__init__.py": b"",
    "metadata.txt": b"[general]\nname=x\n",
    "steps/plan.py": b"a = 1\n",
    "command.json": json.dumps({"command": [sys.executable, "-P", "-m", "lawnmap"]}).encode(),
}
NEWER = {**FILES, "steps/plan.py": b"a = 2\n", "icons/step.svg": b"<svg/>"}
LINE = b"lawnmap_desktop=true"
# As Qt writes it: values over several lines, quotes with line ends and brackets in them.
SETTINGS = (
    b"[PythonPlugins]\nother=true\n\n[qgis]\nlist=one, \\\n  [PythonPlugins]\n"
    b'text="a;b\n[PythonPlugins]\nlawnmap_desktop=false"\n; [PythonPlugins]\nlast=1 ; "\n'
)


@pytest.fixture
def home(tmp_path, monkeypatch):
    """Return an empty home folder in which nothing but this test's profiles are found."""
    for name in ("XDG_DATA_HOME", profiles.CUSTOM, "APPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr(sys, "platform", "linux")
    return tmp_path


@pytest.fixture
def profile(tmp_path):
    """Return a profile whose name and folder are not ASCII, with settings as a GIS leaves them."""
    path = tmp_path / "Übungs profil ☂"
    (path / "QGIS").mkdir(parents=True)
    (path / "QGIS" / "QGIS3.ini").write_bytes(SETTINGS)
    return Profile(path)


def made(home, *names, gis="QGIS3", below=".local/share/QGIS"):
    for name in names:
        (home / below / gis / "profiles" / name).mkdir(parents=True)
    return home / below / gis / "profiles"


def there(folder):
    """Return every file of a folder with its content; a link with what it says."""
    return {
        path.relative_to(folder).as_posix(): b"-> " + bytes(path.readlink())
        if path.is_symlink()
        else path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_symlink() or path.is_file()
    }


# Profiles ----------------------------------------------------------------------------------------


def test_the_profile_called_default_is_taken_or_the_only_one(home):
    root = made(home, "grounds")
    assert profiles.chosen("") == Profile(root / "grounds", "QGIS3")
    made(home, "default", "other")
    assert profiles.chosen("").name == "default"
    assert profiles.chosen("other").path == root / "other"
    assert [each.name for each in profiles.found()] == ["default", "grounds", "other"]
    (root / "profiles.ini").write_text("[core]")  # beside the profiles, and none
    assert len(profiles.found()) == 3


@pytest.mark.parametrize(
    ("names", "given", "said"),
    [
        (["a", "b"], "", "there are 2 profiles of the GIS (QGIS3: a, QGIS3: b)"),
        (["a", "b"], "c", "there is no profile 'c' of the GIS, only QGIS3: a, QGIS3: b"),
        ([], "", "no profile of the GIS was found in"),
        ([], "c", "Start the GIS once"),
    ],
)
def test_which_profile_is_meant_is_not_guessed(home, names, given, said):
    made(home, *names)
    with pytest.raises(InputRefused) as refused:
        profiles.chosen(given)
    assert said in str(refused.value)
    assert str(refused.value).endswith((".", "NAME."))
    assert there(home) == {}


def test_two_generations_with_one_name_are_told_apart_by_their_folder(home):
    made(home, "default")
    newer = made(home, "default", gis="QGIS4") / "default"
    with pytest.raises(InputRefused, match="QGIS3: default, QGIS4: default"):
        profiles.chosen("")
    found = profiles.chosen(str(newer))
    assert found.gis == "QGIS4"
    assert found.settings == newer / "QGIS" / "QGIS4.ini"


def test_a_boxed_gis_is_listed_but_not_taken_unasked(home):
    root = made(home, "default", below=".var/app/org.qgis.qgis/data/QGIS")
    assert [each.boxed for each in profiles.found()] == [True]
    with pytest.raises(InputRefused, match="boxed GIS"):
        profiles.chosen("")
    assert profiles.chosen("default").boxed
    assert profiles.chosen(str(root / "default")).boxed
    made(home, "mine")
    assert profiles.chosen("").name == "mine"


@pytest.mark.parametrize(
    ("system", "variables", "where"),
    [
        ("linux", {}, ".local/share/QGIS/QGIS3"),
        ("linux", {"XDG_DATA_HOME": "{home}/data"}, "data/QGIS/QGIS4"),
        ("linux", {"XDG_DATA_HOME": "data"}, ".local/share/QGIS/QGIS3"),  # relative: not one
        ("linux", {"QGIS_CUSTOM_CONFIG_PATH": "{home}/own"}, "own"),
        (
            "linux",
            {"QGIS_CUSTOM_CONFIG_PATH": "{home}/.local/share/QGIS/QGIS3"},
            ".local/share/QGIS/QGIS3",
        ),
        ("darwin", {}, "Library/Application Support/QGIS/QGIS3"),
        ("win32", {}, "AppData/Roaming/QGIS/QGIS3"),
        ("win32", {"APPDATA": "{home}/far"}, "far/QGIS/QGIS4"),
    ],
)
def test_profiles_are_where_each_system_has_them(home, monkeypatch, system, variables, where):
    monkeypatch.setattr(sys, "platform", system)
    for name, value in variables.items():
        monkeypatch.setenv(name, value.format(home=home))
    path = home / where / "profiles" / "default"
    path.mkdir(parents=True)
    assert [each.path for each in profiles.found()] == [path]


def test_a_folder_may_be_named_and_is_not_made(home, monkeypatch):
    (home / "elsewhere" / "QGIS").mkdir(parents=True)
    (home / "elsewhere" / "QGIS" / "QGIS4.ini").write_bytes(b"")
    monkeypatch.chdir(home)
    assert profiles.chosen("./elsewhere") == Profile(home / "elsewhere", "QGIS4")
    for given, said in (("./gone", "is not a folder"), ("gone/\0", "is not a folder")):
        with pytest.raises(InputRefused, match=said):
            profiles.chosen(given)
    root = made(home, "default")
    with pytest.raises(InputRefused, match="folder of all profiles"):
        profiles.chosen(str(root))
    assert not (home / "gone").exists()


def test_no_home_is_one_clear_error(home, monkeypatch):
    def nobody():
        raise RuntimeError

    monkeypatch.setattr(Path, "home", nobody)
    with pytest.raises(InputRefused, match="does not say where your home folder is"):
        profiles.chosen("")
    assert profiles.chosen(str(home)).path == home  # a folder that is named needs no home


# The line in the settings ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "before",
    [
        b"",
        b"[qgis]\na=1\n",
        b"[qgis]\na=1",
        b"[qgis]\r\na=1\r\n\r\n[PythonPlugins]\r\nother=true\r\n\r\n[z]\r\nb=2\r\n",
        b"[PythonPlugins]",
        b"\xef\xbb\xbf[PythonPlugins]\nother=true\n",
        SETTINGS,
        b'[a]\nx="\\"\n[PythonPlugins]\n"\n',
    ],
)
def test_every_other_byte_stays(before):
    made = switch.on(before)
    assert switch.is_on(made)
    assert not switch.is_on(before)
    end = b"\r\n" if b"\r\n" in before else b"\n"
    assert made.count(LINE + end) == 1
    rest = made.replace(LINE + end, b"")
    ended = before + (end if before and not before.endswith(end) else b"")
    assert rest in {before, ended, ended + b"[PythonPlugins]" + end}
    assert switch.on(made) == made
    if before != b"[PythonPlugins]":  # a section that nothing is in goes too
        assert switch.off(made) in {before, ended}
    assert switch.off(before) == before


def test_a_line_that_is_there_is_turned_and_the_last_one_counts():
    twice = b"[PythonPlugins]\nlawnmap_desktop = false ; by hand\nb=1\nlawnmap_desktop=0\n"
    assert not switch.is_on(twice)
    assert switch.on(twice) == (
        b"[PythonPlugins]\nlawnmap_desktop=true; by hand\nb=1\nlawnmap_desktop=true\n"
    )
    assert switch.off(twice) == b"[PythonPlugins]\nb=1\n"


def test_settings_that_cannot_take_a_line_are_refused_and_left(profile):
    broken = b'[qgis]\na="never closed\n'
    profile.settings.write_bytes(broken)
    with pytest.raises(InputRefused) as refused:
        put.install(profile, files=FILES)
    assert "QGIS3.ini: cannot be edited safely" in str(refused.value)
    assert profile.settings.read_bytes() == broken
    assert not profile.folder.exists()
    assert put.install(profile, files=FILES, enable=False).enabled is False


# Installing --------------------------------------------------------------------------------------


def test_what_is_installed_is_there_and_removed_without_a_trace(profile):
    before = there(profile.path)
    done = put.install(profile, files=FILES)
    assert (done.before, done.now, done.enabled, done.kept) == ("", HERE, True, ())
    assert {**there(profile.folder)} == {
        **FILES,
        "installed.json": there(profile.folder)["installed.json"],
    }
    assert profile.settings.read_bytes() == SETTINGS.replace(
        b"[PythonPlugins]\n", b"[PythonPlugins]\n" + LINE + b"\n", 1
    )
    # What Python keeps of our modules goes with them.
    (profile.folder / "steps" / "__pycache__").mkdir()
    (profile.folder / "steps" / "__pycache__" / "plan.cpython-311.pyc").write_bytes(b"x")
    gone = put.remove(profile)
    assert (gone.before, gone.now, gone.kept) == (HERE, "", ())
    assert there(profile.path) == before
    assert not profile.folder.exists()
    assert put.remove(profile).before == ""


def test_an_older_one_is_replaced_and_what_somebody_changed_is_kept(profile):
    put.install(profile, files={**FILES, "old.py": b"1", "older/a.py": b"2", "mine.py": b"3"})
    folder = profile.folder
    (folder / "steps" / "plan.py").write_bytes(b"changed\n")
    (folder / "mine.py").write_bytes(b"changed\n")  # ours once, and in no newer version
    (folder / "added.txt").write_bytes(b"added\n")
    done = put.install(profile, files=NEWER)
    assert done.kept == ("added.txt", "mine.py", "steps/plan.py.yours")
    found = there(folder)
    assert {name: found[name] for name in NEWER} == NEWER
    assert found["steps/plan.py.yours"] == found["mine.py"] == b"changed\n"
    assert found["added.txt"] == b"added\n"
    assert not {"old.py", "older/a.py"} & found.keys()
    assert not (folder / "older").exists()
    (folder / "steps" / "plan.py").write_bytes(b"again\n")
    assert "steps/plan.py.yours-2" in put.install(profile, files=NEWER).kept
    gone = put.remove(profile)
    left = {name: data for name, data in there(folder).items() if name != "installed.json"}
    assert sorted(left) == sorted(gone.kept)
    assert set(left.values()) == {b"added\n", b"changed\n", b"again\n"}
    assert put.install(profile, files=FILES).before == ""  # the folder stayed ours
    assert look.look(profile).files.added == gone.kept


def test_installing_twice_writes_nothing_anew(profile):
    put.install(profile, files=FILES)
    times = {name: (profile.folder / name).stat().st_ino for name in FILES}
    done = put.install(profile, files=FILES)
    assert (done.before, done.now, done.kept) == (HERE, HERE, ())
    assert {name: (profile.folder / name).stat().st_ino for name in FILES} == times


@pytest.mark.parametrize("kind", ["a folder", "a file", "a link", "a list of nothing", "paths out"])
def test_a_folder_of_that_name_that_is_not_ours_is_refused(profile, tmp_path, kind):
    folder = profile.folder
    folder.parent.mkdir(parents=True)
    if kind == "a file":
        folder.write_bytes(b"x")
    elif kind == "a link":
        other = tmp_path / "source"
        other.mkdir()
        (other / "installed.json").write_bytes(copied.Placed().encoded())
        folder.symlink_to(other)
    else:
        folder.mkdir()
        (folder / "theirs.py").write_bytes(b"x")
        listed = {
            "a list of nothing": b"[]",
            "paths out": copied.Placed("1", {"../a": ("",)}).encoded(),
        }
        if kind in listed:
            (folder / "installed.json").write_bytes(listed[kind])
    before = there(profile.path)
    for work in (lambda: put.install(profile, files=FILES), lambda: put.remove(profile)):
        with pytest.raises(InputRefused, match=r"lawnmap|is not a list|cannot be listed"):
            work()
        assert there(profile.path) == before
    assert look.look(profile).problem


def test_a_link_in_the_folder_is_not_followed(profile, tmp_path):
    put.install(profile, files=FILES)
    folder, other = profile.folder, tmp_path / "other"
    other.mkdir()
    (other / "plan.py").write_bytes(FILES["steps/plan.py"])
    (folder / "steps" / "plan.py").unlink()
    (folder / "steps").rmdir()
    (folder / "steps").symlink_to(other)
    assert look.look(profile).files.changed == ("steps/plan.py",)
    assert put.remove(profile).kept == ("steps", "steps/plan.py")
    assert there(other) == {"plan.py": FILES["steps/plan.py"]}
    assert put.install(profile, files=NEWER).kept == ("steps.yours",)
    assert (folder / "steps.yours").is_symlink()
    assert there(other) == {"plan.py": FILES["steps/plan.py"]}
    assert (folder / "steps" / "plan.py").read_bytes() == b"a = 2\n"


def test_a_disk_that_does_not_take_it_is_told_and_the_next_run_finishes(profile, monkeypatch):
    real = put.put

    def full(path, data, *, force):
        if path.name == "plan.py":
            raise WriteFailed("could not be written (No space left)", file=path.name)
        return real(path, data, force=force)

    put.install(profile, files=FILES)
    monkeypatch.setattr(put, "put", full)
    with pytest.raises(WriteFailed, match="No space left"):
        put.install(profile, files=NEWER)
    monkeypatch.setattr(put, "put", real)
    done = put.install(profile, files=NEWER)
    assert done.kept == ()  # nothing that was ours was taken for somebody's
    assert {name: there(profile.folder)[name] for name in NEWER} == NEWER


def test_a_folder_that_may_not_be_written_is_told(profile, monkeypatch):
    def forbidden(call, /, *args, **kwargs):
        if call is os.makedirs:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(args[0]))
        return call(*args, **kwargs)

    monkeypatch.setattr(put.DISK, "do", forbidden)
    with pytest.raises(WriteFailed) as refused:
        put.install(profile, files=FILES)
    assert refused.value.exit_code == 5
    assert str(refused.value) == (
        "lawnmap_desktop: could not be written (Permission denied). The next run finishes what "
        "this one began. Ask for the right to write in that folder, or write somewhere else."
    )


def test_a_file_may_keep_the_rights_that_the_settings_have(profile):
    profile.settings.chmod(0o600)
    put.install(profile, files=FILES)
    assert stat.S_IMODE(profile.settings.stat().st_mode) == 0o600


# Looking -----------------------------------------------------------------------------------------


@pytest.fixture
def same(monkeypatch):
    """Let this lawnmap have no other files than those of this page."""
    monkeypatch.setattr(copied, "ours", lambda: FILES)


def test_status_tells_what_is_there_and_whether_it_answers(profile, same):
    empty = look.look(profile)
    assert (empty.installed, empty.enabled, empty.problem) == ("", False, "")
    put.install(profile, files=FILES)
    state = look.look(profile)
    assert (state.installed, state.here, state.current, state.enabled) == (HERE, HERE, True, True)
    assert (state.command, state.answers, state.problem) == (sys.executable, HERE, "")
    (profile.folder / "metadata.txt").write_bytes(b"x")
    (profile.folder / "__init__.py").unlink()
    state = look.look(profile)
    assert (state.files.changed, state.files.missing) == (("metadata.txt",), ("__init__.py",))
    assert not state.current


@pytest.mark.parametrize(
    ("command", "said"),
    [
        ({"command": ["/gone/python", "-m", "lawnmap"]}, "that Python is gone"),
        ({"command": [os.devnull]}, "cannot be started (Permission denied)"),
        ({"command": ["/bin/false"]}, "has no lawnmap any more"),
        ({"command": ["/bin/echo", "other"]}, "has no lawnmap any more"),
        ({"command": []}, "does not say how"),
        ({"command": "lawnmap"}, "does not say how"),
        ([], "does not say how"),
    ],
)
def test_a_python_that_does_not_answer_is_told(profile, same, command, said):
    put.install(profile, files={**FILES, "command.json": json.dumps(command).encode()})
    state = look.look(profile)
    assert said in state.problem
    assert not state.answers
    assert not state.current


def test_the_environment_of_a_gis_does_not_reach_the_python_that_is_asked(
    profile, same, monkeypatch
):
    put.install(profile, files=FILES)
    monkeypatch.setenv("PYTHONHOME", "/nowhere")
    assert look.look(profile).answers == HERE
