"""What is handed over: whole, the same twice, and nothing private in it."""

from dataclasses import replace
from pathlib import PurePath

import pytest

from lawnmap import plugins
from lawnmap.errors import InputRefused, PluginProblem, UsageProblem
from lawnmap.jobs.export import render, write
from lawnmap.jobs.start import start
from lawnmap.store.folder import find
from tests.exports.read_back import everything
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


def decoded(made):
    """Return all that can be read in an export, in whatever way it is hidden."""
    return everything(PurePath(made.name).suffix, made.data)


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
    with pytest.raises(InputRefused, match="map cannot be had in another CRS"):
        render(made, "map", crs="EPSG:27700")


def test_a_plan_at_true_scale_is_read_in_the_units_asked_for(made):
    metric, us = (render(made, "svg", units=each).data.decode() for each in ("metric", "us"))
    assert "233 ± 16 m²" in metric.replace("\u00a0", " ")
    assert "sq ft" not in metric
    assert "sq ft" in us.replace("\u00a0", " ")
