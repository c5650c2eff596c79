"""A page for each export: what it is, for whom, in which form, and what each audience sees."""

from __future__ import annotations

import export_facts as known
from item_text import column_link, facts, module_line, ours, page, plugin, row_of, table

FORMATS = "formats.md"
ADDS = {
    "public": "Everybody",
    "client": "The client also",
    "crew": "The crew also",
    "owner": "The owner also",
}


def pages() -> dict[str, str]:
    """Return the page of each export by its path, and the page that lists them."""
    made = {f"exports/{name}.md": _page(name) for name in known.order()}
    made["exports/index.md"] = _index()
    return made


def _row(name: str) -> dict[str, str]:
    return row_of(FORMATS, "What comes out")[name]


def _page(name: str) -> str:
    return page(
        name,
        f"{_sentence(_row(name)['what'])}",
        f"```sh\nlawnmap export SITE --to {name}\n```",
        _facts(name),
        "## Columns",
        _columns(name),
        "[All exports](index.md). [Who sees what](../privacy.md#who-sees-what), and what has to be "
        "[named](../privacy.md#what-has-to-be-named) with `--with`. "
        f"[What comes out](../{FORMATS}#what-comes-out): paper, calendar, tables.",
    )


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _facts(name: str) -> str:
    export = plugin("exports", name)
    extras = ", ".join(f"`pip install 'lawnmap[{each}]'`" for each in known.extras(name))
    return facts(
        [
            ("What", export.TITLE),
            ("File", f"`{export.SUFFIX}`"),
            ("Made for, when nobody is named", export.AUDIENCE),
            ("Units", _units(name)),
            ("Language", ", ".join(known.languages(name))),
            ("PDF beside it", _twin(name)),
            (
                "CRS",
                "longitude and latitude, or any with `--crs`"
                if getattr(export, "IN_CRS", False)
                else "",
            ),
            (
                "Place",
                "needs a site with a place on the earth, and not `--schematic`"
                if known.needs_place(name)
                else "",
            ),
            ("Needs", extras),
            ("Code", module_line(ours("exports")[name])),
        ]
    )


def _units(name: str) -> str:
    export = plugin("exports", name)
    if getattr(export, "SWITCH", False):
        return "metric, imperial or US: its reader switches ([units](../units.md))"
    if export.SUFFIX in (".html", ".svg"):
        return "metric, or `--units` ([units](../units.md))"
    return "metric, in the names of the columns"


def _twin(name: str) -> str:
    if known.has_twin(name):
        return f"yes ([PDF](../{FORMATS}#pdf))"
    return "no"


def _columns(name: str) -> str:
    """Return the columns by who may see them; a page names some, a file holds whole tables."""
    whole = known.whole(name)
    parts = []
    if whole:
        tables = ", ".join(f"[`{each}`](../columns.md#{each})" for each in whole)
        parts.append(
            f"It holds these tables whole, each cut to its reader, left out when empty: {tables}."
        )
    else:
        parts.append("Its code takes these, of which its reader gets what they may see.")
    rows = [
        [ADDS[audience], ", ".join(map(column_link, names))]
        for audience, names in known.shown_to(name).items()
        if names
    ]
    return "\n\n".join([*parts, table(["who", "columns"], rows)])


def _index() -> str:
    rows = [
        [
            f"[`{name}`]({name}.md)",
            _row(name)["what"],
            f"`{plugin('exports', name).SUFFIX}`",
            plugin("exports", name).AUDIENCE,
            "yes" if known.has_twin(name) else "",
        ]
        for name in known.order()
    ]
    return page(
        "Exports, one by one",
        "What goes out of a site: papers for people first, then files for other programs. "
        f"[Formats](../{FORMATS}#what-comes-out) says what they share.",
        table(["export", "what", "file", "made for", "PDF"], rows),
    )
