"""Comments and agreement on the shared map: from a browser to a file to the site."""

import json
import re

import pytest

from lawnmap.errors import InputRefused
from lawnmap.exports.map.comments import about, issued_id
from lawnmap.exports.map.page import render
from lawnmap.files.admit import Source, admit
from lawnmap.jobs import said
from lawnmap.jobs.reply import read_reply
from lawnmap.jobs.start import start
from lawnmap.pages.words import word
from lawnmap.store import site as site_store
from tests.exports.papers import paper

browser = pytest.mark.browser
SITE_ID = "0123456789abcdef"
HEADER = {"site_id": SITE_ID, "revision": 3}
TYPED = "Mind <b>the</b> bulbs\nby ‘the’ gate \U0001f337"


def opened_map(opened, **changes):
    return opened(render(paper(header=HEADER, **changes)))


def labelled(where, key):
    return where.get_by_label(word(f"comments.{key}"))


def write(page):
    """Comment on the plan and on one zone, agree to both, one of them on a condition."""
    section = page.get_by_role("region", name=word("comments.title"))
    labelled(section, "name").fill("Ben Example")
    labelled(section, "whole").fill(TYPED)
    section.get_by_role("checkbox").check()
    page.locator("tr[data-zone='6'] button").click()
    panel = page.get_by_role("dialog")
    panel.get_by_text(word("comments.open")).click()
    labelled(panel, "zone").fill("Not on the bank")
    panel.get_by_role("checkbox").check()
    labelled(panel, "conditions").fill("after the party")
    page.get_by_role("button", name="Close").click()
    return section


def saved(page, section, tmp_path):
    with page.expect_download() as coming:
        section.get_by_role("button", name=word("comments.save")).click()
    path = tmp_path / coming.value.suggested_filename
    coming.value.save_as(path)
    return path


@pytest.fixture
def garden(tmp_path):
    folder = start(tmp_path / "garden", title="Hollin Court").folder
    site = site_store.load(folder).with_header(site_id=SITE_ID)
    site_store.save(folder, site)
    return folder


def test_who_is_asked():
    assert about(paper(audience="crew")) is None
    assert b"Your comments" not in render(paper(audience="crew"))
    for audience in ("client", "public", "owner"):
        assert about(paper(audience=audience, header=HEADER))["site"]["id"] == SITE_ID


@pytest.mark.parametrize(
    ("issued", "expected"),
    [("3f2a9c41d07e, 2027-08-02", "3f2a9c41d07e"), ("", ""), ("Trial", ""), ("3f2a9c41d07ef", "")],
)
def test_the_id_of_the_plan_that_is_shown(issued, expected):
    assert issued_id(paper(issued=issued)) == expected


@browser
def test_comments_come_back_as_a_file_that_is_read(opened, tmp_path, garden):
    seen = opened_map(opened)
    section = write(seen.page)
    path = saved(seen.page, section, tmp_path)
    assert re.fullmatch(r"comments-hollin-court-\d{4}-\d\d-\d\d-[0-9a-f]{8}\.json", path.name)
    assert seen.console == []
    assert seen.dialogs == []
    read = read_reply(admit(path), garden.path)
    assert (read.kept, read.saved) == (True, False)
    assert (read.reply.kind, read.reply.by, read.reply.revision) == ("comments", "Ben Example", 3)
    texts = {each["zone_id"]: each["text"] for each in read.reply.comments}
    assert texts == {"": TYPED, "z6": "Not on the bank"}
    agreed = {each["zone_id"]: each for each in read.reply.agreements}
    assert agreed["z6"]["conditions"] == "after the party"
    assert {each["issued"] for each in agreed.values()} == {"3f2a9c41d07e"}
    assert {each["name"] for each in agreed.values()} == {"Ben Example"}
    assert any("has not issued" in text for text in read.warnings)
    told, _ = said.said(garden)
    assert any("on condition: after the party" in each.what for each in told)


@browser
def test_the_same_as_text_out_of_a_mail(opened, tmp_path, garden):
    page = opened_map(opened).page
    page.evaluate("""() => {
      Object.defineProperty(navigator, 'clipboard', { value: undefined });
      document.execCommand = () => false;
    }""")
    section = write(page)
    section.get_by_role("button", name=word("comments.copy")).click()
    text = section.get_by_role("textbox", name=word("comments.copy")).input_value()
    assert "7. Great lawn: agreed by Ben Example (3f2a9c41d07e); on condition: after" in text
    quoted = "\n".join(f"> {line}" for line in text.splitlines()).encode()
    source = Source("mail.txt", quoted, "reply")
    assert read_reply(source, garden.path).reply.comments[0]["text"] == TYPED
    path = saved(page, section, tmp_path)
    assert json.loads(path.read_text(encoding="utf-8"))["lawnmap_reply"] == 1


@browser
def test_what_was_written_is_there_when_the_page_is_opened_again(opened):
    page = opened_map(opened).page
    write(page)
    page.reload()
    section = page.get_by_role("region", name=word("comments.title"))
    assert labelled(section, "name").input_value() == "Ben Example"
    assert labelled(section, "whole").input_value() == TYPED
    assert "7. Great lawn: Not on the bank" in section.locator(".written").inner_text()
    assert page.locator(".written b").count() == 0


@browser
def test_a_device_that_keeps_nothing_is_told_of(opened):
    data = render(paper(header=HEADER))
    page = opened(data).page
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
    )
    page.reload()
    assert page.get_by_text(word("comments.not_kept")).is_visible()
    assert page.locator("path.zone.leaflet-interactive").count() == 12


@browser
def test_nobody_agrees_to_a_trial_copy_or_without_a_name(opened):
    page = opened_map(opened, issued="").page
    section = page.get_by_role("region", name=word("comments.title"))
    assert section.get_by_text(word("comments.trial")).is_visible()
    assert section.get_by_role("checkbox").count() == 0
    save = section.get_by_role("button", name=word("comments.save"))
    save.click()
    assert section.get_by_text(word("comments.nothing")).is_visible()
    labelled(section, "whole").fill("Fine")
    save.click()
    assert section.get_by_text(word("comments.no_name")).is_visible()


@browser
def test_without_scripts_there_is_nothing_to_fill_in(opened):
    page = opened(render(paper(header=HEADER)), java_script_enabled=False).page
    assert page.locator("section.comments").is_hidden()


@browser
def test_a_reply_of_another_map_is_refused(opened, tmp_path, garden):
    page = opened(render(paper(header={"site_id": "f" * 16, "revision": 1}))).page
    path = saved(page, write(page), tmp_path)
    with pytest.raises(InputRefused, match="another site"):
        read_reply(admit(path), garden.path)
