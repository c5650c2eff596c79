"""The forms of the marking page without the map, behind the real guards, before a stub."""

from importlib.resources import files
from pathlib import Path

from lawnmap import schema
from lawnmap.web.server import Asset, Server

MARK = Path(str(files("lawnmap.pages").joinpath("mark")))
HOSTILE = '<img src=x onerror="window.hit=1"></textarea><script>window.hit=1</script>'
PAGE = """<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>forms</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/base.css"><link rel="stylesheet" href="/mark/forms.css">
<script type="module" src="/started.js"></script></head><body><main>
<p id="said" role="status"></p><section id="facts"></section><section id="paint"></section>
<dialog id="clash"></dialog></main></body></html>"""
# Stands for the map and the tools, which have tests of their own.
STARTED = """import { ask, takeToken } from "/mark/api.js";
import * as state from "/mark/state.js";
import { startForms } from "/mark/forms.js";
import { save } from "/mark/saving.js";
await takeToken();
state.on("said", (text, level) => {
  document.getElementById("said").textContent = text;
  document.getElementById("said").className = level;
});
startForms();
state.load(await ask("/api/site"));
window.lm = { ...state, save };
document.body.dataset.ready = "yes";
"""
# Classes as the table of columns has them.
SCALES = {
    "moss_rating": [
        {"value": 0, "word": "none", "says": "0 %"},
        {"value": 1, "word": "a little", "says": "under 5 %"},
        {"value": 2, "word": "some", "says": "5 to 25 %"},
        {"value": 3, "word": "much", "says": "25 to 50 %"},
        {"value": 4, "word": "more moss than grass", "says": "50 to 75 %"},
        {"value": 5, "word": "nearly all moss", "says": "over 75 %"},
    ],
    "thatch_rating": [
        {"value": 0, "word": "little", "says": "up to 6 mm"},
        {"value": 1, "word": "helpful", "says": "6 to 13 mm"},
        {"value": 2, "word": "thick", "says": "13 to 19 mm"},
        {"value": 3, "word": "heavy", "says": "19 to 25 mm"},
        {"value": 4, "word": "too deep", "says": "over 25 mm"},
    ],
}


def ring(n):
    west = n * 3e-4
    return [[west, 0], [west + 2e-4, 0], [west + 2e-4, 1e-4], [west, 1e-4], [west, 0]]


def zone(n, key, **facts):
    return [
        key,
        {
            "type": "Feature",
            "properties": {"feature": "zone", "zone_id": key, **facts},
            "geometry": {"type": "Polygon", "coordinates": [ring(n)]},
        },
    ]


def thing(key, kind, **facts):
    properties = {"feature": kind, **facts}
    point = {"type": "Point", "coordinates": [0, 2e-4]}
    return [key, {"type": "Feature", "properties": properties, "geometry": point}]


def site():
    wanted = ("name", "unit", "low", "high", "words", "meaning")
    columns = {
        table: [{name: getattr(column, name) for name in wanted} for column in schema.facts(table)]
        for table in ("zones", "features")
    }
    return {
        "title": "Invented garden", "revision": 1, "placed": True, "draft": None, "limits": {},
        "kinds": schema.FEATURES, "columns": columns, "scales": SCALES,
        "features": [
            zone(0, "front", name="Front lawn", moss_rating=2, bare_pct=5),
            zone(1, "shade", name="Under the beech", moss_rating=4, moss_cover_pct=60.5),
            zone(2, "back", name=HOSTILE, private_note=HOSTILE),
            thing("f1", "tree", name="Beech", height_m=14),
            thing("f2", "core", zone_id="shade", thatch_mm=18),
            thing("f3", "access"),
        ],
    }  # fmt: skip


class Stub:
    """Answers like the desk does, and writes down what was asked."""

    def __init__(self):
        self.asked, self.clash = [], None
        assets = {
            "/": Asset("text/html; charset=utf-8", PAGE.encode()),
            "/started.js": Asset("text/javascript", STARTED.encode()),
            "/base.css": Asset("text/css", (MARK.parent / "base.css").read_bytes()),
        }
        for path in MARK.iterdir():
            kind = {".js": "text/javascript", ".css": "text/css"}.get(path.suffix)
            if kind:
                assets[f"/mark/{path.name}"] = Asset(kind, path.read_bytes())
        writes = {
            f"/api/{name}": self.answer(name) for name in ("plan", "photo", "measure", "draft")
        }
        self.server = Server(assets, {"/api/site": lambda _: site()}, writes)

    def answer(self, name):
        told = {
            "plan": {
                "steps": ["Scarify <b>twice</b>"],
                "why": ["much moss"],
                "warnings": ["wires"],
            },
            "photo": {"name": "photos/ab.webp"},
            "measure": {"area_m2": 246.84},
            "draft": {"kept": True},
        }[name]

        def answered(body):
            self.asked.append((name, body))
            return told

        return answered

    def of(self, name):
        return [body for each, body in self.asked if each == name]


# What cannot be read (text under 7:1, WCAG 2.2 success criterion 1.4.6) or hit (under 44 px,
# criterion 2.5.5) within an element, and by how much the page is wider than the window.
LOOKED = """(root) => {
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => {  // WCAG 2.2, relative luminance
    const line = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    const lin = [r, g, b].map((v) => line(v / 255));
    return 0.2126 * lin[0] + 0.7152 * lin[1] + 0.0722 * lin[2];
  };
  const ground = (element) => {
    for (let each = element; each; each = each.parentElement) {
      const found = rgb(getComputedStyle(each).backgroundColor);
      if (found.length === 3 || found[3] === 1) return found;
    }
    return [255, 255, 255];
  };
  const pale = [], small = [];
  for (const element of document.querySelectorAll(root + " *")) {
    if (!element.checkVisibility() || element.closest("svg")) continue;
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
    if (own) {
      const [one, other] = [light(rgb(getComputedStyle(element).color)), light(ground(element))];
      const contrast = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
      if (contrast < 7) pale.push(element.outerHTML.slice(0, 90) + " " + contrast.toFixed(1));
    }
    const press = element.matches(
      "button, select, textarea, summary, .option, .add, input:not([type=radio]):not([type=file])",
    );
    const box = element.getBoundingClientRect();
    if (press && (box.height < 44 || box.width < 44)) small.push(element.outerHTML.slice(0, 90));
  }
  return { pale, small, wide: document.documentElement.scrollWidth - innerWidth };
}"""
