"""Nearly right documents: the good one with a value, a key, a row or a cell put otherwise.

Bytes at random hardly ever pass a parser; these pass it each time, and are wrong behind it.
"""

import copy
import csv
import datetime as dt
import io
import json
import math
import tomllib

from hypothesis import strategies as st

NUMBERS = (
    0, -1, 1, 7, 1.5, -0.0, 1e-9, 359.5, 1e9, 1e300, -1e300, 10**12, 10**29, -(10**29), 5e-324,
)  # fmt: skip
TEXTS = (
    "", " ", "x", "soon", "nan", "-inf", "0", "-5", "1e400", "1,5", "2027-02-30", "0001-01-01",
    "9999-12-31", "20270301", "2027-W09-1", "front", "back", "old", "zone", "Polygon", "Point",
    "Moss iron", "../../etc/passwd", "<b>", "=1+1", "{{7*7}}", "a\u202eb", "tab\there",
    "\U0001f33f",
    "e\u0301", "x" * 300, "9" * 60, "constructor", "\x7f", "a\nb",
)  # fmt: skip
SHAPES = ([], {}, [[]], [None], {"a": None}, [1, 2], [[0, 0], [1, 1], [0, 1], [0, 0]], [[[0, 0]]])
DAYS = (dt.date(1, 1, 1), dt.date(9999, 12, 31), dt.date(2027, 3, 1), dt.date(2024, 2, 29))
ACTIONS = ("put", "put", "put", "drop", "double", "add", "swap")

values = st.one_of(
    st.sampled_from((None, True, False)),
    st.sampled_from(NUMBERS),
    st.sampled_from(TEXTS),
    st.sampled_from(SHAPES),
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-200, 20_000),
    st.text(max_size=20),
)
edits = st.lists(
    st.tuples(st.integers(0, 10**6), st.sampled_from(ACTIONS), values), min_size=1, max_size=3
)


def places(value, here=()):
    """Return the path of everything in plain values but the whole."""
    found = []
    for key, each in _items(value):
        found.append((*here, key))
        found += places(each, (*here, key))
    return found


def _items(value):
    if isinstance(value, dict):
        return list(value.items())
    return list(enumerate(value)) if isinstance(value, list) else []


def edited(good, changes):
    """Return plain values with some places changed."""
    there = copy.deepcopy(good)
    for where, action, value in changes:
        paths = places(there)
        if not paths:
            return value
        *way, last = paths[where % len(paths)]
        holder = there
        for key in way:
            holder = holder[key]
        _change(holder, last, action, copy.deepcopy(value))
    return there


def _change(holder, key, action, value):
    if action == "put":
        holder[key] = value
    elif action == "drop":
        del holder[key]
    elif action == "double" and isinstance(holder, list):
        holder.insert(key, copy.deepcopy(holder[key]))
    elif action == "add" and isinstance(holder, list):
        holder.append(value)
    elif action == "add":
        holder[str(value)[:40]] = value
    elif isinstance(holder, list):
        holder.reverse()
    else:
        holder[key] = next(iter(holder.values()))


# JSON -------------------------------------------------------------------------------------------


def as_json(good, changes):
    """Return a JSON file that is nearly the good one."""
    made = edited(json.loads(good), changes)
    return json.dumps(made, ensure_ascii=False).encode("utf-8", "surrogatepass")


# CSV --------------------------------------------------------------------------------------------


def as_csv(good, changes):
    """Return a table that is nearly the good one."""
    rows = list(csv.reader(io.StringIO(good.decode("utf-8"))))
    made = edited(rows, [(where, action, _cell(value)) for where, action, value in changes])
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows(row if isinstance(row, list) else [row] for row in made)
    return out.getvalue().encode("utf-8", "surrogatepass")


def _cell(value):
    if isinstance(value, list | dict):
        return [_cell(each) for each in value]
    return "" if value is None else str(value)


# TOML -------------------------------------------------------------------------------------------


def as_toml(good, changes):
    """Return a TOML file that is nearly the good one."""
    made = edited(tomllib.loads(good.decode("utf-8")), [_dated(each) for each in changes])
    made = made if isinstance(made, dict) else {"a": made}
    return "".join(f"{_key(key)} = {_toml(each)}\n" for key, each in made.items()).encode(
        "utf-8", "surrogatepass"
    )


def _dated(change):
    """Let days be days now and then, which no other format has."""
    where, action, value = change
    return where, action, DAYS[where % len(DAYS)] if where % 7 == 0 else value


def _key(key):
    return json.dumps(str(key))


def _toml(value):
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(key)} = {_toml(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dt.date):
        return value.isoformat()
    if value is None:
        return '""'
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else str(value)
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")


def writer(name, path):
    """Return what makes nearly right files of a kind."""
    if path.suffix == ".toml":
        return as_toml
    return as_csv if path.suffix == ".csv" else as_json
