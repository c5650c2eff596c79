import datetime as dt

import pytest

from lawnmap.errors import InputRefused
from lawnmap.model import Machine
from lawnmap.store.depot import Depot, find, parse_machines, parse_products, read
from tests.store.sites import told

CARD = """
[[product]]
name = "Iron five"
form = "liquid"
authorised_for_moss = true
authorisation_no = "invented 1"
country = "GB"
use_by = 2029-01-31
user = "home"
analysis_pct = 5
analysis_as = "FeSO4.7H2O"
analysis_basis = "w/w"
density_kg_l = 1.2
rate_printed = "50 ml in 10 l over 16 m²"
most_doses_a_year = 2
least_days_between = 28
iron_to_seed_days = 42
rainfast_h = 12
keep_off = "until dry"
untreated_strip_m = 5
applicators = ["can", "knapsack"]
packs = [{size = 2.5, unit = "l", price = 12.5}, {size = 500, unit = "ml"}]
stock = 300
cautions = ["stains paving"]

[[product]]
name = "Rye mix"
form = "seed"
purity_pct = 98
germination_pct = 85
packs = [{size = 20, unit = "kg", price = 90}]
"""
FIRST = 'product 1 "Iron five"'
SWAPPED = "water_low_l_m2 = 2\nwater_high_l_m2 = 1"


def test_a_label_card():
    cards = parse_products(CARD.encode())
    assert list(cards) == ["Iron five", "Rye mix"]
    iron = cards["Iron five"]
    assert iron.analysis_as == "FeSO4·7H2O"
    assert iron.use_by == dt.date(2029, 1, 31)
    assert iron.packs == ((2500.0, "ml", 12.5), (500.0, "ml", None))
    assert iron.applicators == ("can", "knapsack")
    assert iron.cautions == ("stains paving",)
    assert iron.rate_printed == "50 ml in 10 l over 16 m²"
    assert iron.rate_g_m2 is None
    assert iron.rate_ml_m2 is None
    seed = cards["Rye mix"]
    assert seed.packs == ((20_000.0, "g", 90.0),)
    assert seed.authorised_for_moss is False
    assert seed.untreated_strip_m is None


@pytest.mark.parametrize("salt", ["Fe", "FeSO4", "FeSO4·H2O", "FeSO4.H2O", "FeSO4·7H2O"])
def test_the_raised_dot_may_be_typed_as_a_point(salt):
    text = CARD[: CARD.index("[[product]]", 5)].replace("FeSO4.7H2O", salt)
    (card,) = parse_products(text.encode()).values()
    assert card.analysis_as == salt.replace(".", "·")


@pytest.mark.parametrize(
    ("old", "new", "place", "says"),
    [
        ('name = "Rye mix"', 'name = "Iron five"', 'product 2 "Iron five"', "an earlier one"),
        ('name = "Iron five"\n', "", "product 1.name", "is missing"),
        ('name = "Iron five"', 'name = " "', "product 1", "text such as"),
        ('form = "liquid"', 'form = "fluid"', FIRST + ".form", "liquid"),
        ('form = "liquid"\n', "", FIRST + ".form", "is missing"),
        ("density_kg_l = 1.2\n", "", FIRST + ".density_kg_l", "w/w of a liquid"),
        ('analysis_as = "FeSO4.7H2O"\n', "", FIRST + ".analysis_as", "is missing"),
        ('analysis_as = "FeSO4.7H2O"', 'analysis_as = "iron"', FIRST + ".analysis_as", "FeSO4"),
        ('analysis_basis = "w/w"\n', "", FIRST + ".analysis_basis", "is missing"),
        ("analysis_pct = 5", "analysis_pct = 105", FIRST + ".analysis_pct", "100 %"),
        ("= 5\n", '= "5 %"\n', FIRST + ".analysis_pct", "a number"),
        ("rainfast_h = 12", "rainfast = 12", FIRST, "Did you mean 'rainfast_h'"),
        ("use_by = 2029-01-31", 'use_by = "31/1/29"', FIRST + ".use_by", "a day"),
        ("stock = 300", "rate_g_m2 = 3\nrate_ml_m2 = 3", FIRST + ".rate_ml_m2", "one rate"),
        ("stock = 300", SWAPPED, FIRST + ".water_low_l_m2", "Swap them"),
        ('unit = "l"', 'unit = "litre"', FIRST + ".packs 1.unit", "one of"),
        ("size = 500, ", "", FIRST + ".packs 2.size", "is missing"),
        ("moss = true", 'moss = "yes"', FIRST + ".authorised_for_moss", "true or false"),
        ("between = 28", "between = 28.5", FIRST + ".least_days_between", "whole"),
        ("[[product]]", "[[produkt]]", "", "Did you mean 'product'"),
        ('country = "GB"', 'country = "England"', FIRST + ".country", "GB"),
    ],
)  # fmt: skip
def test_wrong_cards_are_placed(old, new, place, says):
    assert old in CARD
    text = CARD.replace(old, new) if old == "[[product]]" else CARD.replace(old, new, 1)
    with pytest.raises(InputRefused, match=says) as caught:
        parse_products(text.encode())
    assert caught.value.file == "products.toml"
    assert caught.value.place.startswith(place)


