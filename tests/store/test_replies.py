"""The envelope of a reply: a file or a mail, its digest, and every way it can be damaged."""

import hashlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.files.kind import kind_of
from lawnmap.processing.replying.reply_content import checked
from lawnmap.store.folder import Folder
from lawnmap.store.replies import LARGEST, listed, opened
from tests.readers.mutants import outcomes
from tests.replies import content, mailed, reply, sealed

RICH = reply(
    zones=[{"zone_id": "back", "base": {"moss_rating": 1}, "now": {"moss_rating": 3}}],
    sketches=[{"id": "s", "name": "Ünten", "ring": [[0, 0], [9, 0], [9, 9]], "at": [1, 2],
               "how": "paces", "facts": {}}],
    places=[{"feature": "tree", "lonlat": [1, 2], "zone_id": "", "facts": {"height_m": 4}}],
    cores=[{"id": "c", "zone_id": "back", "lonlat": None, "thatch_mm": 3, "moss_hits": 1,
            "moss_points": 9, "date": "2027-03-01", "note": "n"}],
    comments=[{"id": "k", "zone_id": "", "text": "Mind the ‘bulbs’\n\U0001f337"}],
    agreements=[{"zone_id": "", "issued": "0123456789ab", "name": "B", "conditions": ""}],
    work=[{"id": "w", "zone_id": "back", "operation": "mowing", "application": "", "amount": 2.5,
           "date": "2027-02-01", "unit": "g", "note": ""}],
    answers={"Dog?": "yes"},
)  # fmt: skip


def test_the_digest_is_sha256_of_the_contents_bytes():
    envelope = opened(RICH, name="r.json")
    text = json.loads(RICH)["content"]
    assert envelope.digest == hashlib.sha256(text.encode()).hexdigest()
    assert envelope.path == f"replies/{envelope.digest}.json"
    assert opened(envelope.data, name="kept").digest == envelope.digest


@pytest.mark.parametrize("quote", ["", "> ", ">> ", "| ", "\u00a0> "])
@pytest.mark.parametrize("width", [64, 37, 5000])
def test_a_mail_is_read_however_it_was_quoted_and_wrapped(quote, width):
    mail = mailed(RICH, quote=quote, width=width)
    assert kind_of(mail, "mail.txt") == "reply"
    assert opened(mail, name="mail.txt").data == opened(RICH, name="r.json").data


def test_lines_that_a_mail_program_broke_between_its_marks():
    mail = mailed(RICH).replace(b"BEGIN LAWNMAP REPLY", b"BEGIN LAWNMAP\r\n> REPLY")
    mail = mail.replace(b"-----", "—–".encode()).replace(b"\n", b"\r\n")
    assert opened(mail, name="m.eml").digest == opened(RICH, name="").digest


@pytest.mark.parametrize("quote", ["", "> "])
@pytest.mark.parametrize("lost", [("BEGIN",), ("END",), ("BEGIN", "END")])
def test_text_pasted_without_its_marks_is_told_what_to_paste(lost, quote):
    lines = mailed(RICH, quote=quote).decode().splitlines()
    kept = [line for line in lines if not any(f"{word} LAWNMAP" in line for word in lost)]
    pasted = "\n".join(kept).encode()
    assert kind_of(pasted, "mail.txt") == "reply"
    with pytest.raises(InputRefused) as caught:
        opened(pasted, name="mail.txt")
    which = "first" if "BEGIN" in lost else "last"
    assert f"{which} line is missing" in str(caught.value)
    assert "from the line BEGIN LAWNMAP REPLY down to the line END LAWNMAP REPLY" in str(
        caught.value
    )


def test_an_equals_sign_in_quoted_printable():
    short = next(
        each for each in (reply(by="x" * n) for n in range(3)) if mailed(each).count(b"=\n")
    )
    mail = mailed(short).replace(b"=", b"=3D")
    assert opened(mail, name="m.eml").digest == opened(short, name="").digest


