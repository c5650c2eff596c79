"""Bytes changed at random, the same for every reader: seeded, so that a failure comes back."""

import os
import random
import time
import traceback
from dataclasses import dataclass, field

from lawnmap.errors import LawnmapError
from lawnmap.files.child import ChildError

# 10,000 with LAWNMAP_LONG=1; the others are the next in line of the same seed each time.
LONG = os.environ.get("LAWNMAP_LONG") == "1"
ROUNDS = 10_000 if LONG else 300
SEED = 20_270_301
JUNK = [b"\0", b"-", b"e999", b",", b'"', b"<", b"[", b"nan", b"\xff", b"9" * 50, b"&a;"]
SLOW_S = 5.0


def mutated(data, chance, *, most=4):
    """Return `data` with one to `most` pieces changed, dropped, doubled or moved."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, most)):
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


def damaged(data, chance):
    """Return `data` with bytes changed where they stand, for files that count their own bytes."""
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 4, 16))):
        at = chance.randrange(len(changed))
        changed[at] = chance.choice((0, 255, chance.randrange(256), changed[at] ^ 1 << at % 8))
    if chance.random() < 0.1:
        del changed[chance.randrange(len(changed)) :]
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


def unforeseen(error):
    """Tell a refusal by the outer net, which is for what nobody thought of; "" for any other.

    A child that ran out of memory or room has an exception for it as well; that was foreseen.
    """
    if not isinstance(error, LawnmapError):
        return "".join(traceback.format_exception(error)[-4:])
    cause, problem = error.__cause__, error.problem
    if isinstance(cause, ChildError):
        return f"{problem}\n{cause}" if "could not be read" in problem else ""
    netted = cause is not None and problem == f"could not be read ({type(cause).__name__})"
    return f"{problem}: {cause}" if netted else ""


@dataclass
class Tally:
    """What became of mutants: how many of each, the slowest, and every one that should not be.

    Times are by the clock, so a busy machine shows in them; numbers are those of the mutants.
    """

    read: int = 0
    refused: int = 0
    crashed: int = 0
    worst_s: float = 0.0
    worst: int = 0
    slow: list = field(default_factory=list)
    wrong: list = field(default_factory=list)

    def add(self, number, act):
        """Do one thing, and count what became of it. `act` asserts what has to hold after it."""
        began = time.monotonic()
        try:
            act()
        except LawnmapError as error:
            told = unforeseen(error) or ("" if str(error).isprintable() else ascii(str(error)))
            if told:
                self.wrong.append([number, told])
            self.crashed += "made the library behind it crash" in error.problem
            self.refused += 1
        except Exception as error:  # noqa: BLE001 - that there is none is what is tested
            self.wrong.append([number, unforeseen(error)])
        else:
            self.read += 1
        took = time.monotonic() - began
        self.worst_s, self.worst = max((self.worst_s, self.worst), (took, number))
        if took > SLOW_S:
            self.slow.append([number, round(took, 1)])
