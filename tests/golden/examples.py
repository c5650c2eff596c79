"""What every example of a site plan and of a card gives, as digests and a summary to read.

``python -m tests.golden.examples``, from the top of the source tree, makes ``tests/golden/*.json``
again: after a change that is meant, or an update of a library. Read what changed before keeping it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import re
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from lawnmap.geometry import ellipsoid
from lawnmap.jobs.read import ReadReply, read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start
from lawnmap.store import depot, specification

TOP = Path(__file__).parents[2]
HERE = Path(__file__).parent
SAMPLES = TOP / "sample_geo"
DAY = dt.date(2026, 9, 7)
EVERY = ("*",)
DXF = ("LAWN=zone", "BED=bed", "BUILDING=building", "PATH=paving", "POND=water", "TREE=tree")

# By name: file in sample_geo, and how it is read, as the pages in docs/plans read it.
PLANS: dict[str, tuple[str, dict[str, Any]]] = {
    "GeoJSON": ("plan.geojson", {}),
    "KML": ("plan.kml", {"layers": EVERY}),
    "KMZ": ("plan.kmz", {"layers": EVERY}),
    "GPX": ("plan.gpx", {"layers": EVERY, "kind": "zone"}),
    "CSV": ("plan.csv", {"crs": "OGC:CRS84"}),
    "GeoPackage": ("plan.gpkg", {"layers": EVERY}),
    "GeoParquet": ("plan.parquet", {}),
    "shapefile": ("shapefile/zones.shp", {}),
    "shapefile in a zip": ("plan_shapefile.zip", {"layers": EVERY}),
    "GeoJSON of map data": ("plans/lawns.geojson", {}),
    "OSM": ("plans/garden.osm", {}),
    "OSM by layers": ("plans/garden.osm", {"layers": ("lawns and grass", "beds", "water")}),
    "FlatGeobuf": ("plans/garden.fgb", {}),
    "DXF": ("plans/garden.dxf", {"layers": DXF}),
    "DXF in mm": ("plans/garden.dxf", {"layers": ("LAWN=zone",), "units": "mm"}),
    "DXF with control": (
        "plans/garden.dxf", {"layers": ("LAWN=zone",), "control": "drawing_control.csv"}
    ),
    "tape": ("plans/tape.csv", {}),
    "local outlines": ("plans/outlines.csv", {"crs": "local"}),
    "local outlines with control": ("plans/outlines.csv", {"control": "control.csv"}),
    "walk, CSV": ("plans/walk.csv", {"kind": "zone"}),
    "walk, GPX": ("plans/walk.gpx", {"layers": EVERY, "kind": "zone"}),
    "walk of ten rounds, GPX": ("plans/walk10.gpx", {"layers": EVERY, "kind": "zone"}),
    "PNG with control": ("plans/garden.png", {"control": "garden_control.csv"}),
    "TIFF": ("plans/garden.tif", {}),
    "PDF with control": ("plans/garden.pdf", {"control": "garden_page_control.csv"}),
    "heights, CSV": ("plans/heights.csv", {"kind": "height"}),
    "heights, TIFF": ("plans/heights.tif", {"onto": "plans/lawns.geojson"}),
}  # fmt: skip


def plan(name: str) -> dict[str, Any]:
    """Return what one plan gives."""
    file, how = PLANS[name]
    given = {**how, "control": SAMPLES / "plans" / how["control"]} if "control" in how else {**how}
    try:
        with tempfile.TemporaryDirectory() as folder:
            onto = given.pop("onto", "")
            site = _site(Path(folder) / "site", SAMPLES / onto) if onto else None
            reply = read(SAMPLES / file, Reading(**given), into=site, dry_run=True, today=DAY)
    except Exception as error:  # noqa: BLE001  (a refusal is a result like any other)
        return {"summary": {"refused": f"{type(error).__name__}: {error}"}, "parts": {}}
    return {"summary": summary(reply), "parts": {k: digest(v) for k, v in parts(reply).items()}}


def _site(folder: Path, first: Path) -> Path:
    """Make a site of a plan, for what is read onto one."""
    start(folder, title="Example")
    read(first, Reading(), into=folder, today=DAY)
    return folder


def parts(reply: ReadReply) -> dict[str, Any]:
    """Return the parts of a reply that are compared one by one."""
    found, site = reply.found, reply.site.document
    header = {name: each for name, each in site["lawnmap"].items() if name != "site_id"}
    return {
        "found: shapes": [each.geometry for each in found.features],
        "found: facts": [each.properties for each in found.features],
        "found: places": [each.place for each in found.features],
        "found: frame": [found.crs, found.local, found.unit_m],
        "found: picture and heights": [found.picture, found.heights],
        "found: notes": found.warnings,
        "site: shapes": [each["geometry"] for each in site["features"]],
        "site: facts": [each["properties"] for each in site["features"]],
        "site: header": header,
        "changes": reply.changes,
        "notes": reply.warnings,
        "control": reply.agreement,
    }


def summary(reply: ReadReply) -> dict[str, Any]:
    """Return what a person sees at once: how many of what, the area of the zones, notes."""
    kinds = Counter(each["properties"]["feature"] for each in reply.site.document["features"])
    area = ellipsoid.areas(reply.site.zones.geometry.to_numpy()).sum() if kinds["zone"] else 0.0
    return {
        "found": len(reply.found.features),
        "site": dict(sorted(kinds.items())),
        "zones_m2": round(float(area), 3),
        "notes": len(reply.warnings),
    }


def canonical(value: Any) -> Any:
    """Return a value as JSON can hold it, numbers to the last bit."""
    if isinstance(value, np.ndarray):
        return [str(value.dtype), list(value.shape), hashlib.sha256(value.tobytes()).hexdigest()]
    if is_dataclass(value) and not isinstance(value, type):
        return {name: canonical(each) for name, each in vars(value).items()}
    if isinstance(value, Mapping):
        return {str(name): canonical(each) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [canonical(each) for each in value]
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    return value.item() if isinstance(value, np.generic) else value


def digest(value: Any) -> str:
    """Return a digest of a value: JSON with sorted keys, floats by repr."""
    text = json.dumps(canonical(value), sort_keys=True, ensure_ascii=True, default=repr)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


CARDS: dict[str, Callable[[bytes], Any]] = {
    "products": depot.parse_products,
    "machines": depot.parse_machines,
    "choices": lambda data: specification.parse(
        data, products=owned(), machines={}, zone_ids=["front", "bank", "under-oak"]
    ),
}
BY_PAGE = {
    "label_cards.md": ("products", "machines"),
    "tutorial.md": ("products", "machines"),
    "specification.md": ("choices",),
    "buying.md": ("choices",),
}


def owned() -> Any:
    """Return the products of the sample site."""
    return depot.parse_products((SAMPLES / "site" / "products.toml").read_bytes())


def card_texts() -> Iterator[tuple[str, str, bytes]]:
    """Yield name, kind and text of every example of a card on the pages and in the sample site."""
    for page, kinds in BY_PAGE.items():
        text = (TOP / "docs" / page).read_text(encoding="utf-8")
        blocks = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
        for kind, block in zip(kinds, blocks, strict=False):
            yield f"{page}: {kind}", kind, block.encode()
    for kind, file in (("products", "products.toml"), ("choices", "specification.toml")):
        yield f"sample site: {kind}", kind, (SAMPLES / "site" / file).read_bytes()


def cards() -> dict[str, Any]:
    """Return what every example of a card gives, value by value."""
    made = {}
    for name, kind, text in card_texts():
        found = CARDS[kind](text)
        values = asdict(found) if is_dataclass(found) else dict(found)
        made[name] = {
            "summary": {"entries": len(values)},
            "parts": {str(key): digest(value) for key, value in values.items()},
        }
    return made


def write(name: str, made: Mapping[str, Any]) -> None:
    """Write one golden file."""
    path = HERE / f"{name}.json"
    path.write_text(json.dumps(made, indent=1, sort_keys=True, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    write("plans", {name: plan(name) for name in PLANS})
    write("cards", cards())
