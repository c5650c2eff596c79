"""The front door: what is on disk is read once, if it is an ordinary file of fair size."""

import io
import os
import sys
import zipfile
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.admit import admit, admit_stream, read_regular
from lawnmap.files.limits import SITE

POINT = b'{"type": "Point", "coordinates": [-2, 53]}'
SHP = b"\x00\x00\x27\x0a" + bytes(96)
posix = pytest.mark.skipif(os.name != "posix", reason="needs pipes, devices and modes")


def assert_refused(path, told):
    with pytest.raises(InputRefused, match=told) as caught:
        admit(path)
    assert caught.value.exit_code == 3
    assert caught.value.remedy
    return str(caught.value)


def test_a_plan_is_read_whole(tmp_path):
    path = tmp_path / "plan.geojson"
    path.write_bytes(POINT)
    source = admit(path)
    assert (source.name, source.data, source.kind) == ("plan.geojson", POINT, "geojson")
    assert admit(str(path)) == source


def test_a_mark_stays_in_the_bytes_and_changes_no_kind(tmp_path):
    path = tmp_path / "plan.json"
    path.write_bytes(b"\xef\xbb\xbf" + POINT)
    assert admit(path).kind == "geojson"


def test_a_link_to_a_plan_is_the_plan(tmp_path):
    (tmp_path / "plan.geojson").write_bytes(POINT)
    (tmp_path / "link.geojson").symlink_to("plan.geojson")
    assert admit(tmp_path / "link.geojson").data == POINT


@posix
def test_a_pipe_without_a_writer_does_not_hang(tmp_path):
    os.mkfifo(tmp_path / "pipe.geojson")
    assert_refused(tmp_path / "pipe.geojson", "not an ordinary file")


@posix
def test_devices_are_not_read():
    assert_refused("/dev/zero", "not an ordinary file")
    assert_refused("/dev/null", "not an ordinary file")


def test_a_folder(tmp_path):
    message = assert_refused(tmp_path, "is a folder|cannot be opened")
    assert str(tmp_path) not in message


def test_a_link_to_itself(tmp_path):
    loop = tmp_path / "loop.geojson"
    loop.symlink_to(loop)
    assert_refused(loop, "cannot be opened")


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_one_may_not_read(tmp_path):
    path = tmp_path / "plan.geojson"
    path.write_bytes(POINT)
    path.chmod(0)
    assert_refused(path, "cannot be opened")


def test_a_refused_open_is_one_line(tmp_path, monkeypatch):
    """Root may open everything, so the system's refusal is played."""

    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    assert_refused(tmp_path / "plan.geojson", r"cannot be opened \(Permission denied\)")


def test_missing_and_empty(tmp_path):
    assert_refused(tmp_path / "nothing.geojson", "cannot be opened")
    (tmp_path / "empty.geojson").touch()
    assert_refused(tmp_path / "empty.geojson", "is empty")


def test_too_large_is_told_without_reading_it_all(tmp_path):
    path = tmp_path / "plan.geojson"
    with path.open("wb") as stream:
        stream.truncate(10 * SITE.file_bytes)
    assert_refused(path, "is larger than 50 MB")
    (tmp_path / "small").write_bytes(b"12345")
    assert read_regular(tmp_path / "small", limit=5) == b"12345"
    with pytest.raises(InputRefused, match="larger"):
        read_regular(tmp_path / "small", limit=4)


def test_utf16(tmp_path):
    for encoding in ("utf-16", "utf-16-le", "utf-16-be"):
        (tmp_path / "plan.geojson").write_bytes(POINT.decode().encode(encoding))
        assert_refused(tmp_path / "plan.geojson", "UTF-16")


def test_a_disk_that_fails_while_it_is_read():
    class Broken(io.BytesIO):
        def read(self, *_):
            raise OSError(5, "Input/output error")

    with pytest.raises(InputRefused, match=r"standard input: cannot be read \(Input/output"):
        admit_stream(Broken())


@pytest.mark.skipif(sys.platform != "linux", reason="a file that opens and cannot be read")
def test_a_file_that_opens_and_cannot_be_read():
    assert_refused("/proc/self/mem", "cannot be read")


def test_suffix_and_content_disagree(tmp_path):
    (tmp_path / "plan.kml").write_bytes(POINT)
    assert_refused(tmp_path / "plan.kml", r"is named \.kml but holds geojson")


@pytest.mark.parametrize(
    "name",
    [
        "http://192.0.2.1/plan.geojson",  # RFC 5737: an address for examples, never routed
        "HTTPS://192.0.2.1/plan.geojson",
        "file:///etc/passwd",
        "/vsicurl/http://192.0.2.1/plan.geojson",
        "/vsizip/plan.zip",
        "/VSIMEM/x",
        "<OGRVRTDataSource></OGRVRTDataSource>",
        '{"type": "Point", "coordinates": [0, 0]}',
        "plan\0.geojson",
    ],
)
def test_names_that_a_library_would_obey(name):
    assert_refused(name, "not the path of a file|NUL")


