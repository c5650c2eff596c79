"""Replies as a shared page makes them, for tests."""

import base64
import hashlib
import json
import textwrap

BASE = {
    "kind": "visit",
    "site": {"id": "", "title": "Garden", "revision": 1},
    "issued": "",
    "by": "Ann Example",
    "at": "2027-03-01T10:00:00Z",
}


def content(**changes):
    return {**BASE, **changes}


def sealed(text):
    """Return the file of a reply whose content is `text`, sealed as the page does it."""
    digest = hashlib.sha256(text.encode()).hexdigest()
    return json.dumps({"lawnmap_reply": 1, "digest": digest, "content": text}).encode()


def reply(**changes):
    """Return the file of a reply."""
    return sealed(json.dumps(content(**changes), ensure_ascii=False))


def mailed(data, *, quote="", width=64):
    """Return a reply as text in a mail, quoted and wrapped."""
    lines = [
        "Here is what I saw.",
        "-----BEGIN LAWNMAP REPLY-----",
        *textwrap.wrap(base64.b64encode(data).decode(), width),
        "-----END LAWNMAP REPLY-----",
        "Kind regards",
    ]
    return "\n".join(quote + line for line in lines).encode()
