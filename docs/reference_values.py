"""The page of published values: every table in lawnmap/reference, and the sources."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from page_text import page, table

from lawnmap.agronomy import iron
from lawnmap.reference import tables


def reference_page() -> str:
    """Return the page of published values, rules and sources."""
    parts = [
        "\n\n".join(each for each in (f"## {title}", lead, _rows(rows(), columns)) if each)
        for title, lead, rows, columns in REFERENCE
    ]
    return page(
        "Reference values",
        "the tables in `lawnmap/reference/`",
        "Every number a plan uses that is not yours or your label's stands here. A value without a "
        f"single figure is a range only. Standing, from the firmest: "
        f"{'; '.join(tables.STANDINGS)}. Your label and your own figures come before all of these.",
        *parts,
        f"## Compounds an analysis may be stated as\n\n{_salts()}",
        f"## Sources\n\n{GRADES}\n\n{_sources()}",
    )


GRADES = (
    "Grade: A law or science, B advice services, C trade, D others. *Seen* says whether the page "
    "itself was read."
)
# Title, what to say before it, rows, and columns of each table.
REFERENCE: tuple[tuple[str, str, Callable[[], Iterable[Any]], str], ...] = (
    (
        "Values",
        "",
        lambda: tables.values().values(),
        "id value low high unit conditions standing source",
    ),
    (
        "Rules",
        "A blank in braces is filled from the zone or step; `{value:…}` is a value above.",
        lambda: tables.rules().values(),
        "id sentence values standing sources",
    ),
    (
        "Waits between steps",
        "In days. Empty is not set: only the label can say.",
        lambda: tables.intervals().values(),
        "before after least_days usual_days most_days conditions standing source",
    ),
    (
        "Turf types",
        "Limits, depths and heights name values above.",
        lambda: tables.turfs().values(),
        "turf_type scale act staged too_deep depth mow_before mow_before_seed first_cut crossing "
        "lawn_sand standing source",
    ),
    (
        "Rating scales",
        "Moss in % of the ground, thatch in mm; the lower edge belongs to the class.",
        lambda: [each for scale in tables.scales().values() for each in scale],
        "scale rating lower upper word most_passes applications standing source",
    ),
    (
        "Machines of no make",
        "They stand in when you have no `machines.toml`.",
        lambda: tables.machines().values(),
        "name kind width_m speed_km_h efficiency_low efficiency_high area_low_m2_h area_high_m2_h "
        "water_l_m2 tank_l box_l most_slope_deg vibration_m_s2 yield_share standing source",
    ),
    (
        "Seeds",
        "Shade rank 1 stands shade best.",
        lambda: tables.seeds().values(),
        "name new_low_g_m2 new_high_g_m2 overseed_low_g_m2 overseed_high_g_m2 seeds_low_g "
        "seeds_high_g emerge_low_d emerge_high_d shade_rank standing source size_source "
        "emerge_source",
    ),
    (
        "What dissolves",
        "Iron sulphate heptahydrate in a litre of mix, by the warmth of the water.",
        tables.solubility,
        "water_c printed_g_100ml ceiling_g_l standing source",
    ),
    ("Cautions", "", tables.cautions, "id applies_to sentence standing source"),
    (
        "Seasons",
        "Month and day, north of the equator; six months later south of it. Flag and rule name "
        "rules above.",
        tables.seasons,
        "role season first last seed asked soil_gate flag rule conditions standing source",
    ),
    (
        "Go or no-go",
        "What has to be true on the day.",
        tables.gates,
        "id applies_to sentence standing source",
    ),
    (
        "What goes on the van",
        "Beside machines and products; what it is for is a kind of work, an operation, a kind of "
        "machine, iron, or any.",
        tables.kit,
        "id part applies_to item standing source",
    ),
)


def _rows(rows: Iterable[Any], columns: str) -> str:
    names = columns.split()
    body = [[_cell(name, getattr(each, name)) for name in names] for each in rows]
    return table([name.replace("_", " ") for name in names], body)


def _cell(name: str, value: Any) -> str:
    if value is None or value == "":
        return ""
    if name in {"source", "sources", "size_source", "emerge_source"}:
        return ", ".join(
            f"[{each}](#{each})" for each in ([value] if isinstance(value, str) else value)
        )
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name in {"first", "last"}:
        return "{:02d}-{:02d}".format(*value)
    if isinstance(value, tuple):
        return ", ".join(f"`{each}`" for each in value)
    if isinstance(value, float):
        return f"{value:.12g}"
    return f"`{value}`" if name in {"id", "act", "staged", "too_deep", "depth"} else str(value)


def _salts() -> str:
    weights = tables.atomic_weights()
    rows = [
        [each.formula, each.name, f"{100 * iron.fraction('Fe', each.atoms, weights):.2f}"]
        for each in tables.salts().values()
    ]
    used = ", ".join(f"{element} {weight:g}" for element, weight in weights.items())
    said = f"Shares follow from the standard atomic weights {used} ([ciaaw](#ciaaw))."
    return said + "\n\n" + table(["formula", "name", "iron %"], rows)


def _sources() -> str:
    names = ("author", "title", "publisher", "year", "where", "grade", "seen")
    body = [
        [f'<a id="{each.id}"></a>{each.id}', *(getattr(each, name) for name in names)]
        for each in tables.sources().values()
    ]
    return table(["id", *names], body)
