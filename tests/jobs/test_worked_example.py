"""The worked page in docs is true: its inputs give its results, each checked by hand."""

import datetime as dt
import math
import re
from pathlib import Path

import pytest

from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start
from tests.jobs.test_plan import planned, steps_of

PAGE = Path(__file__).parents[2] / "docs" / "worked_example.md"


@pytest.fixture(scope="module")
def page():
    return PAGE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def made(page, tmp_path_factory):
    blocks = re.findall(r"```(?:csv|toml)\n(.*?)```", page, re.DOTALL)
    folder = tmp_path_factory.mktemp("worked")
    for name, text in zip(("lawn.csv", "products.toml", "specification.toml"), blocks, strict=True):
        (folder / name).write_text(text, encoding="utf-8")
    start(folder)
    read(folder / "lawn.csv", Reading(crs="local"), into=folder)
    return planned(folder, today=dt.date(2026, 9, 7))


def result(page, row):
    """Return the result cell of one row of the page's table."""
    return re.search(rf"^\| {re.escape(row)} \|[^|]*\|([^|]*)\|", page, re.MULTILINE)[1].strip()


def test_area_and_its_error(page, made):
    zone = made.zones.loc["lawn"]
    assert zone["ground_area_m2"] == pytest.approx(20 * 9, abs=1e-6)
    assert zone["area_sigma_m2"] == pytest.approx(0.1 * math.hypot(20, 9), rel=1e-6)
    assert result(page, "area") == f"{zone['ground_area_m2']:.1f} m²"
    assert result(page, "±") == f"{zone['area_sigma_m2']:.2f} m²"


def test_dose_product_and_water(page, made):
    iron = steps_of(made, "lawn").loc["iron_soluble"]
    assert iron["status"] == "do"
    assert iron["dose"] == pytest.approx(50 / 16)
    assert iron["iron_g_m2"] == pytest.approx(50 / 16 * 0.2)
    assert iron["amount"] == pytest.approx(562.5, abs=1e-4)
    assert iron["water_l"] == pytest.approx(112.5, abs=1e-4)
    assert result(page, "dose") == f"{iron['dose']:.3f} g/m²"
    assert result(page, "iron") == f"{iron['iron_g_m2']:.3f} g/m²"
    assert result(page, "product") == f"{iron['amount']:.1f} g"
    assert result(page, "water") == f"{iron['water_l']:.1f} l"


def test_cans(page, made):
    (load,) = made.loads.to_dict("records")
    assert (
        load["full_loads"],
        load["full_product"],
        load["full_water_l"],
        load["full_area_m2"],
    ) == (
        11,
        pytest.approx(50),
        10,
        pytest.approx(16),
    )
    assert load["last_product"] == pytest.approx(12.5, abs=1e-4)
    assert load["last_water_l"] == pytest.approx(2.5, abs=1e-4)
    assert load["concentration_g_l"] == pytest.approx(5)
    assert result(page, "cans") == "11 full cans"
    assert result(page, "the last can") == "12.5 g in 2.5 l on 4 m²"


def test_packs_rake_and_arisings(page, made):
    steps = steps_of(made, "lawn")
    totals = made.totals.set_index("operation")
    assert totals.loc["iron_soluble", "packs"] == result(page, "packs")
    raking = steps.loc["raking"]
    assert raking["passes"] == 2
    assert (raking["hours_low"], raking["hours"]) == pytest.approx((360 / 46.5, 360 / 18.6))
    clearing = steps.loc["clearing"]
    assert (clearing["amount_low"], clearing["amount"]) == pytest.approx((1080, 2340))
    assert steps.loc["iron_soluble", "sequence"] < raking["sequence"]
    assert raking["wait_days"] == 14
