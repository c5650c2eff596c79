"""Many sites, and bad ones among them. All is done in truth but the planning, which takes long."""

import dataclasses
import json
import os
import random

import pytest

from lawnmap.errors import Busy, InputRefused, UsageProblem
from lawnmap.files.lock import locked
from lawnmap.jobs.measure import measure
from lawnmap.jobs.sites import folders, planned, written
from lawnmap.jobs.sites.folders import workers_for
from lawnmap.jobs.sites.run import run
from tests.jobs.sites import gardens
from tests.jobs.sites.gardens import Ear, planned_alone, rows, tables_of, wanted

GOOD, FEW = 60, 10
BAD = {"broken": b"{", "empty": b"", "foreign": b'{"type":"FeatureCollection","features":[]}'}
CROSSING = "Garden 82"
CARD = '[products]\niron = "No such card"\n'


@pytest.fixture(scope="module")
def model(tmp_path_factory):
    """Plan one garden."""
    folder = tmp_path_factory.mktemp("model")
    gardens.depot(folder)
    return planned_alone(gardens.write(folder / "garden", 0), folder)


@pytest.fixture
def titles(monkeypatch, model):
    """Planning that takes no time: the plan of one garden with the site put in. Who was planned."""
    seen = []

    def plan_of(site, *_, **__):
        seen.append(site.title)
        if site.title == CROSSING:
            measure(site)
        return dataclasses.replace(model, site=site), None

    monkeypatch.setattr(planned, "plan_of", plan_of)
    monkeypatch.setattr(written, "papers", lambda *_, **__: {})  # as slow as all the rest
    return seen


def garden(top, number):
    return top / f"round-{number % 4}" / f"garden-{number:02}"


@pytest.fixture
def few(tmp_path):
    """Gardens enough to see one change among them."""
    top = gardens.depot(tmp_path / "gardens")
    for number in range(FEW):
        gardens.write(garden(top, number), number)
    return top


@pytest.fixture
def many(few):
    """Sixty gardens and six that cannot be planned."""
    top = few
    for number in range(FEW, GOOD):
        gardens.write(garden(top, number), number)
    for number, (name, data) in enumerate(BAD.items(), start=GOOD):
        folder = gardens.write(top / "bad" / name, number)
        (folder / "site.geojson").write_bytes(data)
    gardens.write(top / "bad" / "newer", 80)
    gardens.write(top / "bad" / "no card", 81, choices=CARD)
    gardens.write(top / "bad" / "crossing", 82)
    edit(top / "bad" / "newer", lambda value: value["lawnmap"].update(format=99))
    edit(top / "bad" / "crossing", crossed)
    return top


def edit(folder, change):
    path = folder / "site.geojson"
    value = json.loads(path.read_text(encoding="utf-8"))
    change(value)
    path.write_text(json.dumps(value), encoding="utf-8")


def crossed(value):
    ring = value["features"][0]["geometry"]["coordinates"][0]
    ring[1], ring[2] = ring[2], ring[1]


def go(top, tmp_path, out="out", **changes):
    ear = Ear()
    force = changes.pop("force", False)
    return run(top, tmp_path / out, wanted(tmp_path, **changes), ear, force=force), ear


def test_bad_sites_stop_no_other_and_each_says_why(many, titles, tmp_path):
    reply, ear = go(many, tmp_path)
    told = {each.site_id.partition("/")[2]: (each.code, str(each)) for each in reply.troubles}
    assert sorted(told) == ["broken", "crossing", "empty", "foreign", "newer", "no card"]
    assert {name: code for name, (code, _) in told.items()} == {
        "broken": 4, "crossing": 3, "empty": 4, "foreign": 3, "newer": 4, "no card": 3,
    }  # fmt: skip
    assert "zone lawn-0: the outline is not sound" in told["crossing"][1]
    assert "is not JSON" in told["broken"][1]
    assert "No such card" in told["no card"][1]
    assert all(str(tmp_path) not in text for _, text in told.values())
    table = {row["site_id"]: row for row in rows(tmp_path / "out", "sites")}
    assert len(table) == GOOD + len(told)
    for name, (_, text) in told.items():
        assert table[f"bad/{name}"]["trouble"] == text
        assert table[f"bad/{name}"]["zones"] == ""
    assert sum(trouble is not None for trouble in ear.troubles) == len(told)
    assert sum(row["trouble"] == "" for row in table.values()) == GOOD


