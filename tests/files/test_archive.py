"""Archives that others read without a word, put together byte by byte after APPNOTE.TXT 6.3.9."""

import io
import stat
import time
import zipfile

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.archive import entry_names, read_entries
from lawnmap.files.limits import SITE
from tests.files.zips import KML, Entry, packed


def assert_refused(data, told, wanted=lambda _: True, **options):
    with pytest.raises(InputRefused, match=told) as caught:
        read_entries(data, name="plan.kmz", wanted=wanted, **options)
    assert caught.value.file == "plan.kmz"
    assert caught.value.remedy
    return caught.value


def test_the_bytes_here_are_a_sound_archive_to_the_standard_library():
    data = packed(Entry("doc.kml"), Entry("files/a.png", b"x"))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        assert archive.read("doc.kml") == KML


def test_wanted_entries_are_read():
    data = packed(Entry("doc.kml"), Entry("files/", b""), Entry("files/a.png", b"x"))
    assert entry_names(data, name="plan.kmz") == ["doc.kml", "files/a.png"]
    found = read_entries(data, name="plan.kmz", wanted=lambda entry: entry.endswith(".kml"))
    assert found == {"doc.kml": KML}


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
def test_archives_of_the_standard_library(method):
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", method) as archive:
        archive.writestr("plan/doc.kml", KML)
        with archive.open("plan/big.kml", "w", force_zip64=True) as stream:
            stream.write(KML)
        archive.comment = b"made by hand"
    found = read_entries(memory.getvalue(), name="plan.kmz", wanted=lambda _: True)
    assert found == {"plan/doc.kml": KML, "plan/big.kml": KML}


def test_an_archive_written_to_a_pipe_has_its_sizes_behind_the_content():
    class Pipe(io.BytesIO):
        def seekable(self):
            return False

        def seek(self, *_):
            raise io.UnsupportedOperation

    pipe = Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", KML)
        archive.writestr("b.kml", KML)
    found = read_entries(pipe.getvalue(), name="plan.kmz", wanted=lambda _: True)
    assert found == {"doc.kml": KML, "b.kml": KML}


def test_an_archive_behind_other_bytes_is_read():
    found = read_entries(packed(Entry("doc.kml"), before=b"#!stub\n"), name="a", wanted=bool)
    assert found == {"doc.kml": KML}


def test_backslashes_stand_between_folders():
    data = packed(Entry("plan\\doc.kml"))
    assert list(read_entries(data, name="a.kmz", wanted=bool)) == ["plan/doc.kml"]


