"""What was pressed or said is in the book, waits to be, or is loudly not: never quietly gone."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


def test_a_full_phone_says_so_loudly_and_stores_when_there_is_room_again(beach):
    phone = beach()
    phone.start()
    before = len(phone.entries())
    phone.fill_up()
    phone.tap("tautog", 2)
    loud = phone.page.get_by_role("alert").filter(has_text="2 lines are not stored.")
    loud.wait_for()
    assert "Do not close this page" in loud.inner_text()
    assert len(phone.entries()) == before
    assert (
        phone.page.locator(".tile").filter(has_text="tautog").locator(".count").inner_text() == "+12"
    )  # +1, 2
    phone.free()
    phone.press("Store again")
    loud.wait_for(state="detached")
    assert len(phone.entries()) == before + 2


def test_what_stood_in_the_line_is_there_after_a_reload(beach):
    phone = beach()
    phone.start()
    phone.page.get_by_label("A call", exact=True).fill("three grubby, bu")
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    assert phone.page.get_by_label("A call", exact=True).input_value() == "three grubby, bu"


def test_open_questions_and_notices_outlive_a_reload(beach):
    phone = beach()
    phone.start()
    phone.call("two pipefish, back, one corner")
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    phone.page.get_by_text("Entered: 2 northern pipefish back").wait_for()
    phone.press("cunner", exact=False)
    phone.settle()
    phone.call("one atlantic salmon")
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    phone.page.get_by_text("Let it go now").wait_for()


def test_only_on_this_phone_is_counted_with_its_age_until_the_station_has_it(beach, station):
    phone = beach()
    station.away = True
    phone.start()
    phone.tap("tautog")
    phone.settle()
    phone.page.clock.run_for(5 * 60_000 + 20_000)
    line = phone.page.locator("#store")
    phone.page.get_by_text("only on this phone, oldest 5 min").wait_for()
    station.away = False
    phone.page.evaluate(
        "async () => { while ((await window.haulbook.sync()).unsent); }"
    )  # one may be under way
    line.get_by_text("Every line is at the station").wait_for()


def test_a_copy_holds_every_line_and_can_be_brought_in(beach):
    phone = beach()
    phone.start()
    phone.tap("tautog", 2)
    phone.settle()
    phone.press("More")
    phone.press("What is only on this phone")
    with phone.page.expect_download() as download:
        phone.press("Save a copy")
    lines = download.value.path().read_text(encoding="utf-8").splitlines()
    assert len(lines) == len(phone.entries())
    phone.page.locator("input[type=file]").set_input_files(
        {"name": "copy.jsonl", "mimeType": "text/plain", "buffer": ("\n".join(lines) + "\n").encode()}
    )
    phone.page.get_by_text("All lines of it were here already.").wait_for()


def test_a_second_tab_is_said(beach):
    phone = beach()
    other = phone.page.context.new_page()
    other.faults = []
    other.goto(phone.station.url)
    phone.page.get_by_text("open a second time on this phone").wait_for()
    other.close()


def test_a_line_of_another_device_appears_and_a_rejected_one_is_shown(beach, station):
    phone = beach()
    phone.start()
    phone.tap("tautog")
    phone.settle()
    phone.page.evaluate("window.haulbook.sync()")
    phone.page.get_by_text("Every line is at the station").wait_for()
    assert len(station.entries) == len(phone.entries())


def test_a_page_over_plain_http_says_that_it_must_stay_open(beach, station, monkeypatch):
    phone = beach(go=False)
    phone.page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    phone.page.goto(station.url)
    phone.page.get_by_text("This page has no lock").wait_for()
