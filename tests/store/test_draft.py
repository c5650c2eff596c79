"""A draft is whole or not there, one for each page, and what is not one is not taken for one."""

import json
import subprocess
import sys

import pytest

from lawnmap.errors import Busy, WriteFailed
from lawnmap.store.draft import MOST, Kept, held
from lawnmap.store.folder import Folder
from tests.disks import Failing
from tests.store.sites import made, zone


@pytest.fixture
def folder(tmp_path):
    return made(tmp_path / "garden")[0]


def test_a_draft_reads_back(folder):
    changes = {"a1": zone("a1", name="Bänk"), "f2": None}
    with held(folder) as draft:
        assert draft.path == folder.private / "draft.json"
        assert draft.read() is None
        draft.keep(Kept(4, changes))
        found = draft.read()
        assert (found.revision, found.changes) == (4, changes)
        assert len(found.saved_at) == len("2027-04-12T09:30:00Z")
        draft.forget()
        draft.forget()
        assert draft.read() is None


def test_each_page_has_its_own_and_what_was_left_is_taken_first(folder):
    with held(folder) as one, held(folder) as other:
        one.keep(Kept(1, {"a1": None}))
        other.keep(Kept(1, {"a2": None}))
        one.forget()
    with held(folder) as left, held(folder) as fresh:
        assert left.read().changes == {"a2": None}
        assert fresh.read() is None


def test_there_is_an_end_to_pages(folder):
    drafts = [held(folder) for _ in range(MOST)]
    for each in drafts:
        each.__enter__()
    with pytest.raises(Busy, match="pages are open"), held(folder):
        pass
    for each in drafts:
        each.__exit__(None, None, None)
    with held(folder) as draft:
        assert draft.path.name == "draft.json"


def test_a_killed_holder_gives_its_draft_back(folder):
    text = (
        "import os, sys; from pathlib import Path; from lawnmap.store.folder import Folder; "
        "from lawnmap.store.draft import Kept, held\n"
        "with held(Folder(Path(sys.argv[1]))) as draft:\n"
        "    draft.keep(Kept(3, {'a1': None})); os.kill(os.getpid(), 9)"
    )
    subprocess.run([sys.executable, "-c", text, str(folder.path)], check=False, timeout=60)
    with held(folder) as draft:
        assert draft.read().revision == 3


@pytest.mark.parametrize(
    "text",
    [
        "", "{", "[]", "{}", '{"revision": true, "saved_at": "", "changes": {}}',
        '{"revision": 1, "saved_at": 1, "changes": {}}',
        '{"revision": 1, "saved_at": "", "changes": {"a": 1}}',
        '{"revision": 1, "saved_at": "", "changes": {"a": {"type": "Feature"}}}',
    ],
)  # fmt: skip
def test_what_is_no_draft_is_not_taken_for_one(folder, text):
    with held(folder) as draft:
        draft.path.write_text(text)
        assert draft.read() is None
        draft.keep(Kept(1, {}))
        assert json.loads(draft.path.read_text())["revision"] == 1


def test_a_disk_that_fails_leaves_the_draft_before(folder):
    with held(folder) as draft:
        draft.keep(Kept(1, {"a1": None}))
    failed = 0
    for call in range(60):
        disk = Failing(call)
        try:
            with held(folder, disk=disk) as draft:
                draft.keep(Kept(2, {"a2": None}))
        except WriteFailed:
            failed += 1
        with held(Folder(folder.path)) as draft:
            assert draft.read().revision in {1, 2}
    assert failed > 3