def test_a_fault_of_ours_is_one_sites_trouble_and_says_no_more_than_where(
    few, titles, tmp_path, monkeypatch
):
    known = planned.plan_of

    def failing(site, *given, **more):
        if site.title == "Garden 7":
            raise ZeroDivisionError("of Mrs Reed at 1 Elm Row")
        return known(site, *given, **more)

    monkeypatch.setattr(planned, "plan_of", failing)
    reply, _ = go(few, tmp_path)
    (fault,) = (each for each in reply.troubles if each.frames)
    assert (fault.site_id, fault.code) == ("round-3/garden-07", 1)
    assert "a fault in lawnmap (ZeroDivisionError)" in str(fault)
    assert fault.frames[0] == "ZeroDivisionError"
    assert any("in failing" in each for each in fault.frames)
    assert "Reed" not in str(fault) + "".join(fault.frames)


def test_the_order_of_the_work_makes_no_difference(many, titles, tmp_path, monkeypatch):
    go(many, tmp_path, "one")
    real = folders.side_by_side

    def shuffled(work, tasks, workers):
        yield from real(work, random.Random(3).sample(tasks, len(tasks)), workers)

    monkeypatch.setattr(folders, "side_by_side", shuffled)
    go(many, tmp_path, "other")
    assert tables_of(tmp_path / "one") == tables_of(tmp_path / "other")


def test_a_second_run_works_out_only_what_failed(many, titles, tmp_path):
    go(many, tmp_path)
    before = tables_of(tmp_path / "out")
    titles.clear()
    _, ear = go(many, tmp_path)
    assert (ear.kept, ear.worked) == (GOOD, 6)
    assert titles == [CROSSING]  # the crossing one; the others cannot even be opened
    assert tables_of(tmp_path / "out") == before


