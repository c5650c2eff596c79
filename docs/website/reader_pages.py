"""A page for each reader: which files, what is honoured and refused, limits, and who parses."""

from __future__ import annotations

import re

import code_read
from item_text import bullets, facts, module_line, ours, page, plugin, row_of, table

from lawnmap.files.limits import SITE

FORMATS = "formats.md"
HEADING = "What is read"
EXTRA = re.compile(r"lawnmap\[(\w+)\]")
CHILD = (
    "a library reads it in a guarded child process, without a network and with limits on time, "
    "memory and files"
)
OWN = "our own strict parser; no library sees the file"


def pages() -> dict[str, str]:
    """Return the page of each reader by its path, and the page that lists them."""
    made = {f"readers/{name}.md": _page(name) for name in order()}
    made["readers/index.md"] = _index()
    return made


def order() -> list[str]:
    """Return lawnmap's own readers in the order of the page about formats."""
    told = list(row_of(FORMATS, HEADING))
    return sorted(ours("readers"), key=lambda name: (told.index(name), name))


def extras(name: str) -> list[str]:
    """Return the extras that a reader asks for."""
    texts = code_read.named(code_read.tree(ours("readers")[name])).texts
    return sorted({extra for text in texts for extra in EXTRA.findall(text)})


def limits() -> list[str]:
    """Return what one file may be."""
    return [
        f"{SITE.file_bytes / 1e6:.0f} MB",
        f"{SITE.zones:,} features",
        f"{SITE.vertices:,} vertices",
        f"names of {SITE.name_length} letters",
        f"archives of {SITE.archive_entries:,} entries and {SITE.archive_bytes / 1e6:.0f} MB, "
        f"swelling {SITE.archive_ratio} times at the most",
        f"pictures of {SITE.pixels / 1e6:.0f} million pixels",
    ]


def _page(name: str) -> str:
    row, reader = row_of(FORMATS, HEADING)[name], plugin("readers", name)
    needs = ", ".join(f"`pip install 'lawnmap[{each}]'`" for each in extras(name))
    about = f"../{FORMATS}"
    return page(
        name,
        f"{reader.TITLE}: read with `lawnmap read FILE`, and told by its content.",
        facts(
            [
                ("Format", row["format"]),
                ("Kinds of content", ", ".join(f"`{each}`" for each in reader.KINDS)),
                ("Layers", f"{row['layers']} ([which layer]({about}#which-layer---layer))"),
                ("CRS", f"{row['CRS']} ([where it lies]({about}#where-it-lies---crs---units))"),
                ("Honoured", row["honoured"] or "see the format"),
                ("Refused", row["refused"] or "what is damaged or too large"),
                ("Parsed by", CHILD if reader.CHILD else OWN),
                ("Needs", needs or "nothing beside lawnmap"),
                ("Code", module_line(ours("readers")[name])),
            ]
        ),
        "## CSV in detail" if name == "csv" else "",
        f"Which columns hold the geometry: [CSV]({about}#csv)." if name == "csv" else "",
        "## Limits",
        bullets(limits(), ""),
        "A file beyond them is refused before it is parsed; for the zones of very many sites there "
        "is [another door](../tables.md).",
        "## Where to go on",
        bullets(
            [
                f"[What it is: `--as`]({about}#what-it-is---as)",
                f"[What is wrong with it]({about}#what-is-wrong-with-it---repair---skip-bad)",
                "[`lawnmap read`](../commands/read.md)",
                "[Which kind of plan needs what](../plans/index.md)",
                "[All readers](index.md)",
            ],
            "",
        ),
    )


def _index() -> str:
    rows = [
        [
            f"[`{name}`]({name}.md)",
            plugin("readers", name).TITLE,
            "guarded child" if plugin("readers", name).CHILD else "own parser",
            ", ".join(f"`{each}`" for each in extras(name)),
        ]
        for name in order()
    ]
    return page(
        "Readers, one by one",
        f"What comes in from a file. [Formats](../{FORMATS}) says what they share: layers, "
        "places, what a feature is, what is refused. For a kind of plan rather than a kind of "
        "file: [plans](../plans/index.md).",
        table(["reader", "reads", "by", "extra"], rows),
    )
