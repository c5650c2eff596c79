"""Hostile names: those of ``names.txt``, and mutants of them."""

import json
import random
from pathlib import Path

NAMES = Path(__file__).parent / "names.txt"
LONG = {"LONG": "a" * 300, "LONGER": "a/" * 3_000, "DEEP": "../" * 2_000 + "etc"}
PIECES = (
    "http://",
    "/vsicurl/",
    "/vsizip/",
    ":",
    "//",
    "\\",
    "<",
    "{",
    "..",
    "~",
    "$(",
    "`",
    "\0",
    "\n",
    "%00",
    "?",
    "#",
    "@",
    "'",
    '"',
    " ",
    "-",
    "\u202e",
    "\x1b[31m",
    "|",
    "CSV:",
    "PG:",
    "é",
    "\ud800",
)


def names():
    """Return the names of the list."""
    lines = NAMES.read_text(encoding="utf-8").splitlines()
    listed = [json.loads(line) for line in lines if line and not line.startswith("#")]
    return [LONG.get(name, name) for name in listed]


def mutants(count, seed, *, of=None):
    """Return mutants of names: pieces put in, taken out, doubled, turned to capitals, crossed."""
    chance = random.Random(seed)
    every = of or names()
    found = []
    while len(found) < count:
        name = chance.choice(every)[:500]
        for _ in range(chance.randint(1, 3)):
            at = chance.randrange(len(name) + 1)
            kind = chance.randrange(5)
            if kind == 0:
                name = name[:at] + chance.choice(PIECES) + name[at:]
            elif kind == 1:
                name = name[:at] + name[at + chance.randint(1, 4) :]
            elif kind == 2:
                name = name.swapcase()
            elif kind == 3:
                name = name[:at] + chance.choice(every)[:200][at:]
            else:
                name += name[at:]
        found.append(name)
    return found
