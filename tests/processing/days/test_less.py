"""What of a zone's work may be done when all of it is too much."""

from lawnmap.logistics.work import Step
from lawnmap.processing.days.finding import less


def group(*operations):
    return tuple(Step(f"z {each}", "z", each, 1.0) for each in operations)


def told(steps):
    return [step.operation for step in steps]


def test_seed_may_be_left_out_and_then_clearing_may_not():
    whole = group("mowing", "iron_liquid", "scarifying", "clearing", "overseeding", "watering")
    found = [told(each) for each in less(whole)]
    assert found == [
        told(whole),
        ["mowing", "iron_liquid", "scarifying", "clearing", "overseeding"],
        ["mowing", "iron_liquid", "scarifying", "clearing"],
    ]


def test_iron_by_itself_needs_no_blades():
    found = [told(each) for each in less(group("iron_liquid", "feeding"))]
    assert found == [["iron_liquid", "feeding"], ["iron_liquid"]]


def test_a_job_that_is_cut_into_days_is_left_out_whole():
    steps = (
        Step("z raking/1", "z", "raking", 4.0),
        Step("z clearing/1", "z", "clearing", 4.0),
        Step("z raking/2", "z", "raking", 4.0),
        Step("z clearing/2", "z", "clearing", 4.0),
        Step("z overseeding", "z", "overseeding", 4.0),
    )
    assert [len(each) for each in less(steps)] == [5, 4]
