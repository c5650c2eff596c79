"""Write the pages of docs/ that come from the code: commands, columns, values, checks, weak spots.

``python docs/make_pages.py`` writes them again; with ``--check`` it writes nothing and leaves with
1 when a page is not what the code says.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Sequence
from pathlib import Path

import click
import desktop_columns
from checks_page import checks_page
from page_text import page, table
from reference_values import reference_page
from reliability_page import reliability_page
from weak_spots_page import weak_spots_page

from lawnmap import errors, plugins, schema
from lawnmap.cli.main import INTERRUPTED, ORDER, main

DOCS = Path(__file__).parent
WIDTH = 96  # of a usage line

STOPPED = "stopped with Ctrl-C; what was saved before is whole"
# What each command puts on standard output; help texts say what it does.
PRINTS = {
    "start": "The files made, and what to do next.",
    "read": "With `--into` or `--dry-run`, what is added, updated, unchanged or kept. Without, "
    "plain GeoJSON.",
    "mark": "Once it has stopped, the revision of the site.",
    "assess": "The zones that changed and the new revision.",
    "measure": "A table of areas, a zone a line, and their sum.",
    "sun": "Hours of direct sun, a zone a line, with the days and the latitude, and where to cut. "
    "With `-o -`, every point as CSV.",
    "sampling": "What the cores of each zone can say and how many more to take, a zone a line. "
    "With `-o -`, the places as GPX.",
    "plan": "Steps and quantities by zone, with totals. With `--why`, where each number of a zone "
    "comes from.",
    "export": "Where each file is, for whom, and its size. With `-o -`, the file itself.",
    "issue": "The id of the issued plan and its folder.",
    "record": "What was recorded, the iron of the year, what is still empty; with `--list` "
    "a table.",
    "survey": "The name of the closed survey and in how many zones there are counts and cores; "
    "with `--list`, a name a line.",
    "compare": "Zone by zone what was seen before and after, and whether the change is outside the "
    "noise.",
    "calibrate": "What the applicator puts on, what to set, and where that was kept.",
    "place": "How far off each control point is, scale and turn, and the area before and after.",
    "sites": "What all sites come to: ground, hours, needs, machine-days, what is in the way, and "
    "the sites that could not be planned. Site by site it is in the files.",
    "check": "What was found, with what to do about it; with `--backups`, the earlier states.",
    "plugins": "A table: group, name, title and the distribution that brings it. Below it stands "
    "what is wrong with those that cannot be used.",
    "desktop": "What was put into which profile or taken away; with `status`, how it stands in "
    "each.",
    "about": "A table of versions, limits and guards, and the known weak spots of what is "
    "installed.",
}

FORM = """\
## Output and errors

Results go to standard output. Notes and errors go to standard error. `-` as the source reads \
standard input where a command takes a plan or a site to look at; `-o -` of `export` writes to \
standard output. With `NO_COLOR` set, nothing is coloured. `-q` leaves notes out.

An error is one line in one form: file, place, what is wrong, what was not done, what to do.

```
lawnmap: plan.gpkg: holds 2 layers. Nothing was changed. Choose with --layer (--layers \
lists them): "zones" (12), "features" (30).
```

A command that was not understood is answered by its usage line and code 2.

## Progress

A plan that takes longer than two seconds shows on a terminal how far it is. A program that starts \
lawnmap sets `LAWNMAP_PROGRESS=lines` and then reads on standard error, among the notes, lines of \
the form `progress PERCENT WORDS`: `progress 40 pass lines`.

## JSON

Every command takes `--json` and then prints one document:

```json
{"lawnmap": {"version": "0.1.0", "json": 1}, "command": "measure", "warnings": [], "result": []}
```

`json` is raised when a field changes its meaning. After an error `error` stands in the place of \
`result`, with `code`, `file`, `place`, `problem` and `remedy`; the line above is on standard \
error all the same. A usage error prints no JSON.
"""


def pages() -> dict[str, str]:
    """Return the text of every made page by its path below docs/."""
    names = ours("commands")
    made = {f"commands/{name}.md": command_page(name) for name in names}
    made["commands/index.md"] = commands_index(names)
    made["columns.md"] = columns_page()
    made["reference_values.md"] = reference_page()
    made["checks.md"] = checks_page()
    made["reliability.md"] = reliability_page()
    made["weak_spots.md"] = weak_spots_page()
    made[desktop_columns.TARGET] = desktop_columns.table()
    return made


def stale() -> list[str]:
    """Return the made pages that are missing, out of date, or of a command that is gone."""
    made = pages()
    old = [
        name
        for name, text in made.items()
        if not (DOCS / name).is_file() or (DOCS / name).read_text(encoding="utf-8") != text
    ]
    there = {f"commands/{path.name}" for path in (DOCS / "commands").glob("*.md")}
    return sorted({*old, *(there - set(made))})


def ours(group: str) -> list[str]:
    """Return the names of lawnmap's own entry points, commands in the order of the job."""
    names = [
        name
        for name, points in plugins.available(group).items()
        if any(plugins.owner(point) == "lawnmap" for point in points)
    ]
    return sorted(names, key=ORDER.index) if group == "commands" else names


HELP = ["`-h`, `--help`", "", "Show this message and exit."]


