import datetime as dt
import re
import tomllib
from pathlib import Path

import pytest

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.model import Machine, Product
from lawnmap.store.choices import CHOICES, OPERATIONS, ZONE
from lawnmap.store.folder import Folder
from lawnmap.store.keys import Key
from lawnmap.store.specification import _lines, default_text, parse, read

HOUSE = Path(__file__).parents[2]
PRODUCTS = {"Iron five": Product("Iron five", "liquid"), "Rye mix": Product("Rye mix", "seed")}
MACHINES = {
    "spring rake": Machine("spring rake", "rake"),
    "can": Machine("can", "can"),
    "walker": Machine("walker", "spreader"),
}


def parsed(text, **more):
    return parse(text.encode(), products=PRODUCTS, machines=MACHINES, **more)


def leaves(keys, path=""):
    for key in keys:
        if key.kind == "table":
            yield from leaves(key.inside, f"{path}{key.name}.")
        else:
            yield f"{path}{key.name}", key


def test_the_first_file_says_what_an_empty_one_means():
    assert parsed(default_text()) == parsed("")


def test_the_first_file_shows_every_key_under_its_table():
    text, table, shown = default_text(), "", set()
    for line in text.split("# What single zones")[0].splitlines():
        if match := re.fullmatch(r"\[(.*)\]", line):
            table = f"{match.group(1)}."
        elif match := re.match(r"(?:# )?(\w+) = ", line):
            shown.add(f"{table}{match.group(1)}")
    assert shown == {name for name, _ in leaves(CHOICES)}


def test_the_first_file_fits_a_window():
    assert max(map(len, default_text().splitlines())) <= 100


def test_every_optional_key_of_the_first_file_can_be_set():
    """What stands behind a # is no value, least of all of a legal clearance."""
    optional = [(name, key) for name, key in leaves(CHOICES) if key.default is None]
    assert {name for name, _ in optional} >= {"strips.legal.water_m", "seeding.rate_g_m2"}
    for name, _ in optional:
        line = re.search(rf"^# {name.split('.')[-1]} = (.*)$", default_text(), re.MULTILINE)
        assert line.group(1).startswith("(a ")


def test_the_examples_for_zones_are_good():
    zones = default_text().split("# What single zones")[1].splitlines()[1:]
    text = "\n".join(line.removeprefix("# ") for line in zones)
    found = parsed(text).by_zone
    assert found["front"] == {"iron": "not on this site"}
    assert found["bank"]["leave"] is True


def test_defaults():
    found = parsed("")
    assert found.choices["turf_type"] == "general lawn"
    assert found.choices["iron"] == "allowed"
    assert found.choices["operations"] == list(OPERATIONS)
    assert found.choices["crew"] == {
        "people": 1,
        "hours_a_day": 7.0,
        "evening_h": 2.0,
        "hours_planned": "middle",
    }
    assert found.choices["strips"]["legal"] == {
        "water_m": None, "drain_m": None, "from": "", "note": "",
    }  # fmt: skip
    assert found.choices["first_day"] is None
    assert found.by_zone == {}
    assert found.machines == MACHINES
    assert found.products == PRODUCTS


def test_words_are_those_of_the_schema():
    words = {column.name: column.words for column in schema.facts("zones")}
    for key in (*CHOICES, *ZONE):
        if key.name in {"turf_type", "iron"}:
            assert key.words == words[key.name]


def test_operations_are_the_treatments_that_come_with_lawnmap():
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert sorted(OPERATIONS) == sorted(project["entry-points"]["lawnmap.treatments"])


