"""What was done: rows are added, and nothing that stands there is lost or run."""

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import SiteDamaged
from lawnmap.store.folder import Folder
from lawnmap.store.record import COLUMNS, Record, kept_torn, read, with_rows


def folder_with(tmp_path, data):
    tmp_path.joinpath("record.csv").write_bytes(data)
    return Folder(tmp_path)


def test_there_is_no_record_yet(tmp_path):
    assert read(Folder(tmp_path)) == Record(COLUMNS, ())
    assert read(folder_with(tmp_path, b"")) == Record(COLUMNS, ())


def test_rows_are_added_behind_those_there_are(tmp_path):
    old = with_rows(Record(COLUMNS, ()), [{"record_id": "a", "note": 'said "no", twice\nover'}])
    record = read(folder_with(tmp_path, old))
    both = with_rows(record, [{"record_id": "b", "amount": "2.5"}])
    assert both.startswith(old)
    found = read(folder_with(tmp_path, both)).rows
    assert [row["record_id"] for row in found] == ["a", "b"]
    assert found[0]["note"] == 'said "no", twice\nover'


def test_columns_that_somebody_added_are_kept(tmp_path):
    folder = folder_with(tmp_path, b"record_id,wind\r\na,3\r\n")
    record = read(folder)
    assert record.columns == (*COLUMNS, "wind")
    assert b",3\n" in with_rows(record, [{"record_id": "b"}])


@pytest.mark.parametrize("said", ["=1+1", "+1", "-1", "@a", "\t=1", "'=1", "''"])
def test_no_cell_is_a_formula(tmp_path, said):
    data = with_rows(Record(COLUMNS, ()), [{"record_id": "a", "note": said}])
    # RFC 4180 as the standard library reads it: what a spreadsheet would get
    cell = next(csv.DictReader(data.decode().splitlines()))["note"]
    assert cell[:1] not in set("=+-@\t")
    assert read(folder_with(tmp_path, data)).rows[0]["note"] == said


def test_a_torn_last_line_is_kept_aside_and_told(tmp_path):
    whole = with_rows(Record(COLUMNS, ()), [{"record_id": "a"}])
    folder = folder_with(tmp_path, whole + b"b,,,front")
    record = read(folder)
    assert [row["record_id"] for row in record.rows] == ["a"]
    assert record.torn == "b,,,front"
    files, told = kept_torn(folder, record)
    assert "record.torn.csv" in told[0]
    assert files == {"record.torn.csv": b"b,,,front\n"}
    (tmp_path / "record.torn.csv").write_bytes(b"a,,,back\n")  # of an earlier day
    assert kept_torn(folder, record)[0]["record.torn.csv"] == b"a,,,back\nb,,,front\n"
    assert kept_torn(folder, read(folder_with(tmp_path, whole))) == ({}, ())


def test_a_last_line_without_its_end_is_whole_when_every_cell_is_there(tmp_path):
    folder = folder_with(tmp_path, b"record_id,note\na,b")
    assert read(folder).rows[0]["note"] == "b"


@pytest.mark.parametrize("data", [b"a,b\n1,2\n", b'record_id\n"open\n', b"record_id\n\xff\n"])
def test_what_is_no_record_is_left_as_it_is(tmp_path, data):
    folder = folder_with(tmp_path, data)
    with pytest.raises(SiteDamaged, match=r"record\.csv"):
        read(folder)
    assert (tmp_path / "record.csv").read_bytes() == data


@given(
    said=st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r"), max_size=30)
)
def test_any_note_comes_back_as_it_was_said(tmp_path_factory, said):
    data = with_rows(Record(COLUMNS, ()), [{"record_id": "a", "note": said}])
    folder = folder_with(tmp_path_factory.mktemp("record"), data)
    assert read(folder).rows[0]["note"] == said