@pytest.mark.parametrize("name", ["CSV:plan.csv", "GeoJSON:plan", "-", "a" * 300])
def test_other_odd_names_are_only_names(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert_refused(name, "cannot be opened")


def test_the_message_hides_the_folder_and_the_colours(tmp_path):
    message = assert_refused(tmp_path / "\x1b[31mplan\u202e.geojson", "cannot be opened")
    assert str(tmp_path) not in message
    assert "\\x1b[31mplan\\u202e.geojson" in message


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
def test_a_name_that_is_no_text(tmp_path):
    message = assert_refused(Path(os.fsdecode(os.fsencode(tmp_path) + b"/\xff.geojson")), "cannot")
    assert message.isprintable()


def test_parts_of_a_loose_shapefile(tmp_path):
    for name in ("plan.shp", "plan.DBF", "plan.prj", "other.dbf", "plan.shp.xml", "plan.sbn"):
        (tmp_path / name).write_bytes(SHP if name == "plan.shp" else name.encode())
    (tmp_path / "plan.cpg").touch()  # empty, as some programs leave it
    assert admit(tmp_path / "plan.shp").parts == {".dbf": b"plan.DBF", ".prj": b"plan.prj"}


def test_a_part_of_one_byte_is_one(tmp_path):
    (tmp_path / "plan.shp").write_bytes(SHP)
    (tmp_path / "plan.cpg").write_bytes(b"7")
    assert admit(tmp_path / "plan.shp").parts == {".cpg": b"7"}


@pytest.mark.parametrize("name", ["plan.zip", "plan.ZIP"])
def test_a_packed_shapefile_has_its_parts_inside(tmp_path, name):
    with zipfile.ZipFile(tmp_path / name, "w") as archive:
        archive.writestr("plan.shp", SHP)
    (tmp_path / "plan.dbf").write_bytes(b"of another plan")
    source = admit(tmp_path / name)
    assert (source.kind, source.parts) == ("shp", {})


def test_a_part_that_is_there_in_two_cases_is_read_once(tmp_path):
    for name in ("plan.shp", "plan.DBF", "plan.dbf"):
        (tmp_path / name).write_bytes(SHP)
    if len(list(tmp_path.iterdir())) < 3:
        pytest.skip("this disk does not tell cases apart")
    assert list(admit(tmp_path / "plan.shp").parts) == [".dbf"]


def test_a_part_that_is_a_broken_link_or_a_pipe(tmp_path):
    (tmp_path / "plan.shp").write_bytes(SHP)
    (tmp_path / "plan.dbf").symlink_to("gone.dbf")
    assert "plan.dbf" in assert_refused(tmp_path / "plan.shp", "cannot be opened")


def test_parts_of_a_picture(tmp_path):
    for name in ("plan.png", "plan.PGW", "plan.prj", "plan.tfw", "plan.dbf"):
        (tmp_path / name).write_bytes(b"\x89PNG" if name == "plan.png" else name.encode())
    assert admit(tmp_path / "plan.png").parts == {".pgw": b"plan.PGW", ".prj": b"plan.prj"}


def test_parts_count_towards_the_limit(tmp_path):
    (tmp_path / "plan.shp").write_bytes(SHP)
    with (tmp_path / "plan.dbf").open("wb") as stream:
        stream.truncate(SITE.file_bytes)
    assert_refused(tmp_path / "plan.shp", "larger")


def test_a_folder_that_cannot_be_listed(tmp_path, monkeypatch):
    (tmp_path / "plan.shp").write_bytes(SHP)

    def refuse(_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refuse)
    assert assert_refused(tmp_path / "plan.shp", "cannot be listed") == (
        "plan.shp: the folder of the file cannot be listed (Permission denied)."
        " Nothing was changed. Copy it with its .shx, .dbf, .prj, .cpg to a folder of your own."
    )


def test_standard_input_takes_text_only():
    assert admit_stream(io.BytesIO(POINT)).kind == "geojson"
    assert admit_stream(io.BytesIO(b"lon,lat\n")).kind == "csv"
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w") as archive:
        archive.writestr("doc.kml", "<kml/>")
    with pytest.raises(InputRefused, match="holds kmz, which is not text"):
        admit_stream(io.BytesIO(memory.getvalue()))
    with pytest.raises(InputRefused, match="is empty"):
        admit_stream(io.BytesIO())


def test_one_byte_more_than_allowed_is_asked_for_and_no_more():
    asked = []

    class Counted(io.BytesIO):
        def read(self, size=-1):
            asked.append(size)
            return super().read(size)

    assert admit_stream(Counted(POINT)).data == POINT
    assert asked == [SITE.file_bytes + 1]


def opened_with(monkeypatch, path):
    flags = []
    true_open = os.open

    def opening(name, how, *rest):
        flags.append(how)
        return true_open(name, how, *rest)

    monkeypatch.setattr(os, "open", opening)
    read_regular(path)
    return flags


@posix
def test_a_file_is_opened_without_waiting_for_a_writer(tmp_path, monkeypatch):
    (tmp_path / "plan").write_bytes(b"1")
    assert opened_with(monkeypatch, tmp_path / "plan") == [os.O_RDONLY | os.O_NONBLOCK]


def test_where_there_is_no_such_way_it_is_opened_all_the_same(tmp_path, monkeypatch):
    (tmp_path / "plan").write_bytes(b"1")
    monkeypatch.delattr(os, "O_NONBLOCK", raising=False)
    assert opened_with(monkeypatch, tmp_path / "plan") == [os.O_RDONLY]
    monkeypatch.setattr(os, "O_BINARY", 0o1000000, raising=False)
    assert opened_with(monkeypatch, tmp_path / "plan")[0] & 0o1000000


def test_a_name_of_half_characters_is_refused_in_words(tmp_path):
    with pytest.raises(InputRefused, match="has a name that cannot be one here") as caught:
        read_regular(tmp_path / "\ud800.geojson")
    assert caught.value.remedy == "Check the path."
    assert str(caught.value).isprintable()


def test_what_is_wrong_with_a_pipe_is_told_by_its_name():
    with pytest.raises(InputRefused, match="is an SVG picture") as caught:
        admit_stream(io.BytesIO(b"<svg/>"), "mail")
    assert caught.value.file == "mail"
