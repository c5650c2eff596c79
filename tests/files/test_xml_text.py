"""XML well formed by W3C XML 1.0 and Namespaces 1.0, and nothing that makes it dangerous."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.files import xml_text
from lawnmap.files.limits import SITE
from lawnmap.files.xml_text import MOST_PARTS, parse

# XML 1.0, 2.2: no control characters but tab and line ends; a bare CR would come back as LF (2.11).
TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff"))


def assert_refused(data, told):
    start = time.process_time()
    with pytest.raises(InputRefused, match=told) as caught:
        parse(data, name="plan.kml")
    assert time.process_time() - start < 12
    assert caught.value.file == "plan.kml"
    assert caught.value.remedy
    return caught.value


def test_the_tree():
    root = parse(
        b'<?xml version="1.0" encoding="UTF-8"?>\n<!-- note --><k:kml xmlns:k="u" xmlns:o="v"\n'
        b' k:hidden="1" id="a&amp;b">\n <k:name> Back &lt;lawn&gt; &#233;</k:name><o:name>other'
        b"</o:name>\n <k:name><![CDATA[<b>second</b>]]></k:name></k:kml>",
        name="plan.kml",
    )
    assert (root.name, root.namespace, root.line) == ("kml", "u", 2)
    assert root.attributes == {"id": "a&b"}
    assert root.text_of("name") == "Back <lawn> é"
    assert [each.line for each in root.every("name")] == [4, 5]
    assert root.every("name")[1].text == "<b>second</b>"
    assert [each.namespace for each in root.children] == ["u", "v", "u"]
    assert root.first("coordinates") is None
    assert root.text_of("coordinates") == ""


def test_the_tree_cannot_be_changed():
    root = parse(b"<a><b/></a>", name="a")
    with pytest.raises(AttributeError):
        root.name = "c"
    assert isinstance(root.children, tuple)


@given(TEXTS)
def test_text_comes_back(text):
    escaped = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    assert parse(f"<a>{escaped}</a>".encode(), name="a").text == text


@pytest.mark.parametrize("encoding", ["iso-8859-1", "ISO-8859-1", "windows-1252", "utf-8", "UTF8"])
def test_encodings_that_are_declared(encoding):
    text = f'<?xml version="1.0" encoding="{encoding}"?><a>Süd</a>'
    assert parse(text.encode(encoding), name="a").text == "Süd"


def test_a_mark_and_another_language_are_fine():
    assert parse("\ufeff<a>草坪 трава</a>".encode(), name="a").text == "草坪 трава"


BILLION = (
    b'<!DOCTYPE k [<!ENTITY a "ha">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9))
    + b"]><kml>&j;</kml>"
)
DANGEROUS = {
    "billion laughs": BILLION,
    "quadratic": b'<!DOCTYPE k [<!ENTITY a "'
    + b"x" * 50_000
    + b'">]><k>'
    + b"&a;" * 9_000
    + b"</k>",
    "external entity": b'<!DOCTYPE k [<!ENTITY x SYSTEM "file:///etc/passwd">]><k>&x;</k>',
    "external DTD": b'<!DOCTYPE k SYSTEM "http://192.0.2.1/k.dtd"><k/>',
    "public DTD": b'<!DOCTYPE k PUBLIC "-//X//Y" "http://192.0.2.1/k.dtd"><k/>',
    "parameter entity": b'<!DOCTYPE k [<!ENTITY % p SYSTEM "http://192.0.2.1/p"> %p;]><k/>',
    "harmless DOCTYPE": b"<!DOCTYPE kml><kml/>",
}


@pytest.mark.parametrize("case", DANGEROUS)
def test_any_doctype_is_refused(case):
    assert assert_refused(DANGEROUS[case], "has a DOCTYPE").place == "line 1"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"<a>&undefined;</a>", "undefined entity"),
        (b"<a><b></a>", "mismatched tag"),
        (b"<a", "unclosed token"),
        (b"<a/><b/>", "junk after document element"),
        (b"", "no element found"),
        (b"<gx:Track/>", "unbound prefix"),
        (b"<a b='1' b='2'/>", "duplicate attribute"),
        (b"<a>\x01</a>", "not well-formed"),
        (b"<a>&#0;</a>", "reference to invalid character"),
        (b"<a>\0</a>", "NUL"),
        (b"<a>\xff</a>", "Latin-1"),
        ("<a/>".encode("utf-16"), "UTF-16"),
        (b'<?xml version="1.0" encoding="utf-16"?><a/>', "in the encoding utf-16"),
        (b'<?xml version="1.0" encoding="utf-7"?><a/>', "in the encoding utf-7"),
        (b'<?xml version="1.0" encoding="no-such"?><a/>', "in the encoding no-such"),
        (b'<?xml version="1.0" encoding="windows-1252"?><a>\x81</a>', "not windows-1252"),
        (b"<a>" * 65 + b"</a>" * 65, "more than 64 deep"),
        (b"<a>" * 20_000, "more than 64 deep"),
    ],
)
def test_what_is_not_sound(data, told):
    assert_refused(data, told)


def test_the_line_and_column_are_told():
    assert assert_refused(b"<a>\n <b>\n </c>\n</a>", "mismatched").place == "line 3, column 4"
    assert assert_refused(b"<a>\n" + b"<b>" * 64, "deep").place == "line 2"


def test_the_deepest_allowed_is_allowed():
    assert parse(b"<a>" * 64 + b"</a>" * 64, name="a").name == "a"


def test_elements_and_attributes_are_counted(monkeypatch):
    monkeypatch.setattr(xml_text, "MOST_PARTS", 1_000)
    assert len(parse(b"<a>" + b"<b/>" * 999 + b"</a>", name="a").children) == 999
    told = assert_refused(b"<a>\n" + b"<b/>" * 1_000 + b"</a>", "more than 1,000 elements")
    assert told.place == "line 2"
    assert str(told) == (
        "plan.kml: line 2: holds more than 1,000 elements or attributes. Nothing was changed."
        " Cut the plan down to the site, or split it."
    )
    attributes = b"".join(b' c%d=""' % number for number in range(1_000))
    assert len(parse(b"<a" + attributes + b"/>", name="a").attributes) == 1_000
    assert assert_refused(b"<a" + attributes + b' d=""/>', "or attributes").place == ""


def test_a_million_parts_may_stand_in_one_file():
    assert MOST_PARTS == 5 * SITE.vertices == 1_000_000


def test_one_long_word_takes_no_time():
    """CVE-2023-52425: Expat before 2.6.0 is slow on a long token that comes in pieces."""
    start = time.process_time()
    root = parse(b'<a b="' + b"x" * 20_000_000 + b'"/>', name="a")
    assert time.process_time() - start < 5
    assert len(root.attributes["b"]) == 20_000_000
