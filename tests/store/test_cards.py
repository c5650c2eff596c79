import dataclasses

from lawnmap.model import Machine, Product
from lawnmap.store import keys
from lawnmap.store.cards import MACHINE, PRODUCT, machine, product

WORKED_OUT = {"calibrated", "paced", "caught"}  # come from catch tests, not from the card


def test_the_keys_are_the_fields_of_the_model_in_order():
    for card, model in ((PRODUCT, Product), (MACHINE, Machine)):
        fields = [field.name for field in dataclasses.fields(model) if field.name not in WORKED_OUT]
        assert [key.name for key in card] == fields


def test_what_is_left_out_is_what_the_model_says():
    least = {"name": "a", "form": "seed"}
    assert product(keys.read(least, PRODUCT, file="x")) == Product("a", "seed")
    least = {"name": "a", "kind": "rake"}
    assert machine(keys.read(least, MACHINE, file="x")) == Machine("a", "rake")
