"""What files that are nearly right are made of: outlines, odd values, and one thing nudged.

Any JSON at all is refused at the first look. Here most of a file is good and one thing is odd, or
none, so that a reader comes to its last line. What is odd is drawn by Hypothesis; the numbers of a
shape are of a seeded chance, since drawing each of them would take longer than reading it.
"""

from __future__ import annotations

import copy
import math
import random

from hypothesis import strategies as st

# About the zones of the site that the plans are read into, and where longitudes and latitudes end.
PLACES = [(1.9, 53.4)] * 6 + [(0.0, 0.0), (-179.9999, -16.5), (25.0, 89.9), (-70.25, -33.5)]
WIDTHS = [1e-4] * 6 + [1e-3, 1e-5, 1e-8, 0.5]  # degrees
FLAWS = [""] * 12 + ["crossed", "flat", "open", "short", "again", "twice"]
NAMES = ["Back lawn", "Front", "B1", "a/b", "=1+1", "Ñandú", "<b>x</b>", "7", "  ", "x" * 201]
TEXTS = [
    "", " ", "nan", "inf", "1e999", "-0", "1,5", "\uff15", "9" * 40, "null", "true", "x y",
    "-1", "0", "1e308", "=1+1", "\u202e", "\ue000", "A;B", "2,3", "zone", "EPSG:4326",
]  # fmt: skip
COUNTS = st.sampled_from([0] * 6 + [1] * 5 + [2])  # how many things are odd


def chances():
    """Return a strategy of seeded chances."""
    return st.integers(0, 9_999).map(random.Random)


def star(chance, middle, width, *, corners=None):
    """Return a closed ring about a place: simple by the way it is made."""
    count = corners or chance.randint(3, 8)
    turn = chance.random()
    reach = [chance.uniform(0.3, 1.0) * width for _ in range(count)]
    ring = [
        [
            round(middle[0] + r * math.cos(2 * math.pi * (n + turn) / count), 9),
            round(middle[1] + r * math.sin(2 * math.pi * (n + turn) / count), 9),
        ]
        for n, r in enumerate(reach)
    ]
    return [*ring, ring[0]]


def flawed(ring, flaw):
    """Return a ring with something wrong with it."""
    if flaw == "crossed":
        ring = [ring[0], ring[2], ring[1], *ring[3:]]
    elif flaw == "flat":
        ring = [[x, ring[0][1]] for x, _ in ring]
    elif flaw == "open":
        ring = ring[:-1]
    elif flaw == "short":
        ring = [ring[0], ring[1], ring[0]]
    elif flaw == "again":
        ring = [*ring[:2], ring[1], *ring[2:]]
    elif flaw == "twice":
        ring = [*ring, *ring[1:]]
    return ring


@st.composite
def rings(draw, places=PLACES, widths=WIDTHS):
    """Draw a ring, sound more often than not."""
    chance = draw(chances())
    middle = draw(st.sampled_from(places))
    width = draw(st.sampled_from(widths))
    shifted = [each + 3 * width * chance.uniform(-1, 1) for each in middle]
    return flawed(star(chance, shifted, width), draw(st.sampled_from(FLAWS)))


@st.composite
def polygons(draw, places=PLACES, widths=WIDTHS):
    """Draw the rings of a polygon: its outline, and perhaps a hole that may not lie in it."""
    ring = draw(rings(places, widths))
    if draw(st.sampled_from([False, False, True])):
        middle = [sum(each[axis] for each in ring[:-1]) / len(ring[:-1]) for axis in (0, 1)]
        share = draw(st.sampled_from([0.2, 0.2, 0.6, 1.0]))
        hole = [[m + (v - m) * share for v, m in zip(each, middle, strict=True)] for each in ring]
        return [ring, hole[::-1]]
    return [ring]


# One thing of a tree of lists and dictionaries --------------------------------------------------


def paths(tree, here=()):
    """Return the way to everything in a tree of lists and dictionaries but its root."""
    if isinstance(tree, dict):
        inside = tree.items()
    else:
        inside = enumerate(tree) if isinstance(tree, list) else ()
    found = []
    for key, each in inside:
        found.append((*here, key))
        found += paths(each, (*here, key))
    return found