def test_a_whole_specification():
    found = parsed(
        """
        turf_type = "sports pitch"
        iron = "last resort"
        country = "IE"
        user = "professional"
        season = "autumn"
        first_day = 2027-09-01
        operations = ["mowing", "scarifying"]
        machines = ["spring rake"]
        contact = "Pat, at the gate"
        products = {iron = "Iron five", seed = "Rye mix"}
        applicator = {iron = "can"}
        crew = {people = 2, hours_a_day = 6}
        seeding = {rate_g_m2 = 25, mixture = "rye and fescue"}
        top_dressing = {wanted = true, depth_mm = 3, reason = "levels"}
        bags = {bag_l = 80}
        strips.legal = {water_m = 4, from = "site rule", note = "lease, page 3"}
        strips.workmanship = {paving_m = 0.3}
        rates = {nitrogen_g_m2 = 2.5}
        money = {currency = "€", hour_rate = 31}
        """
    )
    assert found.choice("first_day") == dt.date(2027, 9, 1)
    assert found.choices["crew"] == {
        "people": 2,
        "hours_a_day": 6.0,
        "evening_h": 2.0,
        "hours_planned": "middle",
    }
    assert found.choices["seeding"] == {
        "wanted": True, "rate_g_m2": 25.0, "mixture": "rye and fescue",
    }  # fmt: skip
    assert found.choices["strips"]["legal"]["water_m"] == 4.0
    assert sorted(found.machines) == ["can", "spring rake"]  # to hand, and the applicator named


def test_a_zone_has_only_what_it_has_otherwise():
    found = parsed(
        """
        iron = "last resort"
        seeding = {rate_g_m2 = 25}
        [zones.front]
        iron = "not on this site"
        seeding.wanted = false
        [zones.bank]
        leave = true
        reason = "wild flowers"
        """,
        zone_ids=["front", "bank", "back"],
    )
    assert found.choice("iron", "front") == "not on this site"
    assert found.choice("iron", "bank") == "last resort"
    assert found.choice("turf_type", "front") == "general lawn"
    assert found.choice("seeding", "front") == {"wanted": False, "rate_g_m2": 25.0, "mixture": ""}
    assert found.choice("leave", "bank") is True
    assert not found.choice("leave", "front")
    assert found.by_zone["bank"] == {"leave": True, "reason": "wild flowers"}


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ('iorn = "allowed"', "", "Did you mean 'iron'"),
        ('iron = "never"', "iron", "not on this site"),
        ("iron = false", "iron", "false is not allowed"),
        ('turf_type = "lawn"', "turf_type", "general lawn"),
        ('first_day = "2027-09-01"', "first_day", "without quotes"),
        ("first_day = 2027-09-01T08:00:00", "first_day", "without quotes"),
        ("crew.people = 0", "crew.people", "from 1 to 100"),
        ("crew.people = 1.5", "crew.people", "a whole number"),
        ("crew.hours_a_day = 25", "crew.hours_a_day", "from 0.5 to 16"),
        ("crew = 3", "crew", "is not a table"),
        ("seeding.rate_g_m2 = -1", "seeding.rate_g_m2", "from 1 to 150"),
        ("seeding.rate = 25", "seeding", "Did you mean 'rate_g_m2'"),
        ("strips.legal.water_m = 5", "strips.legal.water_m", "who set it"),
        ("strips.feed.drain_m = 0", "strips.feed.drain_m", "who set it"),
        ('strips.workmanship.blades_instead = "strim"', "strips.workmanship.blades", "rake"),
        ('strips.legal = {drain_m = 1, from = "habit"}', "strips.legal.from", "site rule"),
        ("strips.workmanship.paving_m = nan", "strips.workmanship.paving_m", "a number"),
        ('products.iron = "Iron fiv"', "products.iron", "Did you mean 'Iron five'"),
        ('products.feed = "zzz"', "products.feed", "There are: Iron five"),
        ('applicator.seed = "walkre"', "applicator.seed", "Did you mean 'walker'"),
        ('machines = ["spring rak"]', "machines", "Did you mean 'spring rake'"),
        ('zones.front.irn = "allowed"', "zones.front", "Did you mean 'iron'"),
        ('zones.front.leave = "yes"', "zones.front.leave", "true or false"),
        ("zones.frnt.leave = true", "zones", "Did you mean 'front'"),
        ('zones."a b".leave = true', "zones.a b", "not a zone_id"),
        ("zones = 3", "zones", "is not a table"),
        ("zones.front = 3", "zones.front", "is not a table"),
        ("iron = allowed", "line 1", "is not TOML"),
    ],
)
def test_what_is_wrong_is_told(text, place, says):
    with pytest.raises(InputRefused, match=says) as caught:
        parsed(text, zone_ids=["front", "back"])
    assert caught.value.file == "specification.toml"
    assert caught.value.place.startswith(place)
    assert caught.value.exit_code == 3


