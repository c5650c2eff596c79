"""Coverage-guided fuzzing of our own readers, by hand and before a release.

::

    pip install atheris
    python -m tests.fuzz geojson --minutes 30      # one target; or several, or all
    python -m tests.fuzz geojson --replay FILE     # what one input does; needs no atheris

What was learned is kept under ``--corpus`` (``build/fuzz``, outside the tree) and the next run goes
on from there. A finding is a file under ``TARGET/findings`` with a text beside it. Once mended, its
file goes into ``tests/seeds/TARGET/``, where CI replays it.
"""

from __future__ import annotations

import argparse
import csv
import datetime as dt
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

STATUS = re.compile(r"#(\d+)\s+\w+\s+cov: (\d+) ft: (\d+)")
COLUMNS = ("ended", "target", "minutes", "executions", "edges", "features", "findings")


def main() -> int:
    """Run the command; the exit code is 1 when anything was found."""
    from tests.fuzz.targets import TARGETS

    asked = _asked(list(TARGETS))
    if asked.replay is not None:
        return _replay(asked.targets, asked.replay)
    if find_spec("atheris") is None:
        sys.exit("atheris is not installed: pip install atheris")
    wanted = list(TARGETS) if "all" in asked.targets else asked.targets
    rows = [_run(target, asked.corpus, asked.minutes) for target in wanted]
    return int(any(row["findings"] for row in rows))


def _asked(known: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("targets", nargs="+", choices=["all", *known], metavar="TARGET")
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--corpus", type=Path, default=Path("build/fuzz"))
    parser.add_argument("--replay", type=Path, help="tell what this one file does")
    return parser.parse_args()


def _replay(targets: list[str], path: Path) -> int:
    from tests.fuzz.findings import Finding, judged
    from tests.fuzz.targets import TARGETS

    try:
        sys.stdout.write(f"{judged(TARGETS[targets[0]], path.read_bytes())}\n")
    except Finding as finding:
        sys.stdout.write(f"{finding}\n")
        return 1
    return 0


def _run(target: str, corpus: Path, minutes: float) -> dict[str, object]:
    """Fuzz one target in a process of its own and write down how it went."""
    folder = corpus.resolve() / target
    for name in ("corpus", "findings"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    before = set((folder / "findings").iterdir())
    inside = "import sys; from pathlib import Path; from tests.fuzz.engine import fuzz; "
    inside += "fuzz(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]))"
    command = [sys.executable, "-c", inside, target, str(folder), str(round(minutes * 60))]
    with (folder / "log.txt").open("w", encoding="utf-8") as log:
        ended = subprocess.run(command, stdout=log, stderr=log, check=False).returncode
    text = (folder / "log.txt").read_text(encoding="utf-8", errors="replace")
    counted = STATUS.findall(text) or [("0", "0", "0")]
    new = [each for each in set((folder / "findings").iterdir()) - before if each.suffix != ".txt"]
    now = f"{dt.datetime.now(dt.UTC):%Y-%m-%d %H:%M}"
    row = dict(zip(COLUMNS, (now, target, minutes, *counted[-1], len(new)), strict=True))
    _write_down(corpus / "runs.csv", row)
    told = ", ".join(f"{row[name]} {name}" for name in COLUMNS[2:])
    sys.stdout.write(f"{target}: {told}\n")
    for path in sorted(new):
        sys.stdout.write(f"  {path}\n")
    if ended or "Done " not in text:
        sys.stdout.write(f"  it broke off (exit {ended}); see {folder / 'log.txt'}\n")
        row["findings"] = len(new) + 1
    sys.stdout.flush()
    return row


def _write_down(path: Path, row: dict[str, object]) -> None:
    new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, COLUMNS)
        if new:
            writer.writeheader()
        writer.writerow(row)


if __name__ == "__main__":
    sys.exit(main())