UTF8_NAMES = 0x800  # the flag that says so: APPNOTE.TXT, 4.4.4, bit 11
LINK = stat.S_IFLNK | 0o777
PIPE = stat.S_IFIFO | 0o644
BAD = {
    "zip slip": (packed(Entry("../doc.kml")), "leads out"),
    "zip slip inside": (packed(Entry("a/../../doc.kml")), "leads out"),
    "zip slip by backslash": (packed(Entry("..\\doc.kml")), "leads out"),
    "absolute": (packed(Entry("/etc/doc.kml")), "leads out"),
    "drive": (packed(Entry("C:\\doc.kml")), "leads out"),
    "share": (packed(Entry("\\\\host\\doc.kml")), "leads out"),
    "link": (packed(Entry("doc.kml", b"/etc/passwd", mode=LINK)), "link or a device"),
    "pipe": (packed(Entry("doc.kml", mode=PIPE)), "link or a device"),
    "twice": (packed(Entry("doc.kml"), Entry("doc.kml", b"other")), "stands twice"),
    "twice by case": (packed(Entry("doc.kml"), Entry("DOC.kml")), "stands twice"),
    "twice by form": (
        packed(Entry("é.kml", flags=UTF8_NAMES), Entry("e\u0301.kml", flags=UTF8_NAMES)),
        "stands twice",
    ),
    "wrong checksum": (packed(Entry("doc.kml", crc=1)), "damaged"),
    "encrypted": (packed(Entry("doc.kml", flags=1)), "encrypted"),
    "encrypted strongly": (packed(Entry("doc.kml", flags=0x41)), "encrypted"),
    "other method": (packed(Entry("doc.kml", method=14)), "other than deflate"),
    "NUL in the name": (packed(Entry(b"doc.kml\0.png")), "NUL"),
    "archive inside": (packed(Entry("a.zip", packed(Entry("doc.kml")))), "within the archive"),
    "archive disguised": (packed(Entry("a.kml", packed(Entry("doc.kml")))), "within the archive"),
    "size said too small": (packed(Entry("doc.kml", size=5)), "damaged"),
    "size said too large": (packed(Entry("doc.kml", size=len(KML) + 5)), "damaged"),
    "not deflated": (packed(Entry("doc.kml", packed=b"\xff" * 40, packed_size=40)), "damaged"),
    "ratio": (packed(Entry("doc.kml", bytes(5_000_000))), "200 times"),
    "declared sum": (packed(Entry("doc.kml", size=100_000_001)), "more than 100 MB"),
    "cut short": (packed(Entry("doc.kml"))[:-30], "damaged"),
    "local header elsewhere": (packed(Entry("doc.kml", offset=3)), "damaged"),
    "offset past the end": (packed(Entry("doc.kml", offset=2**31)), "damaged"),
    "not an archive": (b"PK\3\4", "damaged"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_archives(case):
    data, told = BAD[case]
    assert_refused(data, told)


def test_names_that_differ_in_two_encodings_are_told_apart():
    data = packed(Entry("é.kml", flags=UTF8_NAMES), Entry("e.kml"))
    assert len(read_entries(data, name="plan.kmz", wanted=bool)) == 2


def test_entries_that_share_bytes():
    """CVE-2024-0450: Python before 3.11.8 and 3.12.2 reads these; 4 GB come out of 60 kB."""
    kernel = Entry("0.kml")
    copies = [Entry(f"{number}.kml", offset=0) for number in range(1, 5)]
    for copy in copies:
        copy.local = lambda: b""  # listed, but with no bytes of its own
    assert assert_refused(packed(kernel, *copies), "overlaps").place.endswith(".kml")


def test_an_entry_that_reaches_into_the_list_of_entries():
    # Stored, and said to be longer than there are bytes before the list begins.
    entry = Entry("doc.kml", b"x", method=0, packed=b"x", packed_size=40, size=40)
    assert_refused(packed(entry), "overlaps")


def test_quoted_overlap_in_a_stored_file():
    """The second file lies within the first one's content, in a place of its own."""
    inner = Entry("b.kml")
    outer = Entry("a.kml", method=0, packed=b"x" + inner.local(), crc=0)
    outer.packed_size = outer.size = len(outer.packed)
    listed = Entry("b.kml", offset=len(outer.local()) - len(inner.local()))
    listed.local = lambda: b""
    assert_refused(packed(outer, listed), "overlaps")


def test_small_tables_of_blanks_pack_well_and_are_fair():
    blanks = b" " * 900_000
    assert len(Entry("a.dbf", blanks).packed) * 200 < len(blanks)
    assert read_entries(packed(Entry("a.dbf", blanks)), name="a.zip", wanted=bool) == {
        "a.dbf": blanks
    }


def test_too_many_entries_are_counted_before_they_are_listed():
    many = packed(*(Entry(f"{n}.kml", b"x") for n in range(SITE.archive_entries + 1)))
    assert_refused(many, "more than 1,000 files")
    fair = packed(*(Entry(f"{n}.kml", b"x") for n in range(SITE.archive_entries)))
    assert len(entry_names(fair, name="a.kmz")) == SITE.archive_entries
    tight = SITE._replace(archive_entries=2)
    assert_refused(
        packed(*(Entry(f"{n}.kml") for n in range(3))), "more than 2 files", limits=tight
    )


def test_a_bomb_of_many_files_is_refused_by_its_sum():
    entries = [Entry(f"{n}.kml", bytes(999_999)) for n in range(150)]
    start = time.process_time()
    assert_refused(packed(*entries), "unpacks to more than 100 MB")
    assert time.process_time() - start < 5


def test_an_archive_of_nothing():
    assert entry_names(packed(), name="a.kmz") == []


def test_a_long_name_leaves_room_for_what_is_wrong():
    error = assert_refused(packed(Entry("../" + "a" * 5_000)), "leads out")
    assert "leads out" in str(error)


def test_only_what_is_wanted_is_unpacked():
    data = packed(Entry("doc.kml"), Entry("a.png", crc=1))
    assert read_entries(data, name="a.kmz", wanted=lambda entry: entry == "doc.kml")
    assert_refused(data, "damaged")


def test_just_as_much_as_is_allowed():
    data = packed(Entry("a.kml", b"x" * 500), Entry("b.kml", b"x" * 500))
    assert len(entry_names(data, name="a.kmz", limits=SITE._replace(archive_bytes=1_000))) == 2
    with pytest.raises(InputRefused, match="unpacks to more"):
        entry_names(data, name="a.kmz", limits=SITE._replace(archive_bytes=999))


@pytest.mark.parametrize(("packed_size", "most"), [(10_000, 2_000_000), (100, 1_000_000)])
def test_the_ratio_just_allowed(packed_size, most):
    """Names are listed by what the archive says of itself; nothing is unpacked for that."""
    entry = Entry("a.kml", packed=b"x" * packed_size, packed_size=packed_size, size=most)
    assert entry_names(packed(entry), name="a.kmz") == ["a.kml"]
    entry.size += 1
    with pytest.raises(InputRefused, match="more than 200 times its size"):
        entry_names(packed(entry), name="a.kmz")


@pytest.mark.parametrize(("length", "shown"), [(80, 80), (81, 80)])
def test_a_long_name_is_shown_so_far(length, shown):
    name = "../" + "a" * (length - 3)
    place = assert_refused(packed(Entry(name)), "leads out").place
    assert len(place) == shown
    assert place == (name if length <= shown else name[:79] + "…")
