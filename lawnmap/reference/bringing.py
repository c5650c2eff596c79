"""Rows that an outside treatment brings to the reference tables: checked as ours are, then added.

They lie in CSV files with the names and columns of ours. What they say may add to the plan, and
never changes what ours say: no id may be taken already, a wait has the treatment at one end, and
cautions, gates and kit are for the treatment alone.
"""

from __future__ import annotations

import math
from importlib.metadata import entry_points
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from lawnmap.errors import PluginProblem
from lawnmap.reference import reading, tables
from lawnmap.reference.rows import (
    Caution,
    Gate,
    Interval,
    Kit,
    ReferenceValue,
    Rule,
    Source,
)

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping, Sequence
    from importlib.resources.abc import Traversable

Brought = dict[str, list[Any]]

# What may be brought, sources first, since the others name them.
TABLES: Mapping[str, type] = {
    "sources": Source,
    "values": ReferenceValue,
    "rules": Rule,
    "intervals": Interval,
    "cautions": Caution,
    "gates": Gate,
    "kit": Kit,
}
FOR_WORK = {"cautions": "sentence", "gates": "sentence", "kit": "item"}  # and what each says
RANGE = ("low", "high")  # of a value, which may go without a single figure and never without these
LARGEST = 1_000_000  # characters of one file: twenty times our longest
NO_SOURCE = tables.STANDINGS[-1]

_added: dict[str, str] = {}  # by owner and folder, so that nothing is added twice


def bring(owner: str, operations: Collection[str], folder: Traversable) -> None:
    """Add the rows of a folder to the tables, once.

    Parameters
    ----------
    owner : str
        Name of the distribution that brings them.
    operations : collection of str
        Names of its treatments.
    folder : Traversable
        With any of the files of TABLES.

    Raises
    ------
    PluginProblem
        When a row is not sound; nothing of the folder is added then.
    """
    texts = {name: _text(folder, name, owner) for name in TABLES}
    key = f"{owner}: {folder}"
    if _added.get(key) == repr(texts):
        return
    lines = {name: reading.parsed(text) for name, text in texts.items()}
    rows = {name: [_row(name, line, owner) for line in lines[name]] for name in TABLES}
    for problem in _wrong(rows, frozenset(operations)):
        raise _refused(owner, problem)
    for name, each in lines.items():
        reading.BROUGHT.setdefault(name, []).extend(each)
    _added[key] = repr(texts)
    forget()


def forget(*, rows: bool = False) -> None:
    """Let the tables be read again; without the rows of others, where that is asked."""
    if rows:
        reading.BROUGHT.clear()
        _added.clear()
    for table in (*_LOOKUPS.values(), tables.intervals):
        table.cache_clear()


def is_brought(rule_id: str) -> bool:
    """Tell whether a rule is one that was brought."""
    return any(line["id"] == rule_id for line in reading.BROUGHT.get("rules", ()))


_LOOKUPS: Mapping[str, Any] = {
    "sources": tables.sources,
    "values": tables.values,
    "rules": tables.rules,
    "cautions": tables.cautions,
    "gates": tables.gates,
    "kit": tables.kit,
}


def _refused(owner: str, problem: str) -> PluginProblem:
    return PluginProblem(
        f"the reference tables from {owner} cannot be used: {problem}",
        remedy=f"Mend or uninstall {owner}; everything else goes on working.",
    )


def _text(folder: Traversable, name: str, owner: str) -> str:
    path = folder.joinpath(f"{name}.csv")
    try:
        text = path.read_text(encoding="utf-8") if path.is_file() else ""
    except (OSError, UnicodeDecodeError) as error:
        raise _refused(owner, f"{name}.csv cannot be read ({type(error).__name__})") from error
    if len(text) > LARGEST:
        raise _refused(owner, f"{name}.csv is longer than {LARGEST:,} characters")
    return text


def _row(name: str, line: dict[str, str], owner: str) -> Any:
    place = f"{name}.csv, {next(iter(line.values()), '')}"
    if None in line or None in line.values():
        raise _refused(owner, f"{place}: it has not as many cells as the head of the file")
    for column in RANGE if name == "values" else ():
        if not line.get(column, column).strip():
            problem = f"{column} is empty: for one figure write it three times"
            raise _refused(owner, f"{place}: {problem}")
    try:
        return reading.row(TABLES[name], line)
    except KeyError as error:
        raise _refused(owner, f"{place}: the column {error} is missing") from error
    except ValueError as error:
        raise _refused(owner, f"{place}: {error}") from error


