"""Audit the lock against a copy of the Python advisory database on this machine.

``python -m tests.house.audit --database FOLDER [--strict]``, from the top of the source tree.

The copy is a folder of OSV records, JSON or YAML, such as a checkout of the public database of the
Python Packaging Authority. Nothing is fetched. The answer always says how old the copy is:
one older than 30 days is "stale", whatever matches; without a copy nothing is audited. The word for
a good answer is "no advisory of this copy matches"; that there is no fault nobody can say, and the
database knows nothing of the C libraries inside the wheels (``lawnmap about`` lists those).

Exit code: 0; 1 an advisory matches; 3 with ``--strict`` when not audited, stale or incomplete.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import sys
from collections.abc import Iterable, Iterator, Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, NamedTuple

from packaging.utils import canonicalize_name
from packaging.version import InvalidVersion, Version

from tests.house.lock import LOCK, pins

STALE_DAYS = 30
TOOL_CHAIN = ("pip", "setuptools", "wheel")
MATCH, NOT_SURE = 1, 3


class Copy(NamedTuple):
    """What a folder holds: records for PyPI, the newest change in any, files that are none."""

    records: tuple[Mapping[str, Any], ...]
    newest: dt.date | None
    unreadable: tuple[str, ...]


def read_copy(folder: Path) -> Copy:
    """Return the records of a folder and the folders in it; withdrawn ones are left out."""
    records, unreadable, newest = [], [], None
    for path in sorted(folder.rglob("*")):
        if path.suffix not in {".json", ".yaml", ".yml"} or not path.is_file():
            continue
        try:
            record = _parsed(path)
            changed = _date(record["modified"])
            affected = [each["package"]["ecosystem"] for each in record["affected"]]
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            unreadable.append(f"{path.name} ({type(error).__name__})")
            continue
        newest = max(newest or changed, changed)
        if "PyPI" in affected and not record.get("withdrawn"):
            records.append(record)
    return Copy(tuple(records), newest, tuple(unreadable))


def _parsed(path: Path) -> dict[str, Any]:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".json":
        read = json.loads(text)
    else:
        import yaml

        try:
            read = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))  # noqa: S506  (both are safe)
        except yaml.YAMLError as error:
            raise ValueError(str(error)) from error
    if not isinstance(read, dict):
        raise TypeError("not a record")
    return read


def _date(said: object) -> dt.date:
    """Return a moment's day; YAML makes moments of its own."""
    if isinstance(said, dt.datetime):
        return said.date()
    return dt.date.fromisoformat(str(said)[:10])


def matches(records: Iterable[Mapping[str, Any]], wanted: Mapping[str, set[str]]) -> Iterator[str]:
    """Yield a line for each record that touches a version in use.

    Parameters
    ----------
    records : iterable of OSV records
    wanted : mapping
        Canonical names to the versions in use.
    """
    for record in records:
        for affected in record["affected"]:
            package = affected["package"]
            name = canonicalize_name(str(package.get("name", "")))
            for here in sorted(wanted.get(name, ())) if package["ecosystem"] == "PyPI" else ():
                how = touches(affected, here)
                if how:
                    also = ", ".join(map(str, record.get("aliases") or []))
                    yield f"{name} {here}: {record['id']}{f' ({also})' if also else ''}: {how}"


def touches(affected: Mapping[str, Any], here: str) -> str:
    """Return how one entry of a record touches a version, or "" when it does not."""
    ranges = [each for each in affected.get("ranges") or [] if each.get("type") != "GIT"]
    listed = [str(each) for each in affected.get("versions") or []]
    if not ranges and not listed:
        return "names no versions: look for yourself"
    for each in ranges:
        try:
            fixed = _within(each["events"], here)
        except (ValueError, KeyError, TypeError):
            return "its versions are not understood: look for yourself"
        if fixed is not None:
            return f"fixed in {fixed}" if fixed else "no fixed version is named"
    return "is on its list of versions" if any(_same(each, here) for each in listed) else ""


def _within(events: Iterable[Mapping[str, str]], here: str) -> str | None:
    """Return where a version in a range of events is fixed ("" where nowhere); None outside it."""
    inside, found = False, Version(here)
    for event in sorted(events, key=_place):
        ((kind, said),) = event.items()
        place = _place(event)
        if inside and kind == "fixed":
            if found < place:
                return str(said)
            inside = False
        elif inside and kind == "last_affected":
            if found <= place:
                return ""
            inside = False
        elif kind == "introduced" and found >= place:
            inside = True
    return "" if inside else None


def _place(event: Mapping[str, str]) -> Version:
    (said,) = event.values()
    return Version(str(said))


def _same(one: str, other: str) -> bool:
    try:
        return Version(one) == Version(other)
    except InvalidVersion:
        return one == other


def in_use() -> dict[str, set[str]]:
    """Return the versions of the lock, for every system, and of the tool chain here."""
    found: dict[str, set[str]] = {}
    for pin in pins(LOCK.read_text(encoding="utf-8")):
        found.setdefault(pin.name, set()).add(pin.version)
    for name in TOOL_CHAIN:
        try:
            found.setdefault(name, set()).add(version(name))
        except PackageNotFoundError:
            continue
    return found


def audit(
    folder: Path | None, wanted: Mapping[str, set[str]], today: dt.date
) -> tuple[list[str], int]:
    """Return what is to be said, the verdict last, and the exit code under ``--strict``."""
    copy = read_copy(folder) if folder and folder.is_dir() else Copy((), None, ())
    if copy.newest is None:
        return ["not audited: no copy of the Python advisory database is on this machine"], NOT_SURE
    age = (today - copy.newest).days
    said = [
        f"advisory copy: {len(copy.records):,} records for PyPI, the newest of {copy.newest}, "
        f"{age} days old; {len(wanted)} distributions looked up"
    ]
    said += [f"could not be read: {each}" for each in copy.unreadable]
    found = sorted(matches(copy.records, wanted))
    said += found
    count = f"{len(found)} advisories of this copy match" if found else (
        "no advisory of this copy matches"
    )  # fmt: skip
    doubts = []
    if age > STALE_DAYS:
        doubts.append(f"stale: nothing is known of the last {age} days")
    if age < 0:
        doubts.append("stale: the copy's date lies in the future")
    if copy.unreadable:
        doubts.append(f"incomplete: {len(copy.unreadable)} files could not be read")
    said.append("; ".join([*doubts, count]))
    return said, MATCH if found else NOT_SURE if doubts else 0


def main(arguments: list[str] | None = None) -> int:
    """Run the audit from the command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.house.audit", description=__doc__)
    parser.add_argument("--database", type=Path, help="folder of OSV records (JSON or YAML)")
    parser.add_argument("--today", type=dt.date.fromisoformat, default=dt.date.today())  # noqa: DTZ011  (a day, as people count them)
    parser.add_argument("--strict", action="store_true", help="exit 3 unless it is a fresh audit")
    given = parser.parse_args(arguments)
    said, code = audit(given.database, in_use(), given.today)
    sys.stdout.write("\n".join(said) + "\n")
    return code if given.strict or code == MATCH else 0


if __name__ == "__main__":
    sys.exit(main())
