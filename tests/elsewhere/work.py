"""A whole job in one process: read, rate, plan, export, and what stands on the terminal meanwhile.

``python -m tests.elsewhere.work FOLDER [DAY]`` prints a JSON object: by what was made, its SHA-256.
It runs in FOLDER, which is new, and as a host that sets its locale does: C libraries then write
and read numbers as the locale has them.
"""

from __future__ import annotations

import hashlib
import json
import locale
import os
import re
import sys
import time
from pathlib import Path

from tests.cli.runner import here

# Invented. A sign of Turkish in each of a field's name and a value: i and I are pairs of others.
PLAN = """\
FEATURE,Zone_ID,NAME,moss_rating,THATCH_MM,public_note,wkt
zone,IGDIR-i,"Süd ıIİi: 50 % off",3,11.5,Ende,"POLYGON((-1.55 53.8,-1.5498 53.8,-1.5498 53.8001,\
-1.55 53.8001,-1.55 53.8))"
zone,lawn-2,"Nord",2,9.25,,"POLYGON((-1.5497 53.8,-1.5495 53.8,-1.5495 53.8001,-1.5497 53.8001,\
-1.5497 53.8))"
"""
COMMAS = PLAN.replace("11.5", '"11,5"')
CHOICES = """\
turf_type = "general lawn"
iron = "not on this site"
country = "GB"
user = "professional"
season = "autumn"
first_day = 2026-08-17
contact = "The grounds office, ring 0000 000000 (invented)"

[crew]
people = 2
hours_a_day = 7
"""
# In the quick profile; the others are written with the same numbers and words.
QUICK = ("map", "csv", "summary", "calendar")
MORE = ("sheet", "xlsx", "geojson", "svg", "gpx", "kml", "visit", "shopping", "loading", "notice")
KINDS = (*QUICK, *MORE)
ID = re.compile(rb'"site_id":"[0-9a-f]{16}"')
LONG = bool(os.environ.get("LAWNMAP_LONG"))


def said(*arguments: str) -> dict[str, str | int]:
    """Run a command here; return its code and digests of what it said, without how long it took."""
    done = here(*arguments)
    if done.code == 1:
        raise RuntimeError(f"{arguments[0]} met a fault: {done.err}")
    return {"code": done.code, "out": digest(done.out.encode()), "err": digest(done.err.encode())}


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def begin(day: list[str], title: str = "İstiñye ı") -> dict[str, object]:
    """Make the site in the folder we are in; return what was said."""
    for name, text in {"plan.csv": PLAN, "commas.csv": COMMAS}.items():
        Path(name).write_text(text, encoding="utf-8")
    zone = ("--timezone", "Europe/London")
    made: dict[str, object] = {"start": said("start", "garden", "--title", title, *zone)}
    Path("garden/specification.toml").write_text(CHOICES, encoding="utf-8")
    crs = ("--crs", "OGC:CRS84")
    made["read"] = said("read", "plan.csv", "--into", "garden", *crs, *day)
    made["decimal commas"] = said("read", "commas.csv", "--into", "garden", *crs, *day)
    site = Path("garden/site.geojson")  # its id is drawn by lot: the one thing that may differ
    text, drawn = ID.subn(b'"site_id":"0123456789abcdef"', site.read_bytes())
    made["ids"] = drawn
    site.write_bytes(text)
    return made


def whole_job(day: list[str]) -> dict[str, object]:
    """Do it all in the folder we are in; return what was made."""
    made = begin(day)
    made["site"] = digest(Path("garden/site.geojson").read_bytes())
    made["measure"] = said("measure", "garden")
    made["plan"] = said("plan", "garden", *day)
    if LONG:
        made["check"] = said("check", "garden", *day)
    made["export"] = said(
        "export", "garden", *(f"--to={kind}" for kind in (KINDS if LONG else QUICK)), *day
    )
    for path in sorted(Path("garden/exports").iterdir()):
        made[path.name] = digest(path.read_bytes())
    return made


def main() -> None:
    """Run the job where the command line says, once the locale stands."""
    locale.setlocale(locale.LC_ALL, "")
    folder, day = sys.argv[1], sys.argv[2:]
    os.chdir(folder)
    made = whole_job(["--today", *day] if day else [])
    made["here"] = {"comma": locale.localeconv()["decimal_point"], "zone": time.strftime("%z")}
    sys.stdout.write(json.dumps(made, indent=1))


if __name__ == "__main__":
    main()
