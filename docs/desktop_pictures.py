"""Take the pictures of desktop.md: Debian's QGIS with the plugin and results of the sample.

``python docs/desktop_pictures.py`` starts the GIS in a virtual screen, with a profile of its own
that ``lawnmap desktop install`` fills, so that nothing of the person's is seen or changed. Needs
what ``.ci/desktop`` installs, and the extra ``pictures``.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DOCS = Path(__file__).parent
SAMPLE = DOCS.parent / "sample_geo"
PICTURES = DOCS / "pictures"
COLOURS = 192  # flat colours: more do not show
WINDOW = (1280, 800)
LONGEST_S = 300
TODAY = "2026-08-20"

# What the GIS itself runs once its window stands. It knows nothing of this program but the dict
# that is put before it.
INSIDE = """
import os, sys, traceback
from qgis.core import QgsApplication, QgsProject, QgsVectorLayer
from qgis.PyQt.QtCore import QEventLoop, QTimer
from qgis.PyQt.QtWidgets import QDockWidget, QTreeView, QApplication
from qgis.utils import iface
import processing

def wait(milliseconds):
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec_()

def run(step, **given):
    return processing.runAndLoadResults("lawnmap:" + step, {**BOTH, **given})

def settled():
    canvas = iface.mapCanvas()
    for _ in range(100):
        wait(100)
        if not canvas.isDrawing():
            break

def grab(widget, name):
    settled()
    wait(700)
    iface.messageBar().clearWidgets()
    QApplication.processEvents()
    widget.grab().save(os.path.join(GIVEN["out"], name + ".png"))

def arranged(main):
    main.resize(*GIVEN["window"])
    main.move(0, 0)
    for dock in main.findChildren(QDockWidget):
        if dock.objectName() not in ("Layers", "ProcessingToolbox"):
            dock.close()
    wait(300)
    toolbox = main.findChild(QDockWidget, "ProcessingToolbox")
    toolbox.show()
    main.resizeDocks([toolbox, main.findChild(QDockWidget, "Layers")], [250, 330], 1)
    tree = toolbox.findChild(QTreeView)
    tree.collapseAll()
    model = tree.model()
    for row in range(model.rowCount()):
        index = model.index(row, 0)
        if str(index.data()) == "lawnmap":
            tree.expand(index)
            tree.scrollTo(index, QTreeView.PositionAtTop)

def close(canvas, layer, where="", scale=1.06):
    extent = layer.extent()
    if where:
        (found,) = layer.getFeatures(where)
        extent = found.geometry().boundingBox()
    extent = canvas.mapSettings().layerExtentToOutputExtent(layer, extent)
    extent.scale(scale)
    canvas.setExtent(extent)
    canvas.refresh()

try:
    zones = QgsVectorLayer(GIVEN["plan"] + "|layername=zones", "zones", "ogr")
    features = QgsVectorLayer(GIVEN["plan"] + "|layername=features", "features", "ogr")
    project = QgsProject.instance()
    project.setCrs(zones.crs())
    project.addMapLayers([zones, features], False)
    BOTH = {"ZONES": zones, "FEATURES": [features], "SITE": GIVEN["site"], "DEPOT": GIVEN["site"],
            "TODAY": GIVEN["today"]}
    main, canvas = iface.mainWindow(), iface.mapCanvas()
    arranged(main)
    run("plan", RESULT="TEMPORARY_OUTPUT")
    close(canvas, zones)
    main.setWindowTitle("Sample lawn")
    grab(main, "desktop_plan")
    ours = {zones.id(), features.id()}
    project.removeMapLayers([each for each in project.mapLayers() if each not in ours])
    run("strips", KEPT_CLEAR="TEMPORARY_OUTPUT", TREATABLE="TEMPORARY_OUTPUT")
    run("pass_lines", LINES="TEMPORARY_OUTPUT")
    close(canvas, zones, "zone_id = 'pond-side'", 1.15)
    for each in iface.layerTreeView().layerTreeModel().rootGroup().children():
        each.setExpanded(True)
    grab(main, "desktop_passes")
    given = {"ZONES": zones, "FEATURES": [features]}
    dialog = processing.createAlgorithmDialog("lawnmap:measure", given)
    dialog.resize(960, 620)
    dialog.show()
    grab(dialog, "desktop_step")
