"""What a power cut may leave of every writer: what was told as done lasts, and nothing is half.

The calls that were really made are played on a model of a disk (:mod:`tests.power_cut`), and every
state that it may be in is laid out and opened with the real code.
"""

from __future__ import annotations

import os
import shutil

import pytest

from lawnmap.errors import LawnmapError
from tests import power_cut
from tests.disks import Recording
from tests.faults.writers import WRITERS, Template, on

LASTING = [each for each in WRITERS if each.lasting]
OTHERS = [each for each in WRITERS if not each.lasting and each.told]


class Fault(AssertionError):
    """A promise that a power cut broke."""


def recorded(template):
    """Do the work on a recording disk; return the folder, the disk before, and the calls."""
    root = template.copy("recorded")
    before = power_cut.Model.of(root)
    with on(Recording()) as disk:
        template.writer.work(root)
        disk.acknowledge(1)
    return root, before, disk.calls


def opened(template, root, before, calls, check):
    """Open every state that a power cut may leave; return how many there are."""
    place, count = template.place / "state", 0
    for acknowledged, files, folders in power_cut.cuts(before, calls):
        count += 1
        power_cut.lay(files, folders - {root}, root, place)
        try:
            check(template, place, acknowledged)
        except (LawnmapError, FileNotFoundError) as error:
            raise Fault(str(error)) from error
        finally:
            shutil.rmtree(place)
    return count


def whole(template, place, acknowledged):
    """Check that nothing is half, and that what was acknowledged is there."""
    try:
        found = template.found(place)
    except LawnmapError:
        if template.writer.name.startswith("start") and not acknowledged:
            return  # a folder that is no site yet
        raise
    if template.torn(found):
        raise Fault(f"torn: {template.torn(found)}")
    if acknowledged and template.writer.lasting and found != template.new:
        raise Fault("undone")


def syncs(calls):
    """Return the numbers of the syncs: of a file each, of a folder all."""
    handles, found = {}, {}
    for number, call in enumerate(calls):
        if call.name == "open":
            is_folder = call.args[1] & os.O_DIRECTORY
            handles[call.result] = (str(call.args[0]), 0 if is_folder else number)
        elif call.name == "fsync":
            found.setdefault(handles[call.args[0]], set()).add(number)
    return found


def made(writer, memory):
    place = memory / writer.name.replace(" ", "-").replace(":", "").replace(",", "")
    place.mkdir()
    return Template(writer, place)


@pytest.mark.parametrize("writer", LASTING, ids=str)
def test_what_was_told_as_done_lasts(writer, memory, counted):
    template = made(writer, memory)
    root, before, calls = recorded(template)
    states = opened(template, root, before, calls, whole)
    assert states > 5
    needed = {}
    for what, numbers in syncs(calls).items():
        with pytest.raises(Fault):
            opened(template, root, before, power_cut.dropping(calls, numbers), whole)
        needed[what] = numbers
    assert needed
    counted[writer] = (states, len(needed))


@pytest.mark.parametrize("writer", OTHERS, ids=str)
def test_nothing_is_half_under_its_name(writer, memory, counted):
    template = made(writer, memory)
    root, before, calls = recorded(template)
    states = opened(template, root, before, calls, whole)
    assert states > 1
    counted[writer] = (states, 0)


def test_of_every_writer_there_is_a_count(counted, figure):
    if len(counted) < len(LASTING) + len(OTHERS):
        pytest.skip("only some of the writers were tried, or in another process")
    states, syncs_of = (sum(counted[each][place] for each in LASTING) for place in (0, 1))
    others = sum(counted[each][0] for each in OTHERS)
    assert min(states, others) > 100
    figure(
        11,
        f"Every writer: {len(LASTING)} whose word must last: {states} states, 0 damaged, 0 undone, "
        f"each of {syncs_of} syncs is needed; {len(OTHERS)} others: {others} states, 0 half files",
    )
