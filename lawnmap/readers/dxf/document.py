"""A DXF file, text or binary, loaded by ezdxf; whatever is wrong with it, said in words."""

from __future__ import annotations

import io
import re
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.lldxf.tagger import binary_tags_loader
from ezdxf.tools.codepage import toencoding

from lawnmap.errors import InputRefused

BINARY = b"AutoCAD Binary DXF\r\n\x1a\0"
HEAD = 65_536
UTF8_SINCE = b"AC1021"  # releases from 2007 on are UTF-8, whatever code page they name
VERSION = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})")
CODE_PAGE = re.compile(rb"\$DWGCODEPAGE\s+3\s+(\w+)")
# In these any two bytes are letters, so that being good UTF-8 as well proves nothing.
TWO_BYTES = {"cp932", "gbk", "cp936", "cp949", "cp950", "big5", "johab"}
WORDS = 160


def load(file: str) -> Drawing:
    """Return the drawing in `file`. Runs inside the child.

    Raises
    ------
    InputRefused
        For whatever ezdxf raises on a damaged file: eight kinds of exception were seen.
    """
    data = Path(file).read_bytes()
    try:
        if data.startswith(BINARY):
            return Drawing.load(binary_tags_loader(data, errors="replace"))
        return ezdxf.read(io.StringIO(text_of(data), newline=None))  # type: ignore[attr-defined]
    except MemoryError:
        raise
    except Exception as error:
        raise damaged(error) from error


def damaged(error: Exception) -> InputRefused:
    """Return the refusal of a drawing in which ezdxf met `error`."""
    words = str(error)[:WORDS] if isinstance(error, ezdxf.DXFError) else ""  # type: ignore[attr-defined]
    return InputRefused(
        f"is not a sound DXF drawing ({words or type(error).__name__})",
        remedy="Save it as DXF 2010 or 2013 again in the program that drew it.",
    )


def text_of(data: bytes) -> str:
    """Return the text of a drawing, by what the bytes are rather than by what they are called.

    Good UTF-8 with an accent in it is hardly ever anything else, and programs do write it under
    the name of another code page.
    """
    version = VERSION.search(data, 0, HEAD)
    named = CODE_PAGE.search(data, 0, HEAD)
    page = toencoding(named.group(1).decode("ascii")) if named else "cp1252"
    utf8_first = page not in TWO_BYTES or (version is not None and version.group(1) >= UTF8_SINCE)
    for encoding in ("utf-8-sig", page) if utf8_first else (page, "utf-8-sig"):
        try:
            return data.decode(encoding).lstrip()
        except UnicodeDecodeError:
            continue
    return data.decode(page, "replace").lstrip()
