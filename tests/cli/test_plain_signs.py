"""Signs on a terminal that cannot show them are written out; letters of names are escaped."""

import io
from pathlib import Path

import click
import pytest

import lawnmap
from lawnmap.cli import plain_signs
from lawnmap.cli.plain_signs import ASCII, HANDLER, PLAIN, write_plainly


@pytest.mark.parametrize(
    ("text", "encoding", "shown"),
    [
        ("146.7 m² ± 2 m³", "ascii", b"146.7 m2 +/- 2 m3"),
        ("53° 48′ 2″, 5 to 13 mm – 2×", "ascii", b"53 deg 48' 2\", 5 to 13 mm - 2x"),
        ("Bänk ı", "ascii", rb"B\xe4nk \u0131"),
        ("12 m² at 5 °C – ≈ Bänk", "latin-1", b"12 m\xb2 at 5 \xb0C - ~ B\xe4nk"),
        ("20 €", "cp1252", b"20 \x80"),
        ("20 € ²²²", "ascii", b"20 EUR  222"),
        ("🌱", "ascii", rb"\U0001f331"),
    ],
)
def test_what_stands_for_a_sign(text, encoding, shown):
    assert text.encode(encoding, HANDLER) == shown


def test_every_replacement_is_plain_itself():
    for sign, shown in PLAIN.items():
        assert len(sign) == 1
        assert shown.isascii()
        assert shown.isprintable()
        assert not sign.isascii()


def test_no_sign_of_our_own_words_is_escaped():
    """Every sign in the package that is no letter has something to stand for it."""
    letters, missing = "ᵀº", {}
    for path in Path(lawnmap.__file__).parent.rglob("*"):
        if path.suffix in {".py", ".csv"} and path.stem != "plain_signs":
            for sign in set(path.read_text("utf-8")) - set(PLAIN):
                if not sign.isascii() and not sign.isalpha() and sign not in letters:
                    missing.setdefault(sign, path.name)
    assert missing == {}


def test_only_what_could_not_be_written_is_taken():
    with pytest.raises(UnicodeDecodeError):
        b"\xff".decode("ascii", HANDLER)


@pytest.mark.parametrize(
    ("encoding", "written"), [("ascii", b"5 m2\n"), ("utf-8", "5 m²\n".encode()),
                              ("latin-1", b"5 m\xb2\n")]
)  # fmt: skip
def test_click_writes_to_the_stream_as_it_is(encoding, written, monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    monkeypatch.setattr("sys.stdout", stream)
    write_plainly(stream)
    click.echo("5 m²")
    stream.flush()
    assert stream.buffer.getvalue().replace(b"\r\n", b"\n") == written


def test_other_streams_are_left_alone():
    stream = io.StringIO()
    write_plainly(stream)
    assert stream.getvalue() == ""
    assert plain_signs._ascii("lawnmap_ascii").name == ASCII
    assert plain_signs._ascii("utf-9") is None
