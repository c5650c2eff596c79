"""The page of figures that lawnmap holds under fire, and the same table on a terminal.

``python docs/reliability_page.py FIGURES`` prints every row with what the run reached that wrote
the file FIGURES (LAWNMAP_FIGURES names it, see tests/figures.py), and leaves with 1 when a row of
every CI run is not in it. With ``--keep`` the figures of that run are written into reliability.csv,
from which the page is made.
"""

from __future__ import annotations

import csv
import datetime as dt
import json
import re
import sys
import tomllib
from pathlib import Path

from page_text import page, table

DOCS = Path(__file__).parent
ROWS = DOCS / "reliability.csv"
SCORES = DOCS / "mutation.csv"
STAGES = DOCS.parent / ".ci" / "stages.toml"
ALWAYS = "every run of CI"
FEW = 3  # texts that say the same are made one from here on
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")

INTRO = """\
What happens when a stranger's file is hostile, the disk is full, the power fails or a web page
attacks the one on this machine is measured, not hoped. Each row says what is wanted, what was
reached, when, and the command that measures it. CI measures the rows that say so in every run and
prints them; the others take longer and are run before a release. A row that falls short says so.\
"""
LONG = """\
`LAWNMAP_LONG=1` before a command of pytest makes its test long: 10,000 mutants and 5,000 structures
a reader, 200 kills. `LAWNMAP_KILLS=2000` kills as often as is asked for before a release. Limits in
seconds are three times what was measured, so that a busy machine fails no test.\
"""


def rows() -> list[dict[str, str]]:
    """Return the rows of the table in order."""
    with ROWS.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def reliability_page() -> str:
    """Return the page."""
    found = rows()
    short = [row for row in found if row["standing"] != "reached"]
    return page(
        "Figures under fire",
        "`docs/reliability.csv`, `docs/mutation.csv` and `.ci/stages.toml`",
        INTRO.replace("\n", " "),
        table(
            ["", "what", "wanted", "reached", "on", "standing"],
            [
                [row["number"], row["figure"], row["wanted"], row["reached"], row["date"], standing]
                for row in found
                for standing in [row["standing"] + (f": {row['note']}" if row["note"] else "")]
            ],
        ),
        f"{len(found) - len(short)} of {len(found)} rows are reached"
        + (
            ", " + " and ".join(f"row {row['number']}" for row in short) + " not." if short else "."
        ),
        "## How each is measured",
        LONG.replace("\n", " "),
        table(
            ["", "when", "command"],
            [[row["number"], row["when"], f"`{row['command']}`"] for row in found],
        ),
        "## Mutation score",
        _scores(),
        "## Stages",
        "Heavy stages run when a path they test has changed since they last passed, or when they "
        "are asked for; `.ci/stage` tells how each stands, and CI says which ran.",
        _stages(),
    )


def _scores() -> str:
    with SCORES.open(encoding="utf-8", newline="") as stream:
        found = list(csv.DictReader(stream))
    tried, killed = (sum(int(row[name]) for row in found) for name in ("tried", "killed"))
    head = ["module", "mutants", "tried", "killed", "score", "on", "what survived"]
    return (
        f"A mutant is the code with one small fault in it. Of a sample of each module, drawn by a "
        f"fixed seed, the tests of that module noticed {killed:,} of {tried:,} "
        f"({100 * killed / tried:.0f} %).\n\n" + table(head, [list(row.values()) for row in found])
    )


def _stages() -> str:
    found = tomllib.loads(STAGES.read_text(encoding="utf-8"))
    lines = [
        [f"`.ci/stage run {name}`", each["what"], each["when"]] for name, each in found.items()
    ]
    return table(["command", "what", "when"], lines)


def shortened(texts: list[str]) -> list[str]:
    """Return texts with those that say the same of several things made one.

    >>> shortened(["a: 60 mutants, 3 read", "b: 60 mutants, 9 read", "c: 60 mutants, 4 read"])
    ['a and 2 others: 60 mutants, 3 to 9 read']
    """
    groups: dict[str, list[str]] = {}
    for text in texts:
        label, colon, rest = text.partition(": ")
        groups.setdefault(NUMBER.sub("#", rest) if colon else label, []).append(text)
    return [line for alike in groups.values() for line in _joined(alike)]


def _joined(alike: list[str]) -> list[str]:
    if len(alike) < FEW:
        return alike
    label, _, rest = alike[0].partition(": ")
    columns = zip(*(NUMBER.findall(text.partition(": ")[2]) for text in alike), strict=True)
    spans = iter([_span(sorted(set(column), key=_value)) for column in columns])
    return [f"{label} and {len(alike) - 1} others: {NUMBER.sub(lambda _: next(spans), rest)}"]


def _span(numbers: list[str]) -> str:
    return numbers[0] if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"


def _value(number: str) -> float:
    return float(number.replace(",", ""))


def printed(reached: dict[str, list[str]]) -> tuple[str, list[str]]:
    """Return the table for a terminal, and the rows of every CI run that were not measured."""
    lines, missing = [], []
    for row in rows():
        lines.append(f"{row['number']:>2}  {row['figure']}")
        lines.append(f"      wanted   {row['wanted']}")
        lines += [f"      this run {text}" for text in shortened(reached.get(row["number"], []))]
        if row["number"] not in reached:
            lines.append(f"      {row['date']}  {row['reached']}  ({row['when']})")
            if row["when"] == ALWAYS:
                missing.append(row["number"])
        if row["standing"] != "reached":
            lines.append(f"      {row['standing'].upper()}: {row['note']}")
    return "\n".join(lines), missing


def keep(reached: dict[str, list[str]]) -> None:
    """Write the figures of a run and its day into the table."""
    found = rows()
    for row in found:
        if row["number"] in reached:
            row["reached"] = "; ".join(shortened(reached[row["number"]]))
            row["date"] = dt.date.today().isoformat()  # noqa: DTZ011  (the day on this machine)
    with ROWS.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, found[0], lineterminator="\n")
        writer.writeheader()
        writer.writerows(found)


def main(arguments: list[str]) -> int:
    """Print the table of a run, or keep its figures."""
    reached = json.loads(Path(arguments[-1]).read_text(encoding="utf-8"))
    if "--keep" in arguments:
        keep(reached)
        return 0
    text, missing = printed(reached)
    print(f"docs/reliability.md in this run:\n{text}")
    if missing:
        print(f"not measured, though CI always does: rows {', '.join(missing)}")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