def test_no_file_means_the_defaults(tmp_path):
    found = read(Folder(tmp_path), products=PRODUCTS, machines=MACHINES)
    assert found == parsed("")


def test_the_file_is_read_and_never_written(tmp_path):
    folder = Folder(tmp_path)
    folder.specification.write_text('iron = "last resort"  # ask first\n', encoding="utf-8")
    before = folder.specification.stat()
    found = read(folder, products={}, machines={})
    assert found.choices["iron"] == "last resort"
    assert folder.specification.stat().st_mtime_ns == before.st_mtime_ns


def test_a_file_that_cannot_be_read_is_not_taken_for_none(tmp_path):
    folder = Folder(tmp_path)
    folder.specification.symlink_to(tmp_path / "gone.toml")
    with pytest.raises(InputRefused, match="cannot be opened"):
        read(folder, products={}, machines={})
    folder.specification.unlink()
    folder.specification.mkdir()
    with pytest.raises(InputRefused, match="is a folder"):
        read(folder, products={}, machines={})


def test_the_first_file_is_toml_for_others_too():
    asked = {key.name for key in CHOICES} - {"first_day", "last_day"}
    assert set(tomllib.loads(default_text())) == asked


def test_how_keys_are_written_to_the_letter():
    """Plain keys first, each with what it means; tables behind them, with their path."""
    keys = (
        Key("season", "text", "", words=("", "spring"), means="When."),
        Key("depth", "table", means="Deep.", inside=(Key("mm", "number", None, 0.5, 15),)),
        Key("bare", "table", inside=(Key("inner", "table", means="In.", inside=(
            Key("wanted", "yes or no", default=False), Key("names", "names", ("a", "b"))
        )),)),
        Key("day", "day"),
        Key("word", "text", "x", words=("x", "y")),
    )  # fmt: skip
    assert list(_lines(keys)) == [
        "",
        "# When. One of: spring.",
        'season = ""',
        "",
        "# day = (a day without quotes, such as 2027-04-01)",
        "",
        "# One of: x, y.",
        'word = "x"',
        "\n# Deep.\n[depth]",
        "# mm = (a number from 0.5 to 15)",
        "\n# In.\n[bare.inner]",
        "wanted = false",
        'names = ["a", "b"]',
    ]


def test_a_long_list_has_a_line_for_each_and_a_long_remark_is_filled():
    names = tuple("a" * 20 + str(n) for n in range(5))
    (_, text) = _lines((Key("long", "names", names),))
    assert text == "long = [\n" + "".join(f'    "{name}",\n' for name in names) + "]"
    (_, remark, _) = _lines((Key("key", "text", "", means="word " * 30),))
    assert remark == "# " + " ".join(["word"] * 19) + "\n# " + " ".join(["word"] * 11)


def test_the_zones_of_the_site_are_known_to_the_file_too(tmp_path):
    folder = Folder(tmp_path)
    folder.specification.write_text("zones.frnt.leave = true\n", encoding="utf-8")
    with pytest.raises(InputRefused, match="Did you mean 'front'"):
        read(folder, products={}, machines={}, zone_ids=["front"])
    assert read(folder, products={}, machines={}).by_zone == {"frnt": {"leave": True}}
