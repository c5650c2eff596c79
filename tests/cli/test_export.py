"""``lawnmap export`` and ``lawnmap issue``: what they say."""

import datetime as dt
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.cli import working
from lawnmap.cli.export import export
from lawnmap.cli.issue import _told
from lawnmap.errors import InputRefused
from lawnmap.exports.wording.translated import as_typed
from lawnmap.files import json_text
from lawnmap.store.issued import FILES, Issued
from tests.cli.runner import here


def test_the_help_names_every_export_of_our_own():
    (to,) = [each for each in export.params if each.name == "names"]
    own = {
        name
        for name, points in plugins.available("exports").items()
        if any(plugins.owner(point) == "lawnmap" for point in points)
    }
    assert set(to.help.removesuffix(".").split(", ")) == own


@pytest.mark.parametrize(("words", "asked"), [((), None), (("--setting-out",), True)])
def test_pass_lines_of_a_large_site_are_worked_out_when_asked(monkeypatch, words, asked):
    heard = []

    def planned(*_, **named):
        heard.append(named)
        raise InputRefused("enough")

    monkeypatch.setattr(working, "planned", planned)
    assert here("export", "garden", "--to", "gpkg", "--today", "2026-09-01", *words).code == 3
    assert heard == [{"setting_out": asked}]


def test_what_is_issued_names_the_files_to_send_and_no_other(tmp_path: Path):
    names = ["inputs.json", "map.html", "map.pdf", "plan.json", "summary.html", "to.json"]
    listed = [{"name": each, "sha256": "", "bytes": 0} for each in names]
    (tmp_path / FILES).write_text(json_text.dumps(listed), encoding="utf-8")
    told = _told(Issued(dt.date(2026, 9, 1), "0" * 12, 2, tmp_path), "The owner")
    assert "to The owner, plan 2 of that day:" in told
    assert "Send map.html or map.pdf, summary.html." in told


def test_only_what_a_person_typed_stays_in_its_language():
    seed = "Nobody on it until the new grass has been cut for the first time"
    assert as_typed([f"Keep the dog in; {seed}", seed, ""]) == ["Keep the dog in"]
