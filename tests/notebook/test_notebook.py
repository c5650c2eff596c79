"""The notebook that people download is whole, clean, and runs in a kernel of its own."""

import html
import json
import re
from pathlib import Path

import pytest

import lawnmap

NOTEBOOK = Path(__file__).parents[2] / "docs" / "lawn.ipynb"
MACHINE = re.compile(r"/(?:work|tmp|root|home|Users|mnt)/|[A-Z]:\\|localhost|127\.0\.0\.1")


def cells(kind):
    held = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
    return [each for each in held["cells"] if each["cell_type"] == kind]


def test_it_holds_no_output_and_nothing_of_a_machine():
    assert [each["outputs"] for each in cells("code")] == [[] for _ in cells("code")]
    assert [each["execution_count"] for each in cells("code")] == [None for _ in cells("code")]
    assert not MACHINE.search(NOTEBOOK.read_text(encoding="utf-8"))
    held = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
    assert held["metadata"]["kernelspec"]["name"] == "python3"
    assert (held["nbformat"], held["nbformat_minor"]) == (4, 5)
    names = [each["id"] for each in held["cells"]]
    assert len(set(names)) == len(names)


def test_it_speaks_of_public_names_alone():
    code = "\n".join("".join(each["source"]) for each in cells("code"))
    assert set(re.findall(r"lawnmap\.(\w+)", code)) <= set(lawnmap.__all__)


@pytest.mark.notebook
@pytest.mark.filterwarnings("ignore::lawnmap.Note")
def test_it_runs_from_top_to_bottom(tmp_path):
    import nbformat
    from nbclient import NotebookClient

    notebook = nbformat.read(NOTEBOOK, as_version=4)
    NotebookClient(
        notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": tmp_path}}
    ).execute()
    nbformat.validate(notebook)
    told = [out for cell in notebook.cells for out in cell.get("outputs", [])]
    assert not [out for out in told if out["output_type"] == "error"]
    assert not [out for out in told if out.get("name") == "stderr"]
    shown = [out["data"] for out in told if "data" in out]
    pages = [each["text/html"] for each in shown if "<iframe" in each.get("text/html", "")]
    assert len(pages) == 1
    plan = lawnmap.plan(lawnmap.sample(today="2026-09-07"))
    assert html.unescape(re.search(r'srcdoc="([^"]*)"', pages[0])[1]) == lawnmap.show(plan).html
    assert "(True, True)" in [each["text/plain"] for each in shown]
    assert any("moss_rating is 7" in out.get("text", "") for out in told)
    assert list(tmp_path.iterdir()) == []  # nothing is written