def nudged(draw, tree, values):
    """Return a tree with something in it of another value, gone, twice, or under another key."""
    tree = copy.deepcopy(tree)
    for _ in range(draw(COUNTS)):
        every = paths(tree)
        if not every:
            break
        *way, last = draw(st.sampled_from(every))
        around = tree
        for key in way:
            around = around[key]
        what = draw(st.sampled_from(["value", "value", "gone", "twice"]))
        if what == "value":
            around[last] = copy.deepcopy(draw(st.sampled_from(values)))
        elif what == "gone":
            del around[last]
        elif isinstance(around, list):
            around.insert(last, copy.deepcopy(around[last]))
        else:
            other = draw(st.sampled_from([*around, "id", "type", "x"]))
            around[other] = copy.deepcopy(around[last])
    return tree


# One thing of an XML tree ------------------------------------------------------------------------


def node(tag, *inside, **attributes):
    """Return an element: its tag, its attributes, and what is in it, texts and elements."""
    return [tag, attributes, list(inside)]


def elements(tree):
    """Return every element of a tree, its root first."""
    found = [tree]
    for each in tree[2]:
        if isinstance(each, list):
            found += elements(each)
    return found


def nudged_xml(draw, tree, tags):
    """Return a tree with something odd: an attribute, a text, a tag, a child gone, twice, moved."""
    tree = copy.deepcopy(tree)
    for _ in range(draw(COUNTS)):
        every = elements(tree)
        one = draw(st.sampled_from(every))
        what = draw(
            st.sampled_from(["attribute", "text", "tag", "dropped", "gone", "twice", "moved"])
        )
        children = [each for each in one[2] if isinstance(each, list)]
        if what == "attribute" and one[1]:
            one[1][draw(st.sampled_from(list(one[1])))] = draw(st.sampled_from(TEXTS))
        elif what == "dropped" and one[1]:
            del one[1][draw(st.sampled_from(list(one[1])))]
        elif what == "text":
            one[2] = [draw(st.sampled_from(TEXTS)), *children]
        elif what == "tag":
            one[0] = draw(st.sampled_from(tags))
        elif children:
            child = draw(st.sampled_from(children))
            if what != "twice":
                one[2] = [each for each in one[2] if each is not child]
            if what == "twice":
                one[2].append(child)
            elif what == "moved":
                draw(st.sampled_from(elements(tree)))[2].append(child)
    return tree


def xml(tree):
    """Return a tree as text."""
    tag, attributes, inside = tree
    said = "".join(
        f' {key.replace("__", ":")}="{_escaped(value)}"' for key, value in attributes.items()
    )
    body = "".join(xml(each) if isinstance(each, list) else _escaped(each) for each in inside)
    return f"<{tag}{said}>{body}</{tag}>"


def _escaped(text):
    plain = str(text).replace("&", "&amp;").replace("<", "&lt;")
    return plain.replace(">", "&gt;").replace('"', "&quot;")


# One thing of a table ----------------------------------------------------------------------------


def nudged_table(draw, rows, texts=TEXTS):
    """Return rows of cells, the header first, with a cell, a row, or the length of one odd."""
    rows = [list(row) for row in rows]
    for _ in range(draw(COUNTS)):
        at = draw(st.integers(0, len(rows) - 1))
        column = draw(st.integers(0, max(len(rows[at]) - 1, 0)))
        what = draw(
            st.sampled_from(["cell", "cell", "gone", "twice", "swapped", "longer", "shorter"])
        )
        if what == "cell" and rows[at]:
            rows[at][column] = draw(st.sampled_from(texts))
        elif what == "gone" and len(rows) > 1:
            del rows[at]
        elif what == "twice":
            rows.insert(at, list(rows[at]))
        elif what == "swapped":
            other = draw(st.integers(0, len(rows) - 1))
            rows[at], rows[other] = rows[other], rows[at]
        elif what == "longer":
            rows[at].insert(column, "")
        elif what == "shorter" and rows[at]:
            del rows[at][column]
    return rows


def table(rows, separator=","):
    """Return rows of cells as text, quoted where they have to be."""
    return "\n".join(separator.join(_quoted(cell, separator) for cell in row) for row in rows)


def _quoted(cell, separator):
    text = str(cell)
    if any(each in text for each in (separator, '"', "\n")):
        text = '"' + text.replace('"', '""') + '"'
    return text
