import datetime as dt
import hashlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused, WriteFailed
from lawnmap.store.issued import handed, identity, issue, listed
from tests.disks import Failing
from tests.store.sites import made

DAY = dt.date(2027, 9, 1)
INPUTS = {"features": [{"x": 0.1}], "today": "2027-09-01", "versions": {"lawnmap": "0.1.0"}}
PLAN = [{"zone_id": "a1", "operation": "scarifying", "amount": 1.5}]
TO = {"audience": "client", "name": "Pat"}
TEXT = st.text(st.characters(exclude_categories=("Cs",)))
NUMBERS = st.integers(-(10**9), 10**9) | st.floats(allow_nan=False, allow_infinity=False)
JSON = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXT,
    lambda inner: st.lists(inner) | st.dictionaries(TEXT, inner),
    max_leaves=10,
)


@pytest.fixture
def folder(tmp_path):
    return made(tmp_path / "garden")[0]


def issued(folder, **changes):
    return issue(
        folder,
        **{
            "day": DAY, "inputs": INPUTS, "plan": PLAN, "to": TO,
            "files": {"map.html": b"<html>", "job-sheet.pdf": b"%PDF"}, **changes,
        },
    )  # fmt: skip


def test_the_id_is_sha_256_of_the_text_with_sorted_keys():
    text = '{"a":[0.1,"é"],"b":1}'.encode()
    wanted = hashlib.sha256(text).hexdigest()[:12]
    assert identity({"b": 1, "a": [0.1, "é"]}) == wanted


@given(st.dictionaries(TEXT, JSON))
def test_the_id_depends_on_values_only(inputs):
    there_and_back = json.loads(json.dumps(inputs))
    backwards = dict(reversed(list(inputs.items())))
    assert identity(inputs) == identity(there_and_back) == identity(backwards)


def test_what_was_handed_over_is_kept(folder):
    one, warnings = issued(folder)
    assert warnings == ()
    assert one.path.name == f"2027-09-01-{identity(INPUTS)}"
    assert sorted(path.name for path in one.path.iterdir()) == [
        "files.json", "inputs.json", "job-sheet.pdf", "map.html", "plan.json", "to.json",
    ]  # fmt: skip
    assert one.read("plan.json") == PLAN
    assert one.read("inputs.json") == INPUTS
    assert one.read("to.json") == TO
    assert (one.path / "map.html").read_bytes() == b"<html>"
    assert one.intact()
    assert [path.name for path in folder.issued.iterdir()] == [one.path.name]


def test_the_same_plan_to_two_people_is_two_facts(folder):
    first, _ = issued(folder)
    before = {path.name: path.read_bytes() for path in first.path.iterdir()}
    second, _ = issued(folder, to={"audience": "crew", "name": "Sam"})
    assert second.id == first.id
    assert second.path.name == f"{first.path.name}-2"
    assert {path.name: path.read_bytes() for path in first.path.iterdir()} == before


def test_the_list_of_files_holds_the_digest_of_each(folder):
    one, _ = issued(folder)
    entries = {each["name"]: each for each in one.read("files.json")}
    assert set(entries) == {path.name for path in one.path.iterdir()} - {"files.json"}
    page = {"name": "map.html", "sha256": hashlib.sha256(b"<html>").hexdigest(), "bytes": 6}
    assert entries["map.html"] == page


def test_what_is_no_longer_as_it_was_handed_over_is_named(folder):
    one, _ = issued(folder)
    assert one.altered() == []
    (one.path / "map.html").write_bytes(b"<html lang=en>")
    (one.path / "job-sheet.pdf").unlink()
    assert one.altered() == ["job-sheet.pdf", "map.html"]
    (one.path / "files.json").write_text('[{"name": "../../site.geojson"}]')
    assert one.altered() == ["files.json"]
    (one.path / "files.json").write_bytes(b"{")
    assert one.altered() == ["files.json"]
    (one.path / "files.json").unlink()  # as of a plan issued before there was such a list
    assert one.altered() == []
    (one.path / "inputs.json").write_text("{}")
    assert one.altered() == ["inputs.json"]


def test_what_was_handed_to_the_same_person_is_found_while_it_is_whole(folder):
    assert handed(folder, inputs=INPUTS, to=TO) is None
    one, _ = issued(folder)
    assert handed(folder, inputs=INPUTS, to=TO) == one
    assert handed(folder, inputs=INPUTS, to={**TO, "name": "Sam"}) is None
    assert handed(folder, inputs={**INPUTS, "today": "2027-09-02"}, to=TO) is None
    (one.path / "map.html").write_bytes(b"")
    assert handed(folder, inputs=INPUTS, to=TO) is None


def test_the_last_comes_first(folder):
    assert listed(folder) == []
    plans = [
        issued(folder, day=day, inputs={"n": number})[0]
        for number, day in enumerate([DAY, DAY, DAY - dt.timedelta(1), DAY])
    ]
    found = listed(folder)
    assert found == [plans[3], plans[1], plans[0], plans[2]]
    assert [each.number for each in found] == [3, 2, 1, 1]


def test_a_changed_input_is_noticed(folder):
    one, _ = issued(folder)
    (one.path / "inputs.json").write_text('{"features": []}', encoding="utf-8")
    assert not one.intact()
    (one.path / "inputs.json").unlink()
    assert not one.intact()
    with pytest.raises(InputRefused):
        one.read("inputs.json")


@pytest.mark.parametrize(
    "name",
    [
        "../x.html", "x/y.html", "Map.html", "map", "con.html", "nul.txt", "lpt1.csv", ".map.html",
        "plan.json", "inputs.json", "to.json", "a b.html", "", "map.html\n",
    ],
)  # fmt: skip
def test_names_that_not_every_system_has(folder, name):
    with pytest.raises(InputRefused, match="cannot be the name"):
        issued(folder, files={name: b""})
    assert listed(folder) == []


def test_other_folders_are_not_taken_for_issued_plans(folder):
    for name in ("2027-02-31-0123456789ab", "notes", "2027-09-01-xyz", ".waiting"):
        (folder.issued / name).mkdir(parents=True)
    assert listed(folder) == []


def test_what_a_killed_writer_left_is_cleared(folder):
    (folder.issued / ".waiting").mkdir(parents=True)
    (folder.issued / ".waiting" / "half.html").write_bytes(b"")
    one, _ = issued(folder)
    assert not (one.path / "half.html").exists()
    assert not (folder.issued / ".waiting").exists()


@pytest.mark.parametrize("for_good", [False, True])
def test_every_operation_fails_and_nothing_is_half_issued(folder, for_good):
    failed = 0
    for number in range(1, 200):
        before = listed(folder)
        disk = Failing(number, for_good=for_good)
        told = ""
        try:
            one, _ = issued(folder, inputs={"number": number}, disk=disk)
        except WriteFailed as error:
            told = str(error)
        if told:
            assert listed(folder) == before
        else:
            assert listed(folder) == [one, *before]
            assert one.intact()
            assert len(list(one.path.iterdir())) == 6
            assert one.altered() == []
        if not disk.failed:
            break
        failed += 1
    assert failed > 60
