"""Every refusal of a file, word for word: what is wrong, where, and what to do about it."""

import csv
import errno
import io
import os
import stat
import zipfile

import pytest

from lawnmap.errors import Busy, InputRefused, UsageProblem, WriteFailed
from lawnmap.files import json_text
from lawnmap.files.admit import admit, admit_stream, read_regular
from lawnmap.files.alone import put
from lawnmap.files.archive import read_entries
from lawnmap.files.commit import commit, temp_of, write_failed
from lawnmap.files.csv_text import header
from lawnmap.files.csv_text import parse as parse_table
from lawnmap.files.disk import Disk
from lawnmap.files.kind import kind_of
from lawnmap.files.limits import SITE
from lawnmap.files.lock import locked
from lawnmap.files.platform import lock_exclusive
from lawnmap.files.utf8 import decode
from lawnmap.files.xml_text import parse as parse_xml
from tests.disks import Without
from tests.files.zips import Entry, packed

LINK = stat.S_IFLNK | 0o777
DONE = "Nothing was changed."


class Broken(io.BytesIO):
    def read(self, *_):
        raise OSError(5, "Input/output error")


class ReadOnly(Disk):
    """To the owner of the machine every file is writable; to this user none is."""

    def do(self, call, /, *args, **kwargs):
        return False if call is os.access else super().do(call, *args, **kwargs)


def parse_long_cell():
    """Another library may have raised the limit that the csv module has by itself."""
    before = csv.field_size_limit(10**9)
    try:
        parse_table("a\n" + "x" * 131_073, ",", most_cells=9)
    finally:
        csv.field_size_limit(before)


def zipped(entry):
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w") as archive:
        archive.writestr(entry, "x")
    return memory.getvalue()


def opened(archive, **options):
    return read_entries(archive, name="plan.kmz", wanted=bool, **options)