except BaseException:
    with open(os.path.join(GIVEN["out"], "fault"), "w") as file:
        file.write(traceback.format_exc())
os._exit(0)
"""


def take(room: Path) -> dict[str, bytes]:
    """Start the GIS in a virtual screen and return its pictures by name."""
    profile = room / "gis" / "profiles" / "default"
    out = room / "out"
    for folder in (profile, out, room / "run"):
        folder.mkdir(parents=True, mode=0o700)
    lawnmap = [sys.executable, "-m", "lawnmap"]
    subprocess.run([*lawnmap, "desktop", "install", "--profile", profile], check=True)  # noqa: S603
    settings = profile / "QGIS" / "QGIS3.ini"
    # No page of news, no tips, and no question at the start.
    quiet = b"[qgis]\ncheckVersion=false\nshowTips322=false\nnewsFeed=false\n"
    settings.write_bytes(settings.read_bytes() + quiet)
    site = room / "choices"
    subprocess.run([*lawnmap, "start", site, "--title", "Sample lawn"], check=True)  # noqa: S603
    for name in ("specification.toml", "products.toml"):
        (site / name).write_bytes((SAMPLE / "site" / name).read_bytes())
    given = {
        "plan": str(SAMPLE / "plan.gpkg"), "site": str(site), "out": str(out),
        "today": TODAY, "window": WINDOW,
    }  # fmt: skip
    inside = room / "inside.py"
    inside.write_text(f"GIVEN = {json.dumps(given)}\n{INSIDE}", encoding="utf-8")
    _run(room, inside)
    if (out / "fault").exists():
        raise RuntimeError((out / "fault").read_text(encoding="utf-8"))
    return {path.stem: path.read_bytes() for path in sorted(out.glob("*.png"))}


def _run(room: Path, inside: Path) -> None:
    """Run the GIS until it ends by itself."""
    number = f":{90 + os.getpid() % 900}"
    screen = subprocess.Popen(  # noqa: S603
        [  # noqa: S607
            "Xvfb",
            number,
            "-screen",
            "0",
            f"{WINDOW[0]}x{WINDOW[1]}x24",
            "-nolisten",
            "tcp",
        ],
        stderr=subprocess.DEVNULL,
    )
    environment = {
        "PATH": "/usr/bin:/bin", "HOME": str(room), "XDG_RUNTIME_DIR": str(room / "run"),
        "DISPLAY": number, "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8",
    }  # fmt: skip
    command = ["qgis.bin", "--nologo", "--profiles-path", str(room / "gis"), "--noversioncheck"]
    try:
        time.sleep(2)
        subprocess.run(  # noqa: S603
            [*command, "--code", str(inside)], env=environment, timeout=LONGEST_S, check=False,
            cwd=room,
        )  # fmt: skip
    finally:
        screen.terminate()
        screen.wait()


def small(png: bytes) -> bytes:
    """Return a picture with as few bytes as show the same."""
    from PIL import Image

    stream = io.BytesIO()
    Image.open(io.BytesIO(png)).convert("RGB").quantize(COLOURS).save(stream, "PNG", optimize=True)
    return stream.getvalue()


def main() -> int:
    """Take the pictures and keep them."""
    with tempfile.TemporaryDirectory() as folder:
        found = take(Path(folder))
    for name, png in found.items():
        (PICTURES / f"{name}.png").write_bytes(small(png))
        print(f"docs/pictures/{name}.png")
    return 0 if found else 1


if __name__ == "__main__":
    sys.exit(main())
