"""The type: Open Sans, in which every character anybody may type has a place."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from fpdf.bidi import BidiParagraph
from fpdf.enums import TextDirection
from fpdf.fonts import TTFFont

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from fpdf import FPDF

# Without a shape of their own: joiners, marks of direction, line ends, accents that stand alone.
SHAPELESS = frozenset({"Cf", "Zl", "Zp", "Mn", "Me"})
THIN = 1  # width of what is not seen [1/1000 em]; at 0 a reader of the file sees a new line there
SPACE = ord(" ")


class Face(TTFFont):
    """A face that draws a box for what it lacks, and still says in the file what was typed.

    Whoever copies or searches the text of a paper finds each name as it was written, in whatever
    script, since the character itself is kept beside its box.
    """

    __slots__ = ()

    def __init__(self, document: FPDF, path: Path, key: str, style: str) -> None:
        super().__init__(document, path, key, style)
        self.cmap = dict(self.cmap)  # a copy: what is learnt must not grow the font's own table

    def learn(self, characters: Iterable[str]) -> None:
        """Give a code, a shape and a width to each character."""
        for character in set(characters):
            code, kind = ord(character), unicodedata.category(character)
            if code not in self.cmap:
                self._place(code, kind)
            elif kind in SHAPELESS and not self.cw[code]:
                self.cw[code] = THIN

    def _place(self, code: int, kind: str) -> None:
        if kind in SHAPELESS or kind == "Zs":
            self.cmap[code], self.glyph_ids[code] = self.cmap[SPACE], self.glyph_ids[SPACE]
            self.cw[code] = self.cw[SPACE] if kind == "Zs" else THIN
        else:
            self.cmap[code], self.glyph_ids[code] = ".notdef", 0
            self.cw[code] = self.desc.missing_width

    def breadth(self, text: str) -> float:
        """Return the width of a text [em]."""
        self.learn(text)
        return sum(self.cw[ord(character)] for character in text) / 1000

    def encode_text(self, text: str) -> str:
        """Return the text as the file holds it, what runs from right to left turned round."""
        self.learn(text)
        if any(unicodedata.bidirectional(character) in ("R", "AL") for character in text):
            turned = BidiParagraph(text, TextDirection.LTR, preserve_bn_chars=True)
            text = turned.get_reordered_string()
        return super().encode_text(text)