def test_a_mail_that_quotes_the_same_reply_twice_holds_one():
    twice = mailed(RICH) + b"\n" + mailed(RICH, quote="> ")
    assert opened(twice, name="m").digest == opened(RICH, name="").digest
    with pytest.raises(InputRefused, match="2 different replies"):
        opened(mailed(RICH) + b"\n" + mailed(reply()), name="m")


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        (lambda d: d.replace(b"back", b"beck", 1), "digest does not match"),
        (lambda d: d.replace(b'"digest": "', b'"digest": "0', 1), "digest does not match"),
        (lambda d: d[:-20], "is not JSON"),
        (lambda d: d.replace(b'"lawnmap_reply": 1', b'"lawnmap_reply": 2'), "newer lawnmap"),
        (lambda d: d.replace(b'"lawnmap_reply": 1', b'"lawnmap_reply": true'), "whole number"),
        (lambda d: d.replace(b'"digest"', b'"more": 1, "digest"', 1), "not made as a reply"),
        (lambda d: b'{"lawnmap_reply": 1}', "not made as a reply"),
        (lambda d: sealed("[]"), "not an object"),
        (lambda d: sealed('{"a":NaN}'), "NaN"),
        (lambda d: sealed('{"a":1,"a":2}'), "twice"),
        (lambda d: sealed("[" * 40 + "]" * 40), "nested"),
        (lambda d: mailed(d)[:-60], "cut off"),
        (lambda d: mailed(d).replace(b"\neyJ", b"\nJeyJ"), "damaged"),
        (lambda d: b"Hello, no reply here", "its first line is missing"),
        (lambda d: b" " * (LARGEST + 1), "larger than 5 MB"),
        (lambda d: b"BEGIN LAWNMAP REPLY " * 50 + b"END LAWNMAP REPLY", "damaged"),
    ],
)
def test_a_damaged_reply_is_refused_with_its_name(change, problem):
    with pytest.raises(InputRefused) as caught:
        opened(change(RICH), name="r.json")
    assert problem in str(caught.value)
    assert str(caught.value).startswith("r.json: ")


def test_kinds():
    assert kind_of(RICH, "r.json") == "reply"
    assert kind_of(RICH, "r.txt") == "reply"
    assert kind_of(b'{"type": "FeatureCollection"}', "r.json") == "geojson"
    with pytest.raises(InputRefused, match=r"named \.kml"):
        kind_of(RICH, "r.kml")


def test_kept_replies_are_listed_by_their_moment_and_a_damaged_one_is_told(tmp_path):
    folder = Folder(tmp_path)
    assert listed(folder) == ([], ())
    folder.replies.mkdir()
    for at in ("2027-05-01T00:00:00Z", "2027-04-01T00:00:00Z"):
        each = opened(reply(at=at), name="")
        (tmp_path / each.path).write_bytes(each.data)
    (folder.replies / f"{'0' * 64}.json").write_bytes(RICH[:-9])
    (folder.replies / "notes.txt").write_bytes(b"mine")
    found, warnings = listed(folder)
    assert [each.content["at"][:7] for each in found] == ["2027-04", "2027-05"]
    assert "left out" in warnings[0]
    assert len(warnings) == 1


def read(data):
    return checked(opened(data, name="r").content)


@pytest.mark.parametrize("made", [RICH, mailed(RICH, quote="> ")], ids=["file", "mail"])
def test_bytes_changed_at_random_are_refused_or_read_and_nothing_else(made):
    counts = outcomes(read, made)
    assert counts["refused"] > 0
    assert counts["read"] + counts["refused"] >= 300


def test_content_changed_at_random_under_a_digest_that_holds():
    text = json.loads(RICH)["content"].encode()
    counts = outcomes(lambda data: read(sealed(data.decode("utf-8", "replace"))), text)
    assert counts["refused"] > 0
    assert counts["read"] > 0


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)
FIELDS = st.sampled_from(
    ["kind", "site", "by", "at", "issued", "zones", "sketches", "places", "cores", "comments",
     "agreements", "work", "answers"]
)  # fmt: skip


@given(name=FIELDS, value=JSON)
def test_any_json_in_any_field_is_read_or_refused(name, value):
    said = content(**{name: value})
    try:
        found = checked(said)
    except InputRefused as error:
        assert error.problem  # noqa: PT017 - refusing is allowed, anything else is not
    else:
        assert found.kind in {"visit", "comments"}


@given(words=st.text(max_size=50))
def test_text_of_any_kind_comes_through_file_and_mail(words):
    data = reply(comments=[{"id": "k", "zone_id": "", "text": words}])
    one, other = (read(each).comments for each in (data, mailed(data, quote="> ", width=33)))
    assert one == other
