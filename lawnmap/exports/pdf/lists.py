"""Lists: items with a dot, a number, a box to tick or a sample beside them; terms; fields."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from lawnmap.exports.pdf.columns import even, rows
from lawnmap.exports.pdf.document import Document, Pen, line
from lawnmap.exports.pdf.looks import RULE, Rules, Type, gap, typed
from lawnmap.exports.pdf.path import ellipse
from lawnmap.exports.pdf.piece import Draw, Piece, Pieces, beside, moved, spread, together
from lawnmap.exports.pdf.tree import Element, within, without

LEGENDS = frozenset({"classes", "kinds", "layers", "key"})  # as many columns as there is room for
SENTENCES = frozenset({"ticks", "cautions"})  # two columns where there is room
COLUMN, BETWEEN = 24.0, 2.0  # narrowest column of sentences, and between columns [em]
INDENT = 1.2  # of what stands beside a dot [em]
TERM = 0.3  # of the width at most, for the terms of a list [width]
FIELD = 0.9  # room above a field, to write in [em]


class Blocks(Protocol):
    """Lays out what is in the items of a list."""

    document: Document
    rules: Rules

    def inside(self, element: Element, width: float, how: Type) -> Pieces:
        """Return what is in an element, one below the other."""

    def block(self, element: Element, width: float, around: Type) -> Pieces:
        """Return the pieces of one block."""

    def paragraph(self, nodes: Sequence[Element | str], width: float, how: Type) -> Pieces:
        """Return words in lines."""


class Lists:
    """Lays out lists; ``flow`` lays out what is in their items."""

    def __init__(self, flow: Blocks) -> None:
        self.flow = flow

    def items(self, element: Element, width: float, how: Type) -> Pieces:
        """Return the items of a list, in columns where they are short or many."""
        items = within(element, "li")
        space = BETWEEN * how.em
        most = 1
        legend = not LEGENDS.isdisjoint(element.classes)
        if legend:
            widest = max((self._wide(each, how) for each in items), default=width)
            most = int((width + space) // (widest + space))
        elif not SENTENCES.isdisjoint(element.classes) and len(items) > 3:  # noqa: PLR2004
            most = min(2, int((width + space) // (COLUMN * how.em + space)))
        count = max(1, most)
        room = (width + space) / count - space
        ordered = element.name == "ol"
        made = [
            self._item(each, room, how, f"{place}." if ordered else "")
            for place, each in enumerate(items, start=1)
        ]
        if count == 1:
            return [piece for each in made for piece in each]
        if legend:
            return rows(made, count, room + space)
        return [even(made, count, room + space)]

    def terms(self, element: Element, width: float, how: Type) -> Pieces:
        """Return the terms of a list, what is said of each beside it."""
        groups = _groups(element)
        said = how._replace(bold="glance" in element.classes)
        if "fields" in element.classes:
            return self._fields(groups, width, how)
        terms = [self._parts(each, 10_000.0, how, how)[0] for each in groups]
        widest = max((piece.wide for each in terms for piece in each), default=0.0)
        left = min(widest, TERM * width) + 1.2 * how.em
        made = []
        for place, group in enumerate(groups):
            term, told = self._parts(group, width - left, how, said)
            if widest > TERM * width:
                term = self._parts(group, TERM * width, how, said)[0]
            rule = self._thin(width) if place < len(groups) - 1 else None
            made.append(beside([term, told], [0.0, left], pad=(0.7, 0.7), rule=rule))
        return made

    def _parts(
        self, group: Sequence[Element], width: float, how: Type, said: Type
    ) -> tuple[Pieces, Pieces]:
        """Return the pieces of the term, and of what is said of it."""
        term: Pieces = []
        told: Pieces = []
        for each in group:
            if each.name == "dt":
                term += self.flow.block(each, width, how)
            else:
                told += self.flow.block(each, width, said)
        return term, told

    def _fields(self, groups: list[list[Element]], width: float, how: Type) -> Pieces:
        """Return what is to be filled in: a question, and a line to write on or what is known."""
        space = BETWEEN * how.em
        count = min(2, max(1, int((width + space) // (COLUMN * how.em + space))))
        room = (width + space) / count - space
        made = []
        for each in groups:
            nodes = [part for element in each for part in (element, " ")]
            lines = self.flow.paragraph(nodes, room, how)
            made.append(spread(lines, FIELD * how.em, 0.0))
        return rows(made, count, room + space)

    def _item(self, item: Element, width: float, around: Type, number: str) -> Pieces:
        how = typed(item, around, self.flow.rules)
        lead = _lead(item)
        draw, indent = self._marker(lead, number, how)
        rest = without(item, lead) if lead else item
        made = self.flow.inside(rest, width - indent, how)
        if not made:
            made = [Piece(how.em * how.leading, lambda _x, _y: None)]
        first = made[0]

        def marked(x: float, y: float) -> None:
            draw(x - indent - first.left, y)
            first.draw(x, y)

        made[0] = first._replace(draw=marked)
        if len(made) <= 6:  # noqa: PLR2004 - lines of an item that is not parted
            made = together(made)
        below = gap(item, around).below
        return [*(moved(made[:-1], indent)), moved(made[-1:], indent)[0]._replace(below=below)]

    def _marker(self, lead: Element | None, number: str, how: Type) -> tuple[Draw, float]:
        """Return what draws the mark before an item, and the room it takes [mm]."""
        if lead is not None or number:
            mark = self.flow.paragraph([lead or number], 100.0, how)[0]
            return mark.at, mark.wide + 0.6 * how.em
        high, radius = how.em * how.leading, 0.16 * how.em
        pen = Pen(fill=how.colour)
        shape = self.flow.document.shape
        return (
            lambda x, y: shape(ellipse(x + 2 * radius, y + high / 2, radius, radius), pen),
            INDENT * how.em,
        )

    def _wide(self, item: Element, how: Type) -> float:
        return max((each.wide for each in self._item(item, 10_000.0, how, "")), default=0.0)

    def _thin(self, width: float) -> Draw:
        shape = self.flow.document.shape
        return lambda x, y: shape(line(x, y, x + width, y), Pen(stroke=RULE))


def _groups(element: Element) -> list[list[Element]]:
    """Return terms with what is said of each, whether or not a div holds them together."""
    groups: list[list[Element]] = []
    for each in within(element, "dd"):
        if each.name == "div":
            groups.append(within(each, "dd"))
        elif each.name == "dt" or not groups:
            groups.append([each])
        else:
            groups[-1].append(each)
    return groups


def _lead(item: Element) -> Element | None:
    """Return the box to tick or the small drawing that an item begins with."""
    for each in item.children:
        if isinstance(each, str):
            if each.strip():
                return None
        elif each.name == "svg" or "box" in each.classes:
            return each
        elif each.name != "input":
            return _lead(each) if each.name in ("label", "span") else None
    return None