REFUSED = [
    (
        lambda: admit("/nowhere/plan.kml"),
        "plan.kml: cannot be opened (No such file or directory).",
        "Check the path.",
    ),
    (
        lambda: admit("http://192.0.2.1/plan.kml"),
        "this is not the path of a file.",
        "Addresses and inline content are not read: save the file and give its path.",
    ),
    (
        lambda: admit("plan\0.kml"),
        "the file name holds a NUL character.",
        "Give the path of a file.",
    ),
    (lambda: admit("/dev/null"), "null: is not an ordinary file.", "Give a file on disk."),
    (
        lambda: admit_stream(io.BytesIO(b"\x89PNG")),
        "standard input: holds png, which is not text.",
        "Give this kind as a file.",
    ),
    (
        lambda: admit_stream(Broken(), "plan.csv"),
        "plan.csv: cannot be read (Input/output error).",
        "Copy it to another disk.",
    ),
    (
        lambda: kind_of(b"<kml/>", "plan.csv"),
        "plan.csv: is named .csv but holds kml.",
        "Give the file its true suffix and read it again.",
    ),
    (
        lambda: kind_of(b"lon", "plan.kml"),
        "plan.kml: is named .kml but its content is not that.",
        "Export the plan again, or give the file its true suffix.",
    ),
    (
        lambda: kind_of(b"AC10", "plan.dwg"),
        "plan.dwg: is a DWG drawing.",
        "Save the drawing as DXF, or ask whoever drew it for that.",
    ),
    (
        lambda: kind_of(b"<svg/>", "plan.svg"),
        "plan.svg: is an SVG picture.",
        "Export the drawing as DXF, or as a PNG with control points.",
    ),
    (
        lambda: kind_of(b"<html>", "plan.kml"),
        "plan.kml: is a web page.",
        "Save the plan itself, not the page about it.",
    ),
    (
        lambda: kind_of(b"<gml:FeatureCollection/>", "plan.gml"),
        "plan.gml: is a GML file.",
        "Save the plan as GeoJSON or GeoPackage.",
    ),
    (
        lambda: kind_of(zipped("xl/workbook.xml"), "plan.xlsx"),
        "plan.xlsx: is an Excel workbook.",
        "Save the sheet as CSV.",
    ),
    (
        lambda: kind_of(b"<a:b/>", "plan.xml"),
        "plan.xml: is XML with the root element <b>.",
        "Save the plan as GeoJSON, KML, GPX or OpenStreetMap XML.",
    ),
    (
        lambda: kind_of(b"<?xml?>", "plan.xml"),
        "plan.xml: is XML with the root element <?>.",
        "Save the plan as GeoJSON, KML, GPX or OpenStreetMap XML.",
    ),
    (
        lambda: kind_of(zipped("a.txt"), "plan.zip"),
        "plan.zip: is a zip archive without a shapefile or a KML file in it.",
        "Zip the .shp with its .shx, .dbf and .prj, or unpack it and give the plan itself.",
    ),
    (
        lambda: kind_of("{}".encode("utf-16"), "plan.json"),
        "plan.json: is text in UTF-16.",
        "Save it as UTF-8 and read it again.",
    ),
    (
        lambda: decode(b"S\xfcd", "plan.csv"),
        "plan.csv: is not UTF-8 text (byte 2; it looks like Latin-1 or Windows-1252).",
        "Save it as UTF-8 and read it again.",
    ),
    (
        lambda: decode(b"ab\0", "plan.csv"),
        "plan.csv: is not UTF-8 text (byte 3; NUL).",
        "Save it as UTF-8 and read it again.",
    ),
    (
        lambda: decode(b"a\0b\0", "plan.csv"),
        "plan.csv: is not UTF-8 text (byte 2; it looks like UTF-16).",
        "Save it as UTF-8 and read it again.",
    ),
    (
        lambda: json_text.loads(b"[1,]", name="a.json"),
        "a.json: line 1, column 4: is not JSON: Expecting value.",
        "Export the file again.",
    ),
    (
        lambda: json_text.loads(b"[NaN]", name="a.json"),
        "a.json: NaN is not a number JSON knows.",
        "Correct it or leave it out.",
    ),
    (
        lambda: json_text.loads(b"[1e400]", name="a.json"),
        "a.json: the number 1e400 is too large.",
        "Correct it.",
    ),
    (
        lambda: json_text.loads(b"[" + b"7" * 31 + b"]", name="a.json"),
        "a.json: the number 77777777777777777777… has too many digits.",
        "Correct it.",
    ),
    (
        lambda: json_text.loads(
            b'{"' + b"k" * 50 + b'": 1, "' + b"k" * 50 + b'": 2}', name="a.json"
        ),
        "a.json: the key 'kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk' stands twice in one object.",
        "Keep one of the two.",
    ),
    (
        lambda: json_text.loads(b"[[[1]]]", name="a.json", nesting=2),
        "a.json: brackets are nested more than 2 deep.",
        "Flatten the data.",
    ),
    (
        lambda: json_text.loads(b"[" * 99_999, name="a.json"),
        "a.json: brackets are nested more than 64 deep.",
        "Flatten the data.",
    ),
    (
        lambda: json_text.loads(b'["a\\ud800"]', name="a.json"),
        "a.json: the text 'a\\\\ud800' holds half a character (an unpaired surrogate).",
        "Type the text again.",
    ),
    (
        lambda: parse_table('a,b\n1,"2', ",", most_cells=9),
        "line 2: is not a sound table (unexpected end of data).",
        "Look for a quote that is not closed.",
    ),
    (
        lambda: parse_table("a,b\n1\n", ",", most_cells=9),
        "line 2: has 1 cells under 2 column names.",
        "Quote cells that hold the separator; numbers have a decimal point, no comma.",
    ),
    (
        lambda: parse_table("a,b\n" + "1,2\n" * 501, ",", most_cells=1_000),
        "holds more than 1,000 cells or lines.",
        "Cut it down to the site.",
    ),
    (lambda: parse_table("a,,c", ",", most_cells=9), "line 1: column 2 has no name.", "Name it."),
    (
        lambda: parse_table("a, A " + "", ",", most_cells=9),
        "line 1: two columns are called 'A'.",
        "Rename one of them.",
    ),
    (
        parse_long_cell,
        "line 2: has a cell of more than 131,072 characters.",
        "Save long outlines as GeoJSON.",
    ),
    (
        lambda: header("a," * 1_001, ","),
        "has more than 1,000 columns.",
        "Leave out those that are not needed.",
    ),
    (
        lambda: parse_xml(b"<a>\n<b></a>", name="plan.kml"),
        "plan.kml: line 2, column 6: is not well-formed XML (mismatched tag).",
        "Export the file again.",
    ),
    (
        lambda: parse_xml(b"<!DOCTYPE a><a/>", name="plan.kml"),
        "plan.kml: line 1: has a DOCTYPE, which can name other files and swell without end.",
        "Take the DOCTYPE out, or export the file again.",
    ),
    (
        lambda: parse_xml(b"<a><a><a/></a></a>", name="plan.kml", nesting=2),
        "plan.kml: line 1: elements are nested more than 2 deep.",
        "Flatten the folders.",
    ),
    (
        lambda: parse_xml(b'<?xml version="1.0" encoding="utf-7"?><a/>', name="plan.kml"),
        "plan.kml: is in the encoding utf-7.",
        "Save it as UTF-8.",
    ),
    (
        lambda: parse_xml(
            b'<?xml version="1.0" encoding="windows-1252"?><a>\x81</a>', name="plan.kml"
        ),
        "plan.kml: is not windows-1252, as it says (byte 49).",
        "Save it as UTF-8.",
    ),
    (lambda: opened(b"PK\3\4"), "plan.kmz: is a damaged zip archive.", "Make the archive again."),
    (
        lambda: opened(packed(Entry("../doc.kml"))),
        "plan.kmz: ../doc.kml: the name leads out of the archive.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml"), Entry("A.KML"))),
        "plan.kmz: A.KML: the name stands twice in the archive.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml", crc=1))),
        "plan.kmz: a.kml: is a damaged zip archive.",
        "Make the archive again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml", packed(Entry("b.kml"))))),
        "plan.kmz: a.kml: is an archive within the archive.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml"), Entry("b.kml", offset=0))),
        "plan.kmz: a.kml: overlaps another entry of the archive.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(
            packed(Entry("a.kml"), Entry("b.kml")), limits=SITE._replace(archive_entries=1)
        ),
        "plan.kmz: holds more than 1 files.",
        "Zip the plan alone.",
    ),
    (
        lambda: opened(packed(Entry("a.kml")), limits=SITE._replace(archive_bytes=400)),
        "plan.kmz: unpacks to more than 0 MB.",
        "Zip the plan alone.",
    ),
    (
        lambda: opened(packed(Entry("a.kml", mode=LINK))),
        "plan.kmz: a.kml: is a link or a device, not a file.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml", flags=1))),
        "plan.kmz: a.kml: is encrypted.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml", method=14))),
        "plan.kmz: a.kml: is packed by a method other than deflate.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml", bytes(2_000_000)))),
        "plan.kmz: a.kml: unpacks to more than 200 times its size.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.kml\0.png"))),
        "plan.kmz: a.kml\\x00.png: the name holds a NUL character.",
        "Zip the plan's own files again.",
    ),
    (
        lambda: opened(packed(Entry("a.zip"))),
        "plan.kmz: a.zip: is an archive within the archive.",
        "Zip the plan's own files again.",
    ),
]