def _wrong(rows: Brought, operations: frozenset[str]) -> Iterator[str]:
    """Yield what is wrong with rows, by file and id."""
    if not any(rows.values()):
        yield "its folder holds none of " + ", ".join(f"{name}.csv" for name in TABLES)
    yield from _of_ids(rows)
    for each in rows["values"]:
        yield from (f"values.csv, {each.id}: {problem}" for problem in _of_value(each))
    values = {**tables.values(), **{each.id: each for each in rows["values"]}}
    for each in rows["rules"]:
        yield from (f"rules.csv, {each.id}: {problem}" for problem in _of_rule(each, values))
    yield from _of_waits(rows["intervals"], operations)
    for name, says in FOR_WORK.items():
        for each in rows[name]:
            meant = {each.applies_to} if isinstance(each.applies_to, str) else {*each.applies_to}
            if not meant <= operations:
                yield f"{name}.csv, {each.id}: it is for {', '.join(sorted(meant - operations))}"
            if not getattr(each, says).strip():
                yield f"{name}.csv, {each.id}: its {says} is empty"


def _of_ids(rows: Brought) -> Iterator[str]:
    cited = {*tables.sources(), *(each.id for each in rows["sources"])}
    for name, table in rows.items():
        seen = {_key(each) for each in _known(name)}
        for each in table:
            place = f"{name}.csv, {_key(each)}"
            if _key(each) in seen or not _key(each):
                yield f"{place}: it is taken already, and what is there is never changed"
            seen.add(_key(each))
            yield from (f"{place}: {problem}" for problem in _unsourced(each, cited))


def _of_waits(waits: Sequence[Interval], operations: frozenset[str]) -> Iterator[str]:
    ends = _ends(operations) if waits else frozenset()
    for each in waits:
        for end in (each.before, each.after):
            if end not in ends:
                yield f"intervals.csv, {_key(each)}: nothing is called {end!r}"
        if not operations & {each.before, each.after}:
            yield f"intervals.csv, {_key(each)}: it names none of {', '.join(sorted(operations))}"
        days = [d for d in (each.least_days, each.usual_days, each.most_days) if d is not None]
        if any(day < 0 for day in days) or any(one > other for one, other in pairwise(days)):
            yield f"intervals.csv, {_key(each)}: least, usual and most days are not in order"


def _ends(operations: frozenset[str]) -> frozenset[str]:
    """Return what may stand at an end of a wait: what has waits already, and every treatment."""
    here = frozenset(entry_points(group="lawnmap.treatments").names)
    return operations | here | frozenset(each for pair in tables.intervals() for each in pair)


def _known(name: str) -> Collection[Any]:
    if name == "intervals":
        return tables.intervals().values()
    found = _LOOKUPS[name]()
    return found.values() if isinstance(found, dict) else found


def _key(row: Any) -> str:
    return f"{row.before} to {row.after}" if isinstance(row, Interval) else str(row.id)


def _unsourced(row: Any, cited: Collection[str]) -> Iterator[str]:
    """Yield what is wrong with where a row says it comes from."""
    if isinstance(row, Source):
        if not row.where or row.grade not in tuple("ABCD"):
            yield "a source says where it is found, and has a grade of A to D"
        return
    named = row.sources if isinstance(row, Rule) else (row.source,) if row.source else ()
    if row.standing not in tables.STANDINGS:
        yield f"its standing is {row.standing!r}; it can be: {'; '.join(tables.STANDINGS)}"
    elif row.standing == "published" and not named:
        yield "what is published names its source"
    elif row.standing == NO_SOURCE and named and not isinstance(row, Rule):
        yield "it names a source, and its standing says that there is none"
    for each in named:
        if each not in cited:
            yield f"there is no source {each!r}"


def _of_value(value: ReferenceValue) -> Iterator[str]:
    if not value.unit or not value.conditions:
        yield "it says no unit, or not for what it holds"
    figures = [value.low, *([] if value.value is None else [value.value]), value.high]
    if not all(map(math.isfinite, figures)) or any(a > b for a, b in pairwise(figures)):
        yield "its figure does not lie between low and high"


def _of_rule(rule: Rule, values: Mapping[str, ReferenceValue]) -> Iterator[str]:
    blanks = tables.BLANK.findall(rule.sentence)
    for each in dict.fromkeys([*rule.values, *(name for mark, name in blanks if mark)]):
        if each not in values:
            yield f"there is no value {each!r}"
    loose = {name for mark, name in blanks if not mark} - set(rule.inputs)
    if loose or not rule.sentence:
        yield f"its sentence has blanks that are no inputs: {', '.join(sorted(loose))}"
    standings = [values[each].standing for each in rule.values if each in values]
    if rule.standing == "published" and set(standings) - {"label", "published"}:
        yield "its standing is firmer than that of a value it uses"
