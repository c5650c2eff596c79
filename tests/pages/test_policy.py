from __future__ import annotations

import pytest

from lawnmap.pages.escape import Html
from lawnmap.pages.policy import digest, policy, sealed

# The W3C's Content Security Policy prints this pair in its example of a hash source.
PUBLISHED = ("alert('Hello, world.');", "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='")


def test_digest_is_the_published_one():
    assert digest(PUBLISHED[0]) == PUBLISHED[1]


def test_newlines_do_not_change_a_digest():
    # The browser turns CRLF and CR to LF before it hashes (WHATWG HTML, 13.2.3.5).
    assert digest("a\r\nb\rc") == digest("a\nb\nc")


def test_every_inline_script_and_style_has_its_hash_and_data_has_none():
    page = (
        "<style>p{}</style><script>alert('Hello, world.');</script>"
        '<script type="application/json">{"a":1}</script>'
    )
    found = policy(page)
    assert f"script-src {PUBLISHED[1]};" in found
    assert f"style-src {digest('p{}')};" in found
    assert found.count("sha256-") == 2


def test_nothing_inline_means_none():
    assert "script-src 'none'" in policy("<p>")
    assert "style-src 'none'" in policy("<p>")


def test_the_page_may_call_nobody():
    found = policy("<p>")
    assert found.startswith("default-src 'none'; img-src data:;")
    assert "base-uri 'none'; form-action 'none'" in found
    assert "unsafe" not in found


def test_sealed_writes_the_policy_once_and_before_everything():
    page = sealed(Html("<!--policy--><script>1\r\n</script><p><!--policy--></p>"))
    assert page.startswith('<meta http-equiv="Content-Security-Policy" content="default-src')
    assert digest("1\n") in page
    assert page.endswith("<p><!--policy--></p>")
    assert "\r" not in page


def test_the_whole_policy_to_the_letter():
    page = "<style>a</style><script>b</script><style>c</style><script>b</script>"
    assert policy(page) == (
        "default-src 'none'; img-src data:; "
        f"style-src {digest('a')} {digest('c')}; script-src {digest('b')}; "
        "base-uri 'none'; form-action 'none'"
    )
    assert policy("") == (
        "default-src 'none'; img-src data:; style-src 'none'; script-src 'none'; "
        "base-uri 'none'; form-action 'none'"
    )


def test_pictures_may_come_from_one_host():
    assert "img-src data: https://tiles.example.org; style" in policy(
        "", images_from="tiles.example.org"
    )


@pytest.mark.parametrize(
    "host",
    ["*", "a.org; script-src *", "https://a.org", "a.org:80", "A.org", "a.org\n", "a", "a.1"],
)
def test_what_is_no_host_would_be_a_policy_of_its_own(host):
    with pytest.raises(ValueError, match="is not the name of a host"):
        policy("", images_from=host)


def test_markup_of_a_style_or_a_script_is_its_text():
    page = "<script>if (a<b) {}</script><style>a>b{}</style>text<p>more"
    assert digest("if (a<b) {}") in policy(page)
    assert digest("a>b{}") in policy(page)
    assert policy(page).count("sha256") == 2


def test_a_script_that_a_reader_hands_over_in_pieces_is_hashed_whole():
    text = 'a = "</b>" + "<!-- &amp; -->" + "</" + 1 & 2'
    assert digest(text) in policy(f"<script>{text}</script>")
    assert policy(f"<script>{text}</script>").count("sha256") == 1


def test_a_script_of_another_type_is_data():
    for kind in ('type="application/json"', "type=module"):
        assert "script-src 'none'" in policy(f"<script {kind}>1</script>")
    assert digest("1") in policy('<script type="">1</script>')
    assert digest("") in policy("<script></script>")


def test_a_script_that_is_not_closed_is_hashed_as_the_browser_reads_it():
    assert policy("<style>a").count("sha256") == 1


def test_the_seal_to_the_letter():
    page = sealed(Html("a\rb\r\n<!--policy-->c<!--policy-->"), images_from="a.org")
    allowed = policy("", images_from="a.org")
    assert page == (
        f'a\nb\n<meta http-equiv="Content-Security-Policy" content="{allowed}">c<!--policy-->'
    )
    assert type(page) is Html
