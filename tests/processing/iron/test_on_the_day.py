"""Gates to tick on the day: spray and lawn sand differ, and grains keep people off for longer."""

import pandas as pd

from lawnmap.processing.iron.on_the_day import on_the_day


def gates(lawn, card, operation):
    specification = lawn.choices(card)
    steps = on_the_day(lawn.work(lawn.zones(), specification).steps, specification)
    return steps.set_index("operation").loc[operation, "gates"].split("; ")


def holds(lines, *words):
    return any(all(word in line for word in words) for line in lines)


def test_spray(lawn):
    """Victoria, Department of Health: force 2 is best, none from force 4."""
    lines = gates(lawn, lawn.card(rainfast_h=6, keep_off="Until dry; dogs too."), "iron_soluble")
    assert holds(lines, "force 2", "force 4")
    assert holds(lines, "Leaf dry")
    assert holds(lines, "No rain for 6 h (label)")
    assert holds(lines, "not frozen")
    assert holds(lines, "not thirsty")
    assert holds(lines, "younger than the label's limit")
    assert lines[-1] == "Until dry, dogs too"


def test_grains_stay_until_watered_in(lawn):
    card = lawn.card(
        form="lawn sand", rate_printed="35 g/m²", analysis_pct=2.0, keep_off="Until dry"
    )
    lines = gates(lawn, card, "lawn_sand")
    assert holds(lines, "Turf damp")
    assert holds(lines, "water it in")
    assert not holds(lines, "Leaf dry")
    assert lines[-2] == "Until dry"
    assert "watered in, dry again" in lines[-1]


def test_a_label_that_is_silent_on_keeping_off(lawn):
    assert "until it is dry and somebody has looked" in gates(lawn, lawn.iron, "iron_soluble")[-1]


def test_blades_have_theirs_and_what_is_not_done_has_none(lawn):
    assert holds(gates(lawn, lawn.iron, "raking"), "black")
    specification = lawn.choices(lawn.card(country="IE"))
    steps = on_the_day(lawn.work(lawn.zones(), specification).steps, specification)
    assert steps.set_index("operation").loc["iron_soluble", "gates"] == ""


def test_what_a_card_prints_on_keeping_off_holds_for_whatever_is_put_down(lawn):
    specification = lawn.choices(lawn.card(keep_off="Until watered in"))
    (name,) = specification.products
    operations = ["feeding", "wetting", "overseeding", "mowing"]
    rows = {"operation": operations, "status": "do", "product": [name, name, name, ""]}
    found = on_the_day(pd.DataFrame(rows), specification).set_index("operation")["keep_off"]
    assert list(found[["feeding", "wetting", "mowing"]]) == ["Until watered in"] * 2 + [""]
    assert found["overseeding"].startswith("Until watered in; ")
    assert "cut for the first time" in found["overseeding"]
