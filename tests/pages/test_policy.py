from __future__ import annotations

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
