"""The seal of what lawnmap keeps for itself: one damaged letter is no longer what was written."""

from __future__ import annotations

import hashlib
from typing import Any

from lawnmap.files import json_text


def digest_of(data: bytes) -> str:
    """Return the SHA-256 digest of some bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def seal_of(value: Any) -> str:
    """Return the digest of a value as JSON: a damaged digit is as plausible as the right one."""
    return digest_of(json_text.dumps(value).encode("utf-8"))
