"""Writes ``refusals.csv`` anew: where and how each refusal of the set begins. To be read after it.

``python -m tests.hostile.refusals [RUN]…`` asks for JSON, which tells place and problem apart.
What stands in brackets at the end of a problem is what a library says, and is left out.
"""

import csv
import json
import re
import sys
import tempfile
from pathlib import Path

from tests.hostile import runs
from tests.hostile.the_set import every


def rows(runner, names):
    """Return the rows of the runs of these names, of all if there are none."""
    for case in every(rare=True):
        if not case.code or (names and case.name not in names):
            continue
        folder = runner.scratch(case)
        outcome = runner.run((*case.typed, "--json"), folder, case.stdin)
        try:
            told = json.loads(outcome.out)["error"]
        except (ValueError, KeyError):
            sys.stderr.write(f"{case.name}: exit {outcome.code}: {outcome.said[-300:]}\n")
            continue
        words = re.split(
            f" [(]|.{{0,9}}{re.escape(str(runner.bait.secret))[:20]}", told["problem"]
        )[0]
        yield case.name, told["place"], words.rstrip(".")[:80]


def main():
    names = set(sys.argv[1:])
    with tempfile.TemporaryDirectory() as name, runs.runner(Path(name), long=False) as runner:
        found = {**runs.refusals(), **{run: words for run, *words in rows(runner, names)}}
    wanted = {case.name for case in every(rare=True) if case.code}
    with runs.REFUSALS.open("w", encoding="utf-8", newline="") as stream:
        written = csv.writer(stream, lineterminator="\n")
        written.writerow(("run", "place", "words"))
        written.writerows((run, *found[run]) for run in sorted(found) if run in wanted)


if __name__ == "__main__":
    main()
