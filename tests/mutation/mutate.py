"""Mutation score: how many small faults put into the code the tests notice.

Usage, from the root of the repository, with ``mutmut`` (3.8 or later) installed beside the tests::

    python tests/mutation/mutate.py files             # a seeded sample of every module in the room
    python tests/mutation/mutate.py files --sample 0  # every mutant: hours
    python tests/mutation/mutate.py files --only admit --show

Everything happens in a copy of the tree (``--work``, by default ``build/mutation/ROOM``), which is
kept: a second run tries again only mutants of functions that changed, and those that had survived.
For figures to be published delete it first.
The last line says passed or failed; the table is written into that folder as ``scores.csv``.
A mutant counts as killed when a test fails, ends the process or runs into the time limit (told
apart in the table: a busy machine makes these). Tests run more than once in one process, so they
must leave nothing behind. mutmut mutates functions without decorators; what stands in the text of a
module (patterns, tables) and in a guarded child that is started anew for each mutant is up to the
tests. A survivor is a missing assertion, dead code, or means the same (an alias of an encoding, the
case of an HTTP header, a limit of speed alone).
"""

from __future__ import annotations

import argparse
import csv
import random
import shutil
import subprocess
import sys
import tomllib
from collections import Counter, defaultdict
from pathlib import Path
from typing import NamedTuple

HOUSE = Path(__file__).parents[2]
WANTED = 80.0  # per cent
SEED = 9
SAMPLE = 30  # mutants a module
KILLED = {"killed", "timeout", "segfault", "suspicious"}
OF_MUTMUT = {".py", ".meta", ".spans"}
LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "build", "dist", "mutants")


class Room(NamedTuple):
    """Modules that are mutated, and the tests that have to notice."""

    modules: tuple[str, ...]
    tests: tuple[str, ...]
    without: tuple[str, ...] = ()  # slow, or by the clock


FILES = (
    "admit", "alone", "archive", "commit", "csv_text", "disk", "json_text", "kind", "lock",
    "numbers", "platform", "seal", "spreadsheet", "utf8", "xml_text",
)  # fmt: skip
CHILD = ("answer", "child", "flow")  # each of their tests starts a process
ROOMS = {
    "files": Room(
        tuple(f"lawnmap/files/{name}.py" for name in FILES),
        tuple(f"tests/files/test_{name}.py" for name in (*FILES, "messages", "platform_asked")),
        ("tests/files/test_lock.py::test_the_wait_is_bounded",),
    ),
    "child": Room(
        tuple(f"lawnmap/files/{name}.py" for name in CHILD),
        tuple(f"tests/files/test_{name}.py" for name in CHILD),
        (
            "tests/files/test_child.py::test_nobody_is_reached_from_inside",
            "tests/files/test_child.py::test_no_other_file_is_read_from_inside",
            "tests/files/test_child.py::test_a_computing_child_is_stopped_by_the_system",
        ),
    ),
    "escape": Room(
        ("lawnmap/pages/escape.py", "lawnmap/pages/policy.py", "lawnmap/pages/page.py"),
        tuple(f"tests/pages/test_{name}.py" for name in ("escape", "policy", "page", "readings")),
    ),
    "guards": Room(
        ("lawnmap/web/guards.py", "lawnmap/web/body.py"),
        ("tests/web/test_guards.py", "tests/web/test_body.py"),
    ),
    "store": Room(
        ("lawnmap/store/*.py",),
        ("tests/store",),
        # They take seconds each, in children or with random data, and find other faults than these.
        tuple(
            f"tests/store/test_{name}"
            for name in (
                "faults.py",
                "facts_mutants.py",
                "facts_structures.py",
                "facts_damaged.py",
                "backups.py::test_one_a_day_for_thirty_days",
                "draft.py::test_a_killed_holder_gives_its_draft_back",
                "issued.py::test_the_id_depends_on_values_only",
                "record.py::test_any_note_comes_back_as_it_was_said",
                "replies.py::test_any_json_in_any_field_is_read_or_refused",
                "replies.py::test_bytes_changed_at_random_are_refused_or_read_and_nothing_else",
                "replies.py::test_content_changed_at_random_under_a_digest_that_holds",
                "site.py::test_whatever_is_saved_is_loaded_again",
                "weather.py::test_any_days_come_back_in_order",
            )
        ),
    ),
}


def configuration(room: Room, only: list[str]) -> str:
    """Return what is added to ``pyproject.toml`` of the copy."""
    modules = [
        str(path.relative_to(HOUSE))
        for pattern in room.modules
        for path in sorted(HOUSE.glob(pattern))
        if not only or path.stem in only
    ]
    lines = {
        "source_paths": ["lawnmap"],
        "only_mutate": modules,
        "also_copy": ["sample_geo", "docs", "README.md", "DEVELOPERS.md"],
        "pytest_add_cli_args": ["-p", "no:cacheprovider", "-p", "tests.mutation.passing"],
        "pytest_add_cli_args_test_selection": [
            *room.tests,
            *(f"--deselect={test}" for test in room.without),
        ],
        "timeout_constant": 3.0,
        "timeout_multiplier": 4.0,
        "use_git_change_detection": False,
    }
    texts = [f"{key} = {str(value).replace('False', 'false')}" for key, value in lines.items()]
    return "\n".join(["", "[tool.mutmut]", *texts, ""])


