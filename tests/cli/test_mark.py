"""The command that opens a site in the browser: what it takes, and where its faults go."""

import logging

from lawnmap.cli import log
from tests.cli.runner import SAMPLE, run


def test_only_a_saved_site_is_marked(tmp_path):
    told = run("mark", SAMPLE / "plan.geojson", "--no-browser")
    assert told.code == 3
    assert "is not a site" in told.err
    told = run("mark", tmp_path, "--no-browser", "--json")
    assert told.code == 3
    assert told.json["error"]["problem"] == "holds no site.geojson"
    assert "#t=" not in told.err


def test_a_fault_of_the_server_goes_to_the_log_and_not_to_the_terminal(
    tmp_path, monkeypatch, capfd
):
    monkeypatch.setattr(log, "folder", lambda: tmp_path)
    with log.faults_noted("mark"):
        try:
            raise ZeroDivisionError("Mrs Example's lawn")  # noqa: TRY301
        except ZeroDivisionError:
            logging.getLogger("lawnmap.web.server").exception("a request was not answered")
    text = (tmp_path / "lawnmap.log").read_text()
    assert "mark: ZeroDivisionError" in text
    assert "Example" not in text
    assert capfd.readouterr() == ("", "")
