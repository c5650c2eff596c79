"""The page on seasons says what the tables say."""

import datetime as dt
import re
from pathlib import Path

import pytest

from lawnmap.reference import tables
from lawnmap.store import weather

PAGE = (Path(__file__).parents[2] / "docs" / "seasons.md").read_text(encoding="utf-8")
LINE = {  # what the line of a role begins with
    "iron spray": "iron, sprayed",
    "blades heavy": "blades, heavy",
    "blades light": "blades, light",
    "lawn sand": "lawn sand without nitrogen",
}


def in_words(at):
    return f"{at[1]} {dt.date(2027, *at):%B}"


@pytest.mark.parametrize("season", tables.seasons(), ids=lambda season: season.id)
def test_every_season_is_on_the_page(season):
    start = LINE.get(season.role, season.role)
    lines = "\n".join(each for each in PAGE.splitlines() if each.startswith(f"| {start}"))
    assert in_words(season.last) in lines
    assert re.search(rf"\b{season.first[1]}\b", lines)
    assert in_words(season.first) in lines or (
        f"{season.first[1]} to {in_words(season.last)}" in lines
    )


def test_every_rule_of_the_weather_is_on_the_page():
    rules = {each for each in tables.rules() if each.startswith("weather_")}
    assert set(re.findall(r"`(weather_\w+)`", PAGE)) == rules


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("soil_spring_c", "until soil is at {} °C"),
        ("growth_floor_c", "until it is under {} °C"),
        ("growth_left_days", "need {} days"),
        ("growth_left_seed_days", "the same with {} days"),
        ("iron_air_most_c", "whose mean is over {} °C"),
        ("degree_day_base_c", "with their base, {} °C"),
    ],
)
def test_figures_of_the_page_are_those_of_the_values(value, said):
    assert said.format(f"{tables.value(value).number:g}") in PAGE


def test_the_example_is_read():
    (example,) = re.findall(r"```csv\n(.*?)```", PAGE, re.DOTALL)
    assert len(weather.parse(example.encode())) == 2
    assert [f"`{name}`" in PAGE for name in weather.COLUMNS] == [True] * len(weather.COLUMNS)
