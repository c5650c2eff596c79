"""Every file operation of every writer fails, once and for good, or is the last of the process.

Whatever fails, there is the old or the new and nothing half; who asked is told; nothing is left
behind that could be taken away, at most one file where nothing could; and the next run works.
"""

from __future__ import annotations

import os
import shutil

import pytest

from lawnmap.errors import LawnmapError
from lawnmap.store.journal import LATER
from tests.disks import Failing
from tests.faults.child import told_by
from tests.faults.writers import WRITERS, Template, left, on, wrong

LONG = os.environ.get("LAWNMAP_LONG") == "1"
STEP = 1 if LONG else 3  # every third operation, another third of them in each way
WAYS = ("once", "for good")


@pytest.fixture(scope="module")
def templates(memory):
    """Return the function that makes what is there before a writer's work, once."""
    made = {}

    def template(writer):
        if writer.name not in made:
            place = memory / f"writer-{len(made)}"
            place.mkdir()
            made[writer.name] = Template(writer, place)
        return made[writer.name]

    return template


def failed(writer, root, disk):
    """Do a writer's work on a failing disk; return the error that it was told by, if any."""
    with on(disk):
        try:
            writer.work(root)
        except LawnmapError as error:
            return error
    return None


def checked(template, root, error, disk, most_left):
    """Check what is there after a failure, and that the next run works."""
    writer = template.writer
    at = f"{disk.failed}, operation {disk.number}, told: {error}"
    assert wrong(error, disk.all_failed) == "", at
    assert len(left(root)) <= most_left, (at, left(root))
    found = template.found(root)
    assert template.torn(found) == [], at
    if (error is None and writer.told) or (error and LATER in str(error)):
        assert found == template.new, at
    elif writer.whole and writer.told:
        assert found == template.old, at
    if found != template.new:
        writer.work(root)
        assert template.found(root) == template.new, at
    assert left(root) == [], at


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("writer", WRITERS, ids=str)
def test_every_operation_fails(writer, way, templates, counted):
    template = templates(writer)
    count = 0
    for number in range(1 + WAYS.index(way) % STEP, 400, STEP):
        root = template.copy("copy")
        disk = Failing(number, for_good=way == "for good")
        error = failed(writer, root, disk)
        if not disk.failed:
            shutil.rmtree(root)
            break
        count += 1
        checked(template, root, error, disk, most_left=way == "for good")
        shutil.rmtree(root)
    assert count > 0 if writer.name.endswith("nothing left out") else count > 1
    counted[writer.name, way] = count


def test_of_every_writer_there_is_a_count(counted, figure):
    if len(counted) < len(WAYS) * len(WRITERS):
        pytest.skip("only some of the writers were tried, or in another process")
    by_way = {way: sum(many for (_, each), many in counted.items() if each == way) for way in WAYS}
    assert min(by_way.values()) > 10 * len(WRITERS)
    told = ", ".join(f"{many} failed {way}" for way, many in by_way.items())
    figure(10, f"Every writer: operations of {len(WRITERS)} writers: {told}: 0 torn, all told")


def test_the_process_ends_at_every_operation(memory, figure):
    told = told_by("die", memory / "die", 1 if LONG else 5)
    assert told["wrong"] == []
    assert told["writers"] == len(WRITERS)
    assert told["died"] > 5 * len(WRITERS)
    assert told["most_left"] == 1
    figure(
        10,
        f"Every writer: the process ended at {told['died']:,} operations of {told['writers']} "
        f"writers: {len(told['wrong'])} torn, {told['most_left']} file left at most, "
        f"{told['swept']} swept by the next run",
    )