CHANGES = {
    "its outline": lambda top: edit(
        garden(top, 5), lambda v: v["lawnmap"].update(title="Garden 5b")
    ),
    "its choices": lambda top: (garden(top, 5) / "specification.toml").write_text(
        gardens.CHOICES + "# changed\n", encoding="utf-8"
    ),
    "its record": lambda top: (garden(top, 5) / "record.csv").write_text("", encoding="utf-8"),
    "its closed days": lambda top: (garden(top, 5) / "closed.csv").write_text(
        "first,last,zone_id,kind,reason\n", encoding="utf-8"
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_only_a_site_that_changed_is_worked_out_again(few, titles, tmp_path, change):
    go(few, tmp_path)
    before = {row["site_id"]: row for row in rows(tmp_path / "out", "sites")}
    CHANGES[change](few)
    titles.clear()
    _, ear = go(few, tmp_path)
    assert ear.kept == FEW - 1
    after = {row["site_id"]: row for row in rows(tmp_path / "out", "sites")}
    other = {key for key, row in after.items() if row != before[key]}
    assert other <= {"round-1/garden-05"}


def test_a_changed_depot_another_day_and_afresh_work_everything_out_again(few, titles, tmp_path):
    go(few, tmp_path)
    with (few / "products.toml").open("a", encoding="utf-8") as stream:
        stream.write("# a note\n")
    assert go(few, tmp_path)[1].kept == 0
    later = gardens.TODAY.replace(day=21)
    assert go(few, tmp_path, today=later)[1].kept == 0
    assert go(few, tmp_path, today=later, afresh=True)[1].kept == 0


def test_a_run_that_is_stopped_goes_on_where_it_was(few, titles, tmp_path):
    go(few, tmp_path, "whole")

    class Stopping(Ear):
        def done(self, trouble):
            super().done(trouble)
            if self.worked == 4:
                raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(few, tmp_path / "out", wanted(tmp_path), Stopping())
    assert not list((tmp_path / "out").glob("*.csv"))
    _, ear = go(few, tmp_path)
    assert ear.kept == 4
    assert tables_of(tmp_path / "out") == tables_of(tmp_path / "whole")


def test_damage_to_what_is_kept_is_worked_out_again(few, titles, tmp_path):
    go(few, tmp_path)
    before = tables_of(tmp_path / "out")
    parts = sorted((tmp_path / "out" / ".parts").glob("*.json"))
    parts[0].write_bytes(parts[0].read_bytes()[:100])
    parts[1].write_bytes(parts[2].read_bytes())
    parts[3].unlink()
    _, ear = go(few, tmp_path)
    assert ear.kept == FEW - 3
    assert tables_of(tmp_path / "out") == before


def test_a_site_that_is_gone_is_forgotten(few, titles, tmp_path):
    go(few, tmp_path)
    (garden(few, 9) / "site.geojson").unlink()
    reply, ear = go(few, tmp_path)
    assert "round-1/garden-09" not in set(reply.tables["sites"]["site_id"])
    assert ear.kept == FEW - 1
    assert len(list((tmp_path / "out" / ".parts").glob("*.json"))) == FEW - 1


def test_a_site_that_changes_while_it_is_worked_out_is_not_kept(few, titles, tmp_path, monkeypatch):
    known = planned.plan_of

    def editing(site, *given, **more):
        if site.title == "Garden 4":
            (garden(few, 4) / "weather.csv").write_text("now\n", encoding="utf-8")
        return known(site, *given, **more)

    monkeypatch.setattr(planned, "plan_of", editing)
    go(few, tmp_path)
    assert len(list((tmp_path / "out" / ".parts").glob("*.json"))) == FEW - 1


def test_titles_that_a_spreadsheet_would_run_are_text(titles, tmp_path):
    top = gardens.depot(tmp_path / "gardens")
    gardens.write(top / "=cmd()", 1, title="=HYPERLINK(1)")
    gardens.write(top / "other", 2, title="Same")
    gardens.write(top / "another", 3, title="Same")
    go(top, tmp_path)
    raw = (tmp_path / "out" / "sites.csv").read_text(encoding="utf-8-sig")
    assert '"\'=cmd()","\'=HYPERLINK(1)"' in raw
    assert [row["title"] for row in rows(tmp_path / "out", "sites")] == [
        "=HYPERLINK(1)",
        "Same",
        "Same",
    ]


def test_a_region_in_the_header_counts_before_the_folder(titles, tmp_path):
    top = gardens.depot(tmp_path / "gardens")
    gardens.write(top / "north" / "a", 1, region="Upper town")
    gardens.write(top / "north" / "b", 2, region=7)
    gardens.write(top / "c", 3)
    go(top, tmp_path)
    assert [row["region"] for row in rows(tmp_path / "out", "sites")] == ["", "Upper town", "north"]


def test_each_site_has_the_nearest_depot_unless_one_is_given(titles, tmp_path):
    top = gardens.depot(tmp_path / "gardens")
    gardens.write(gardens.depot(top / "north") / "a", 1)
    gardens.write(top / "b", 2)
    go(top, tmp_path)
    assert [row["depot"] for row in rows(tmp_path / "out", "sites")] == ["gardens", "north"]
    go(top, tmp_path, depot=gardens.depot(tmp_path / "yard"))
    assert [row["depot"] for row in rows(tmp_path / "out", "sites")] == ["yard", "yard"]
    with pytest.raises(InputRefused, match="is not a folder"):
        go(top, tmp_path, depot=tmp_path / "none")


def test_links_are_noted(titles, tmp_path):
    top = gardens.depot(tmp_path / "gardens")
    gardens.write(top / "a", 1)
    (top / "loop").symlink_to(top, target_is_directory=True)
    reply, _ = go(top, tmp_path)
    assert len(reply.tables["sites"]) == 1
    assert reply.notes[0].startswith("1 folder that a link leads to, not looked into")


@pytest.mark.parametrize(
    ("out", "problem"),
    [
        ("gardens/a", "lies in the site a"),
        ("gardens/a/results/2026", "lies in the site a"),
        ("full", "holds something else already"),
        ("full/letter.txt", "is not a folder"),
    ],
)
def test_results_go_nowhere_where_facts_or_other_things_lie(titles, tmp_path, out, problem):
    gardens.write(tmp_path / "gardens" / "a", 1)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("Dear", encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(UsageProblem, match=problem):
        go(tmp_path / "gardens", tmp_path, out)
    assert sorted(tmp_path.rglob("*")) == before


def test_results_beside_other_things_when_that_is_meant(titles, tmp_path):
    gardens.write(tmp_path / "gardens" / "a", 1)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("Dear", encoding="utf-8")
    go(tmp_path / "gardens", tmp_path, "full", force=True)
    assert (tmp_path / "full" / "letter.txt").read_text(encoding="utf-8") == "Dear"
    assert rows(tmp_path / "full", "sites")[0]["site_id"] == "a"


def test_a_folder_without_a_site_makes_nothing(tmp_path):
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputRefused, match="holds no site"):
        go(tmp_path / "empty", tmp_path)
    with pytest.raises(InputRefused, match="there is no such folder or table"):
        go(tmp_path / "none", tmp_path)
    assert not (tmp_path / "out").exists()


def test_two_runs_never_write_into_one_folder(titles, tmp_path):
    gardens.write(tmp_path / "gardens" / "a", 1)
    go(tmp_path / "gardens", tmp_path)
    with locked(tmp_path / "out" / ".parts" / "lock"), pytest.raises(Busy):
        go(tmp_path / "gardens", tmp_path)


def test_few_sites_are_worked_out_by_one_process():
    assert workers_for(3, 0) == 1
    assert workers_for(10_000, 0) == (os.cpu_count() or 1)
    assert workers_for(3, 4) == 4