@pytest.mark.parametrize(("call", "problem", "remedy"), REFUSED)
def test_what_is_told_of_an_input(call, problem, remedy):
    with pytest.raises(InputRefused) as caught:
        call()
    assert str(caught.value) == f"{problem} {DONE} {remedy}"


def test_what_is_told_of_a_file(tmp_path):
    (tmp_path / "plan.kml").write_bytes(b"x" * 3_000_001)
    (tmp_path / "empty.kml").touch()
    for call, told in (
        (lambda: admit(tmp_path), f"{tmp_path.name}: is a folder. {DONE} Give a file in it."),
        (
            lambda: read_regular(tmp_path / "plan.kml", limit=3_000_000, remedy=""),
            "plan.kml: is larger than 3 MB. Nothing was changed."
            " Cut the plan down to the site, or split it.",
        ),
        (
            lambda: admit(tmp_path / "empty.kml"),
            "empty.kml: is empty (0 bytes). Nothing was changed. Export the plan again.",
        ),
        (
            lambda: read_regular(tmp_path / "empty.kml"),
            "empty.kml: is empty (0 bytes). Nothing was changed. Put back a copy of yours.",
        ),
    ):
        with pytest.raises(InputRefused) as caught:
            call()
        assert str(caught.value) == told


def piped(path):
    os.mkfifo(path.with_name("pipe"))
    return path.with_name("pipe")


def begun(path):
    temp_of(path).write_bytes(b"")
    return path


def hold(path, **options):
    with locked(path, **options):
        pytest.fail("not locked")


