"""A parcel reads back as it was, and holds nothing that ends its element."""

from __future__ import annotations

import base64
import json
import re
import zlib

from hypothesis import given
from hypothesis import strategies as st

from lawnmap.pages.escape import Html, json_text
from lawnmap.pages.parcel import parcel

VALUES = st.dictionaries(st.text(max_size=5), st.text(max_size=20) | st.integers(), max_size=4)


@given(VALUES)
def test_what_is_laid_in_is_what_is_taken_out(value):
    made = parcel("rows", value)
    assert type(made) is Html
    found = re.fullmatch(
        r'<script type="application/json" data-parcel="rows">([A-Za-z0-9+/=]*)</script>', made
    )
    text = zlib.decompress(base64.b64decode(found[1])).decode("utf-8")
    assert json.loads(text) == json.loads(json_text(value))


def test_the_same_value_gives_the_same_bytes_and_they_are_few():
    value = ["Rücken <b>"] * 1_000
    assert parcel("a", value) == parcel("a", list(value))
    assert len(parcel("a", value)) < 300
