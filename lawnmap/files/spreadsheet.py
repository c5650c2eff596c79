"""Cells that no spreadsheet runs.

Text that a spreadsheet would take for a formula gets an apostrophe in front, which makes it text.
Text that has apostrophes of its own there gets one more, so that taking one off always gives the
text back.
"""

from __future__ import annotations

import re

# The last four are full-width forms, which some spreadsheets take for the plain ones (OWASP, CSV
# Injection).
FORMULA = re.compile(r"'*\s*[=+\-@\t\r\n＝＋－＠]")


def guarded(text: str) -> str:
    """Return `text` so that no spreadsheet runs it.

    Examples
    --------
    >>> guarded("=1+1"), guarded("Back lawn"), guarded("'=x")
    ("'=1+1", 'Back lawn', "''=x")
    """
    return f"'{text}" if FORMULA.match(text) else text


def unguarded(cell: str) -> str:
    """Return a cell as it was before :func:`guarded`.

    Examples
    --------
    >>> unguarded("'=1+1"), unguarded("'tis"), unguarded("''=x")
    ('=1+1', "'tis", "'=x")
    """
    return cell[1:] if cell.startswith("'") and FORMULA.match(cell) else cell