def hold_twice(path):
    with locked(path):
        hold(path, wait_s=0)


def put_twice(path):
    handle = os.open(path.parent, os.O_RDONLY)
    try:
        assert lock_exclusive(handle)
        put(path, b"1", force=True, wait_s=0)
    finally:
        os.close(handle)


UNWRITTEN = [
    (
        lambda path: commit(path.parent / "none" / "a.csv", b"1", force=True),
        WriteFailed,
        "a.csv: could not be written: its folder does not exist.",
        "Make the folder first, or write somewhere else.",
    ),
    (
        lambda path: commit(path.parent, b"1", force=True),
        WriteFailed,
        "FOLDER: is a folder.",
        "Give the name of a file.",
    ),
    (
        lambda path: commit(piped(path), b"1", force=True),
        WriteFailed,
        "pipe: is not an ordinary file.",
        "Give the name of a file.",
    ),
    (
        lambda path: commit(path, b"1", force=False),
        UsageProblem,
        "a.csv: is there already.",
        "Give --force to replace it, or choose another name.",
    ),
    (
        lambda path: commit(path, b"1", force=True, disk=ReadOnly()),
        WriteFailed,
        "a.csv: is read-only.",
        "Make it writable, or choose another name.",
    ),
    (
        lambda path: commit(begun(path), b"1", force=True),
        Busy,
        "a.csv: another write is going on, or one was cut off: .a.csv.tmp is there.",
        "If no other lawnmap is running, delete .a.csv.tmp and try again.",
    ),
    (
        lambda path: hold(path, disk=Without("lock_exclusive", error=errno.ENOLCK)),
        WriteFailed,
        "a.csv: the disk cannot lock a file (No locks available).",
        "Keep the site on a disk of this machine.",
    ),
    (
        hold_twice,
        Busy,
        "a.csv: another lawnmap is writing here.",
        "Wait until it is done, or close it, and try again.",
    ),
    (
        put_twice,
        Busy,
        "a.csv: another lawnmap is writing in its folder.",
        "Wait until it is done, and try again.",
    ),
    (
        lambda path: hold(path, guards="Elm Row", disk=Without("open", error=errno.EROFS)),
        WriteFailed,
        "Elm Row: could not be written (Read-only file system).",
        "The disk is read-only: write somewhere else.",
    ),
    (
        lambda path: hold(path, disk=Without("stat", error=errno.EIO)),
        WriteFailed,
        "a.csv: could not be written (Input/output error).",
        "Check the disk and the path, and try again.",
    ),
]


@pytest.mark.skipif(os.name != "posix", reason="needs pipes, and the system's words")
@pytest.mark.parametrize(("call", "kind", "problem", "remedy"), UNWRITTEN)
def test_what_is_told_of_a_write(tmp_path, call, kind, problem, remedy):
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")
    with pytest.raises(kind) as caught:
        call(path)
    told = f"{problem} {DONE} {remedy}".replace("FOLDER", tmp_path.name)
    assert str(caught.value) == told
    assert path.read_bytes() == b"old"


# errno.h: what a person can do about each.
REMEDIES = {
    errno.ENOSPC: "Make room on the disk and try again.",
    errno.EDQUOT: "Make room in your quota and try again.",
    errno.EFBIG: "The system limits the size of files: raise the limit and try again.",
    errno.EACCES: "Ask for the right to write in that folder, or write somewhere else.",
    errno.EPERM: "Ask for the right to write in that folder, or write somewhere else.",
    errno.EROFS: "The disk is read-only: write somewhere else.",
    errno.ENAMETOOLONG: "Choose a shorter name.",
    errno.EIO: "Check the disk and the path, and try again.",
}


@pytest.mark.parametrize("number", REMEDIES)
def test_what_is_told_of_a_disk(tmp_path, number):
    error = write_failed(tmp_path / "a.csv", OSError(number, os.strerror(number)))
    assert (error.file, error.done, error.remedy) == ("a.csv", DONE, REMEDIES[number])
    assert error.problem == f"could not be written ({os.strerror(number)})"


def test_what_is_told_of_an_error_without_a_number(tmp_path):
    told = write_failed(tmp_path / "a.csv", RuntimeError("Symlink loop"), done="Half is done.")
    assert (told.problem, told.done) == ("could not be written (Symlink loop)", "Half is done.")
    assert told.remedy == REMEDIES[errno.EIO]
