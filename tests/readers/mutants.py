"""Bytes changed at random, the same for every reader: seeded, so that a failure comes back."""

import os
import random

from lawnmap.errors import LawnmapError

# 10,000 with LAWNMAP_LONG=1; the others are the next in line of the same seed each time.
ROUNDS = 10_000 if os.environ.get("LAWNMAP_LONG") == "1" else 300
SEED = 20_270_301
JUNK = [b"\0", b"-", b"e999", b",", b'"', b"<", b"[", b"nan", b"\xff", b"9" * 50, b"&a;"]


def mutated(data, chance):
    """Return `data` with one to four pieces changed, dropped, doubled or moved."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(changed) or 1)
        piece = changed[at : at + chance.randint(1, 12)]
        kind = chance.randrange(5)
        if kind == 0:
            changed[at : at + 1] = bytes([chance.randrange(256)])
        elif kind == 1:
            del changed[at : at + len(piece)]
        elif kind == 2:
            changed[at:at] = piece * chance.choice([1, 2, 50])
        elif kind == 3:
            changed[at : at + 1] = chance.choice(JUNK)
        else:
            other = chance.randrange(len(changed) or 1)
            changed[other:other] = piece
    return bytes(changed)


def outcomes(read, data, *, rounds=ROUNDS, seed=SEED):
    """Return how often mutants of `data` were read and refused; anything else is raised."""
    chance = random.Random(seed)
    counts = {"read": 0, "refused": 0}
    for _ in range(rounds):
        try:
            read(mutated(data, chance))
        except LawnmapError:
            counts["refused"] += 1
        else:
            counts["read"] += 1
    return counts