def command_page(name: str) -> str:
    """Return the page of one command."""
    command = plugins.load("commands", name)
    context = click.Context(
        command, info_name=name, parent=click.Context(main, info_name="lawnmap")
    )
    formatter = click.HelpFormatter(width=WIDTH)
    command.format_usage(context, formatter)
    usage = formatter.getvalue().strip().removeprefix("Usage: ")
    paragraphs = inspect.cleandoc(command.help or "").split("\n\n")
    text = [each.replace("\n", " ") for each in paragraphs if not each.startswith("Example:")]
    examples = [each for each in paragraphs if each.startswith("Example:")]
    shown = " ".join(examples[0].removeprefix("Example:").split()) if examples else usage
    # The option for help is click's, which keeps the one of whoever ran the command first.
    options = [each for each in command.params if isinstance(each, click.Option)]
    return page(
        f"lawnmap {name}",
        "the command's own help",
        f"```\n{usage}\n```",
        *text,
        "## Options",
        table(
            ["option", "takes", "meaning"], [*(option_row(each, context) for each in options), HELP]
        ),
        "## Example",
        f"```sh\n{shown}\n```",
        "## Standard output",
        f"{PRINTS[name]} With `--json`, one [JSON document](index.md#json).",
        "[Exit codes and the form of errors](index.md#exit-codes)",
    )


def option_row(option: click.Option, context: click.Context) -> list[str]:
    """Return option, what it takes, and what it means."""
    names = ", ".join(f"`{each}`" for each in option.opts)
    takes = "" if option.is_flag else f"`{option.make_metavar(context)}`"
    meaning = option.help or ""
    if isinstance(option.type, click.Choice) and not option.help:
        meaning = "One of: " + ", ".join(str(each) for each in option.type.choices) + "."
    notes = ["Required."] if option.required else []
    if isinstance(option.default, str) and option.default:
        notes.append(f"Default: {option.default}.")
    if option.multiple:
        notes.append("May be given several times.")
    return [names, takes, " ".join([meaning, *(n for n in notes if n.lower() not in meaning)])]


def commands_index(names: Sequence[str]) -> str:
    """Return the page that lists the commands and what they share."""
    rows = [
        [f"[`{name}`]({name}.md)", plugins.load("commands", name).get_short_help_str(limit=200)]
        for name in names
    ]
    codes = [
        ["0", "done"],
        *exit_codes(),
        [str(INTERRUPTED), "stopped with Ctrl-C; what was saved before is whole"],
    ]
    return page(
        "Commands",
        "the commands and `lawnmap/errors.py`",
        "In the order of the job:",
        table(["command", "what it does"], rows),
        "## Exit codes",
        table(["code", "meaning"], codes),
        FORM,
    )


def exit_codes() -> list[list[str]]:
    """Return code and meaning of each branch of the tree of errors."""
    fault = ["1", "a fault in lawnmap; it is noted in a log without names or values"]
    kinds = [
        [str(kind.exit_code), _sentence(kind.__doc__)]
        for kind in errors.LawnmapError.__subclasses__()
        if kind.__module__ == errors.__name__
    ]
    return [fault, *sorted(kinds)]


def _sentence(text: str | None) -> str:
    said = (text or "").splitlines()[0].rstrip(".")
    return said[:1].lower() + said[1:]


def columns_page() -> str:
    """Return the page of the nomenclature."""
    parts = []
    for name in dict.fromkeys(column.table for column in schema.COLUMNS):
        parts.append(f"## {name}")
        rows = [
            [
                f"`{each.name}`",
                each.unit,
                _holds(each),
                each.step or "fact",
                each.seen_by,
                each.meaning,
            ]
            for each in schema.columns(name)
        ]
        parts.append(table(["column", "unit", "may hold", "made by", "seen by", "meaning"], rows))
    kinds = [[f"`{kind}`", ", ".join(forms)] for kind, forms in schema.FEATURES.items()]
    circles = ", ".join(schema.AUDIENCES)
    return page(
        "Columns",
        "`lawnmap/columns.csv`",
        "A *fact* was seen or measured and is kept in the site file. Anything else is worked out "
        "again each time by the step named, and never stored. *Seen by* names the widest circle "
        f"that may see a column: {circles}; each sees what those before it see. Who gets what is "
        "on [the page about privacy](privacy.md).",
        *parts,
        "## Kinds of feature",
        "The property `feature` says what a thing on the map is.",
        table(["feature", "drawn as"], kinds),
        f"These take their area out of a zone: {', '.join(schema.OBSTACLES)} (a tree its stem).",
    )


def _holds(column: schema.Column) -> str:
    if column.words:
        return ", ".join(column.words)
    return "" if column.low is None or column.high is None else f"{column.low:g} to {column.high:g}"


def run(arguments: Sequence[str]) -> int:
    """Write the pages, or with ``--check`` name those that are stale; return the exit code."""
    old = stale()
    if "--check" in arguments:
        for name in old:
            print(f"docs/{name} is stale: run python docs/make_pages.py", file=sys.stderr)
        return 1 if old else 0
    made = pages()
    for name in old:
        path = DOCS / name
        if name not in made:
            path.unlink()
            continue
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(made[name], encoding="utf-8", newline="\n")
        print(f"docs/{name}")
    return 0


if __name__ == "__main__":
    sys.exit(run(sys.argv[1:]))
