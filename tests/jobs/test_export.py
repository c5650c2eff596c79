"""What is handed over: whole, the same twice, and nothing private in it."""

import base64
import re
from dataclasses import replace
from urllib.parse import unquote

import pytest

from lawnmap import plugins
from lawnmap.errors import InputRefused, PluginProblem, UsageProblem
from lawnmap.jobs.export import render, write
from lawnmap.jobs.issue import issue
from lawnmap.jobs.start import start
from lawnmap.store import issued as issued_store
from lawnmap.store.folder import find
from tests.jobs.test_plan import planned

PRIVATE = "The owner likes the moss by the trunk"
EXPORTS = sorted(plugins.available("exports"))


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    folder = tmp_path_factory.mktemp("site") / "garden"
    start(folder, sample=True)
    return folder


@pytest.fixture(scope="module")
def made(sample):
    return planned(sample)


def decoded(data):
    """Return the bytes and every reading of them that could hide a word."""
    text = data.decode("utf-8", "replace")
    plain = re.sub(r"\\u([0-9a-fA-F]{4})", lambda found: chr(int(found[1], 16)), text)
    hidden = [
        base64.b64decode(found[: len(found) // 4 * 4]).decode("utf-8", "replace")
        for found in re.findall(r"[A-Za-z0-9+/]{24,}", text)
    ]
    return "\n".join([text, plain, unquote(text), *hidden])


@pytest.mark.parametrize("to", EXPORTS)
@pytest.mark.parametrize("audience", ["public", "client", "crew"])
def test_nothing_private_leaves_with_any_export(made, sample, to, audience):
    seen = decoded(render(made, to, audience=audience).data)
    assert PRIVATE not in seen
    assert str(sample.parent) not in seen
    assert "Round the terrace" in seen


@pytest.mark.parametrize("to", EXPORTS)
def test_an_export_is_the_same_twice(made, to):
    assert render(made, to).data == render(made, to).data


@pytest.mark.parametrize("to", ["csv", "geojson"])
def test_files_for_machines_stay_metric(made, to):
    assert render(made, to, units="us").data == render(made, to).data


def test_pages_for_people_are_in_the_units_asked_for_and_else_in_those_chosen(made):
    us = render(made, "quote", units="us").data
    chosen = replace(made.specification, choices={**made.specification.choices, "units": "us"})
    assert render(replace(made, specification=chosen), "quote").data == us
    assert "sq\u00a0ft" in us.decode()
    assert "m²" not in us.decode()
    assert "sq\u00a0ft" not in render(made, "quote").data.decode()


def test_hours_are_for_the_crew_and_money_for_the_owner(made):
    header = render(made, "csv", audience="client").data.decode("utf-8-sig").splitlines()[0]
    assert "hours" not in header
    assert "hours" in render(made, "csv", audience="crew").data.decode("utf-8-sig").splitlines()[0]


def test_exports_in_the_site_folder_replace_each_other_and_named_files_do_not(
    made, sample, tmp_path
):
    folder = find(sample)
    rendered = render(made, "map")
    first = write(rendered, folder, None, force=False)
    assert write(rendered, folder, None, force=False) == first
    mine = tmp_path / "mine.html"
    mine.write_bytes(b"mine")
    with pytest.raises(UsageProblem, match="--force"):
        write(rendered, folder, mine, force=False)
    assert mine.read_bytes() == b"mine"
    write(rendered, folder, mine, force=True)
    assert mine.read_bytes() == rendered.data


def test_unknown_exports_and_audiences_are_told(made):
    with pytest.raises(PluginProblem, match="There are"):
        render(made, "pdf")
    with pytest.raises(InputRefused, match="public, client, crew, owner"):
        render(made, "map", audience="neighbour")


def test_an_issued_plan_is_a_fact(made, sample):
    folder = find(sample)
    one, _ = issue(folder, made, audience="client", name="The owner")
    kept = {path.name: path.read_bytes() for path in one.path.iterdir()}
    assert {"map.html", "sheet.html", "plan.json", "inputs.json"} <= set(kept)
    assert one.id.encode() in kept["map.html"]
    other, _ = issue(folder, made, audience="client", name="The owner")
    assert other.id == one.id
    assert other.path != one.path
    assert {path.name: path.read_bytes() for path in one.path.iterdir()} == kept
    assert [each.path for each in issued_store.listed(folder)] == [other.path, one.path]


def test_the_id_follows_the_inputs(made, sample):
    folder = find(sample)
    one, _ = issue(folder, made, audience="client", name="A")
    changed = made.site.document["features"][0]["properties"]
    try:
        changed["moss_rating"] = 4
        other, _ = issue(folder, made, audience="client", name="A")
    finally:
        changed["moss_rating"] = 2
    assert other.id != one.id