def test_grams_a_litre_may_pass_one_hundred_and_need_no_density():
    text = (
        CARD.replace('"w/w"', '"g/l"')
        .replace("= 5\n", "= 250\n", 1)
        .replace("density_kg_l = 1.2\n", "")
    )
    assert parse_products(text.encode())["Iron five"].analysis_pct == 250


def test_a_depot_with_one_table_that_is_no_list():
    with pytest.raises(InputRefused, match="is not a list"):
        parse_products(b"[product]\nname = 'a'\n")
    assert parse_products(b"") == {}


def test_machines():
    (machine,) = parse_machines(
        b'[[machine]]\nname = "walker"\nkind = "petrol"\nwidth_m = 0.4\noverall_width_m = 0.6\n'
        b"box_l = 45\nhire_a_day = 60\n"
    ).values()
    assert machine == Machine("walker", "petrol", 0.4, 0.6, box_l=45.0, hire_a_day=60.0)


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ('name = "a"\nkind = "diesel"', 'machine 1 "a".kind', "petrol"),
        ('name = "a"\nkind = "can"\nwidth = 1', 'machine 1 "a"', "Did you mean 'width_m'"),
        ('name = "a"\nkind = "can"\nwidth_m = 40', 'machine 1 "a".width_m', "from 0.05 to 20"),
        (
            'name = "a"\nkind = "petrol"\nwidth_m = 0.6\noverall_width_m = 0.4',
            'machine 1 "a".overall_width_m',
            "less than width_m",
        ),
    ],
)
def test_wrong_machines_are_placed(text, place, says):
    with pytest.raises(InputRefused, match=says) as caught:
        parse_machines(f"[[machine]]\n{text}\n".encode())
    assert caught.value.place.startswith(place)
    assert caught.value.file == "machines.toml"


def test_finding_the_depot(tmp_path):
    site = tmp_path / "gardens" / "elm"
    site.mkdir(parents=True)
    personal, given = tmp_path / "personal", tmp_path / "given"
    personal.mkdir()
    given.mkdir()
    assert find(site, given=None, personal=personal) is None
    (personal / "machines.toml").write_bytes(b"")
    assert find(site, given=None, personal=personal) == personal
    (personal / "products.toml").write_bytes(b"")
    assert find(site, given=None, personal=personal) == personal
    for nearer in (tmp_path, tmp_path / "gardens", site):
        (nearer / "products.toml").write_bytes(b"")
        assert find(site, given=None, personal=personal) == nearer
    assert find(site, given=given, personal=personal) == given
    with pytest.raises(InputRefused, match="--depot"):
        find(site, given=tmp_path / "none", personal=personal)


def test_reading_the_depot(tmp_path):
    generic = {"can": Machine("can", "can")}
    assert read(None, machines=generic) == Depot({}, generic)
    assert read(tmp_path, machines=generic) == Depot({}, generic)
    (tmp_path / "products.toml").write_text(CARD, encoding="utf-8")
    assert list(read(tmp_path, machines=generic).products) == ["Iron five", "Rye mix"]
    (tmp_path / "machines.toml").write_text('[[machine]]\nname = "a"\nkind = "rake"\n')
    assert read(tmp_path, machines=generic).machines == {"a": Machine("a", "rake")}


def test_what_is_told_of_a_depot(tmp_path, monkeypatch):
    refused = told(find, tmp_path, given=tmp_path / "none", personal=tmp_path)
    assert refused == "none: is not a folder. Nothing was changed. Check --depot."
    (tmp_path / "products.toml").write_text("x = \n")
    assert told(read, tmp_path, machines={}).startswith(
        "products.toml: line 1, column 5: is not TOML: invalid value."
    )
    monkeypatch.setattr("lawnmap.store.toml_text.LARGEST", 4)
    assert told(read, tmp_path, machines={}).startswith("products.toml: is larger than 0 MB.")


@pytest.mark.parametrize("name", ["products.toml", "machines.toml"])
def test_cards_that_cannot_be_read_are_not_passed_over(tmp_path, name):
    """Else the cards of another depot would give other quantities, without a word."""
    site, personal = tmp_path / "garden", tmp_path / "personal"
    site.mkdir()
    personal.mkdir()
    where = site if name == "products.toml" else personal
    (where / name).symlink_to(tmp_path / "gone.toml")
    found = find(site, given=None, personal=personal)
    assert found == where
    assert told(read, found, machines={}).startswith(f"{name}: cannot be opened")