def copied(room: Room, work: Path, only: list[str]) -> None:
    """Bring the copy up to date; what mutmut keeps in its folder ``mutants`` stays."""
    work.mkdir(parents=True, exist_ok=True)
    for entry in sorted(HOUSE.iterdir()):
        if entry.name in LEFT_OUT(str(HOUSE), [entry.name]):
            continue
        if entry.is_dir():
            shutil.rmtree(work / entry.name, ignore_errors=True)
            shutil.copytree(entry, work / entry.name, ignore=LEFT_OUT)
            refreshed(work / "mutants" / entry.name)
        else:
            shutil.copy2(entry, work / entry.name)
    text = (HOUSE / "pyproject.toml").read_text(encoding="utf-8")
    settings = tomllib.loads(text)
    assert "mutmut" not in settings["tool"], "the settings of mutmut are made here"
    (work / "pyproject.toml").write_text(text + configuration(room, only), encoding="utf-8")


def refreshed(folder: Path) -> None:
    """Remove from what mutmut made all that it would not copy again."""
    for path in sorted(folder.rglob("*")):
        if path.is_file() and (folder.name != "lawnmap" or path.suffix not in OF_MUTMUT):
            path.unlink()


def inside(sample: int, seed: int, *, show: bool) -> int:
    """Run mutmut over a sample, in the copy; tell the scores."""
    import mutmut.__main__ as engine

    everything = engine.collect_source_file_mutation_data

    def some(*, mutant_names):
        mutants, by_path = everything(mutant_names=mutant_names)
        names = chosen({path: list(data.exit_code_by_key) for path, data in by_path.items()})
        return [
            (data, name, None if result == 0 else result)  # what survived is tried again
            for data, name, result in mutants
            if name in names
        ], by_path

    def chosen(by_path: dict[str, list[str]]) -> set[str]:
        found: set[str] = set()
        for path, names in by_path.items():
            dice = random.Random(f"{seed} {path}")
            found.update(dice.sample(names, min(sample, len(names))) if sample else names)
        return found

    engine.collect_source_file_mutation_data = some
    engine._run((), 2)
    _, by_path = everything(mutant_names=())
    names = chosen({path: list(data.exit_code_by_key) for path, data in by_path.items()})
    return told(engine, by_path, names, show=show)


def told(engine, by_path, names: set[str], *, show: bool) -> int:
    """Write the table of scores; return how many modules stay below what is wanted."""
    rows, short = [], 0
    for path, data in sorted(by_path.items()):
        outcomes: dict[str, list[str]] = defaultdict(list)
        for name, code in data.exit_code_by_key.items():
            if name in names:
                outcomes[engine.status_by_exit_code[code]].append(name)
        counts = Counter({outcome: len(found) for outcome, found in outcomes.items()})
        tried = counts.total() - counts["not checked"] - counts["skipped"]
        killed = sum(counts[outcome] for outcome in KILLED)
        if not tried:
            continue
        score = 100 * killed / tried
        short += score < WANTED
        mutants, late = len(data.exit_code_by_key), counts["timeout"]
        rows.append((path, mutants, tried, killed, late, tried - killed, round(score)))
        if show:
            for outcome in ("survived", "no tests"):
                for name in outcomes[outcome]:
                    say(f"--- {outcome}: {name}")
                    say(engine.get_diff_for_mutant(name, path=path))
    head = ("module", "mutants", "tried", "killed", "of_these_late", "survived", "score_pct")
    with Path("scores.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows([head, *rows])
    say("\n" + " | ".join(head))
    for row in rows:
        say(" | ".join(map(str, row)))
    tried, killed = (sum(row[n] for row in rows) for n in (2, 3))
    say(f"all: {killed} of {tried} killed, {100 * killed / max(tried, 1):.1f} %")
    say("passed" if not short else f"failed: {short} modules below {WANTED:g} %")
    return int(short > 0)


def say(text: str) -> None:
    sys.__stdout__.write(f"{text}\n")
    sys.__stdout__.flush()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("room", choices=ROOMS)
    parser.add_argument("--work", type=Path)
    parser.add_argument("--sample", type=int, default=SAMPLE, help="mutants a module; 0: all")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--only", action="append", default=[], help="name of a module")
    parser.add_argument("--show", action="store_true", help="print what survived")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.inside:
        return inside(given.sample, given.seed, show=given.show)
    work = (given.work or HOUSE / "build" / "mutation" / given.room).resolve()
    copied(ROOMS[given.room], work, given.only)
    return subprocess.run(
        [sys.executable, "tests/mutation/mutate.py", *sys.argv[1:], "--inside"],
        cwd=work,
        check=False,
    ).returncode


if __name__ == "__main__":
    sys.exit(main())
