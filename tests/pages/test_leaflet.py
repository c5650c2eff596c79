from __future__ import annotations

import hashlib
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest

from lawnmap.errors import ExtraNeeded, LawnmapError
from lawnmap.pages import leaflet

# SHA-256 of dist/leaflet.js in Leaflet's own npm release 1.9.3.
RELEASED = "5819285cec137b229c94e1ee5ad73e8b6b84345a4367d60f75fe477fe0fb7b03"


@pytest.fixture(autouse=True)
def fresh():
    leaflet.script.cache_clear()
    leaflet.style.cache_clear()
    yield
    leaflet.script.cache_clear()
    leaflet.style.cache_clear()


def test_the_installed_script_is_leaflets_own_release():
    path = distribution("XStatic-Leaflet").locate_file("xstatic/pkg/leaflet/data/leaflet.js")
    assert hashlib.sha256(Path(str(path)).read_bytes()).hexdigest() == RELEASED
    assert leaflet.SHA256["leaflet.js"] == RELEASED


def test_the_script_is_whole_but_for_its_source_map():
    script = leaflet.script()
    assert "Leaflet 1.9.3" in script
    assert "sourceMappingURL" not in script
    assert len(script) > 146_000


def test_the_style_names_no_file_and_no_address():
    style = leaflet.style()
    assert ".leaflet-pane" in style
    assert style.count("url(") == style.count("url(data:image/png;base64,") == 3
    assert "VML" not in style
    assert "http" not in style
    assert "\r" not in style


def test_a_changed_file_stops_the_page(monkeypatch):
    monkeypatch.setitem(leaflet.SHA256, "leaflet.js", "0" * 64)
    with pytest.raises(LawnmapError, match=r"not the file that was checked.*No page was made"):
        leaflet.script()


@pytest.mark.parametrize("text", [b"1 </SCRIPT", b"<!-- 1"])
def test_a_script_that_would_end_its_element_stops_the_page(monkeypatch, text):
    monkeypatch.setattr(leaflet, "_file", lambda _: text)
    with pytest.raises(LawnmapError, match="cannot stand inside a page"):
        leaflet.script()


def test_a_missing_package_is_told_in_one_line(monkeypatch):
    def gone(name):
        raise PackageNotFoundError(name)

    monkeypatch.setattr(leaflet, "distribution", gone)
    with pytest.raises(ExtraNeeded, match=r"Install XStatic-Leaflet==1\.9\.3\.0"):
        leaflet.style()


def test_the_notice_in_pages_is_the_notice_in_docs():
    root = Path(leaflet.__file__).parents[2]
    notice = Path(leaflet.__file__).with_name("notice.txt").read_text("utf-8")
    assert notice in (root / "docs" / "NOTICE").read_text("utf-8")
    # The three parts that a BSD-2 licence asks to go with a copy.
    for part in ("Copyright (c) 2010-2022", "this\n   list of conditions", '"AS IS"'):
        assert part in notice
