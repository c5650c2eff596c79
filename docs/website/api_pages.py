"""Pages of the Python names: the public ones, jobs and steps, tables and shapes, pure functions."""

from __future__ import annotations

from collections.abc import Sequence

import code_read
from item_text import page, table

# Title, what it is, and the modules or rooms; a room stands for every module in it.
PARTS: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    ("public", "Public names", "What a notebook or a script begins with.", ("lawnmap",)),
    (
        "shapes",
        "Shapes: site, plan, paper",
        "What steps take and hand on, what an export gets, and the shapes of plugins.",
        (
            "lawnmap.model",
            "lawnmap.found",
            "lawnmap.days",
            "lawnmap.grids",
            "lawnmap.light",
            "lawnmap.paper",
            "lawnmap.plugins",
            "lawnmap.outside",
            "lawnmap.schema",
            "lawnmap.errors",
        ),
    ),
    (
        "jobs",
        "Jobs",
        "Load, run the steps, save: one for each command.",
        ("lawnmap.jobs", "lawnmap.jobs.tracing"),
    ),
    (
        "jobs_sites",
        "Jobs over many sites",
        "Folders of sites and tables of zones, their door and their workers.",
        (
            "lawnmap.jobs.sites",
            "lawnmap.jobs.sites.table",
            "lawnmap.jobs.sites.door",
            "lawnmap.jobs.sites.engine",
        ),
    ),
    (
        "treatments",
        "What a treatment builds on",
        "Rows, names, chosen zones and hours, for a treatment of your own.",
        (
            "lawnmap.treatments.row",
            "lawnmap.treatments.names",
            "lawnmap.treatments.chosen",
            "lawnmap.treatments.work",
        ),
    ),
    (
        "reference",
        "Published values",
        "Rules, values, sources, looked up by id.",
        ("lawnmap.reference.tables", "lawnmap.reference.rows"),
    ),
    (
        "store",
        "Facts on disk",
        "Loads and saves what was seen, chosen and done; nothing is half saved.",
        ("lawnmap.store",),
    ),
    (
        "files",
        "Bytes in and out",
        "What a source is, for a reader of your own, and the one door that writes.",
        (
            "lawnmap.files.admit",
            "lawnmap.files.limits",
            "lawnmap.files.kind",
            "lawnmap.files.alone",
            "lawnmap.files.commit",
            "lawnmap.files.disk",
        ),
    ),
    ("logistics", "Logistics", "Packs, loads, order, dates, money.", ("lawnmap.logistics",)),
    ("agronomy", "Agronomy", "Numbers in, numbers out.", ("lawnmap.agronomy",)),
    (
        "geometry",
        "Geometry",
        "Shapes and arrays in, shapes and arrays out.",
        ("lawnmap.geometry", "lawnmap.geometry.passes", "lawnmap.geometry.sunlight"),
    ),
)
STEPS = "lawnmap.processing"


def pages() -> dict[str, str]:
    """Return the pages of Python names by their path, and the page that lists them."""
    parts = [*PARTS[:3], *_rooms_of_steps(), *PARTS[3:]]
    made = {
        f"api/{name}.md": _page(title, said, modules(*rooms)) for name, title, said, rooms in parts
    }
    made["api/index.md"] = _index(parts)
    return made


def modules(*rooms: str) -> list[str]:
    """Return modules, and those that stand directly in a room, without rooms of plain names."""
    found = []
    for room in rooms:
        inside = [
            each
            for each in code_read.modules()
            if each.rpartition(".")[0] == room and not _is_room(each)
        ]
        found += [room] if room == "lawnmap" or not inside else inside
    return found


def _is_room(module: str) -> bool:
    return (code_read.PACKAGE.parent / module.replace(".", "/")).is_dir()


def _rooms_of_steps() -> list[tuple[str, str, str, tuple[str, ...]]]:
    rooms = [
        STEPS,
        *(each for each in code_read.modules() if each.startswith(f"{STEPS}.") and _is_room(each)),
    ]
    return [
        (
            room.removeprefix("lawnmap.").replace(".", "_"),
            "Steps" if room == STEPS else f"Steps: {room.rpartition('.')[2].replace('_', ' ')}",
            f"{code_read.first_line(room)}.",
            (room,),
        )
        for room in rooms
    ]


def _page(title: str, said: str, names: Sequence[str]) -> str:
    parts = []
    for name in names:
        parts += [f"## {name}", f"```{{eval-rst}}\n.. automodule:: {name}\n```"]
    return page(title, said, *parts)


def _index(parts: Sequence[tuple[str, str, str, tuple[str, ...]]]) -> str:
    rows = [[f"[{title}]({name}.md)", said] for name, title, said, _ in parts]
    return page(
        "Python names",
        "A job loads a site, runs the steps and saves; a step takes zones first and hands on a "
        "copy with columns added on the right. [Design](../design.md) says why the house is built "
        "so, [for developers](../developers.md) where a thing lives.",
        table(["page", "what"], rows),
    )
