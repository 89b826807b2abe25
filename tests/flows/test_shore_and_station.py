"""Whole outings, from the lead's plan to the station's book: it holds what was called, whatever happens on the way."""

from __future__ import annotations

import os
import re
import signal
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from haulbook.custody.closing import open_things
from haulbook.custody.discrepancies import discrepancies

pytestmark = pytest.mark.browser
SPOKEN = [
    ("six atlantic silverside, back", {("atlantic-silverside", "back"): 6}),
    (
        "two fourspine stickleback, nine sand shrimp, straight back",
        {("fourspine-stickleback", "back"): 2, ("sand-shrimp", "back"): 9},
    ),
    ("three grubby, bucket two", {("grubby", "bucket 2"): 3}),
    ("one cunner, kept", {("cunner", "bucket 1"): 1}),
    ("a dozen mummichog, back", {("mummichog", "back"): 12}),
    ("one tautog, back", {("tautog", "back"): 1}),
    ("five sand shrimp, bucket three", {("sand-shrimp", "bucket 3"): 5}),
    (
        "two striped killifish, one of them dead",
        {("striped-killifish", "net"): 1, ("striped-killifish", "dead-back"): 1},
    ),
    ("seven threespine stickleback, back", {("threespine-stickleback", "back"): 7}),
    ("eleven atlantic silverside, back", {("atlantic-silverside", "back"): 11}),
    ("two hermit crab, kept", {("pagurus", "bucket 1"): 2}),
    ("one winter flounder, back", {("winter-flounder", "back"): 1}),
    ("one sand shrimp, dead", {("sand-shrimp", "dead-back"): 1}),
    ("eight fourspine stickleback, bucket two", {("fourspine-stickleback", "bucket 2"): 8}),
    ("ten hermit crab, back", {("pagurus", "back"): 10}),
    ("two tomcod, back", {("atlantic-tomcod", "back"): 2}),
    ("one cunner, about six centimetres, kept", {("cunner", "bucket 1"): 1}),
    ("four mummichog, back", {("mummichog", "back"): 4}),
    ("twenty sand shrimp, back", {("sand-shrimp", "back"): 20}),
    ("two grubby, back", {("grubby", "back"): 2}),
]  # fmt: skip
"""Half of forty calls: spoken into the phone's keyboard, or typed; with what each means."""
TAPPED = ["northern pipefish", "mummichog", "Atlantic silverside", "tautog"] * 5
KEYS = {name: name.lower().replace(" ", "-") for name in TAPPED}


def forty_calls(phone, between=None):
    """Call and tap forty times, in turn; what was called, by taxon and place. ``between`` {pair: what happens then}."""
    expected = Counter()
    for i, (text, meant) in enumerate(SPOKEN):
        phone.call(text)
        phone.tap(TAPPED[i])
        expected.update(meant)
        expected[KEYS[TAPPED[i]], "back"] += 1
        if between and i in between:
            phone.settle()
            between[i]()
    phone.settle()
    return expected


def all_home(station, phone, outing):
    """The exported book; every line of the phone is in it once, and its chain is whole."""
    book = station.book()
    mine = [one for one in book.entries if one.outing == outing]
    assert {one.hash for one in mine} == {one.hash for one in phone.entries() if one.outing == outing}
    assert len(mine) == len({one.id for one in mine})
    return book


def test_an_outing_planned_called_without_signal_sorted_closed_and_signed(station, desk, phone_of, reckoned):
    phone = phone_of()
    code = desk.invite("the orange one")
    outing = desk.plan()
    device = phone.enrol(code, outing)
    phone.context.set_offline(True)
    phone.start()

    def second_tab():
        tab = phone.tab(phone.url)
        first, phone.page = phone.page, tab
        phone.opened()
        phone.call("three tautog, back")
        first.get_by_text("open a second time on this phone").wait_for()
        tab.close()
        phone.page = first

    expected = forty_calls(phone, {6: phone.reload, 13: second_tab})
    expected["tautog", "back"] += 3
    phone.call("thirty tautog, back")
    phone.call("scratch that")
    phone.call("two cunner, bucket two")
    phone.call("make that three")
    expected["cunner", "bucket 2"] += 3
    phone.press("More", exact=True)
    phone.press("All lines, strike older ones")
    phone.press("Strike this: 12 mummichog")
    phone.settle()
    expected["mummichog", "back"] -= 12
    phone.press("Return")
    phone.press("Return")
    home = {one.id for one in station.book().entries}  # what went out, or came in, while there was a signal
    here = f"{len({one.id for one in phone.entries()} - home)} lines only on this phone"
    phone.page.locator("#store").get_by_text(here).first.wait_for()

    phone.end(1)
    phone.press("2 sort")  # the bucket
    phone.press("grubby: Move")
    phone.page.get_by_label("How many?").fill("2")
    phone.press("Bucket 3")
    phone.settle()
    phone.press("Return")
    phone.press("Sort", exact=True)
    for verb in (
        "Net: Rest back",
        "Bucket 1, keep: To cooler",
        "Bucket 2, sort: All back",
        "Bucket 3, release: All back",
    ):
        phone.press(verb)
        phone.settle()
    phone.press("Leaves the beach")
    phone.page.get_by_label("Water, °C").fill("14.5")
    phone.press("It leaves now")
    phone.press("Into a tank")
    phone.page.get_by_label("Which tank?").fill("q1")
    phone.press("Into a tank")
    phone.settle()
    phone.press("Close outing", exact=True)
    phone.page.get_by_text("Closed 09:").wait_for()

    phone.context.set_offline(False)
    phone.home()
    book = all_home(station, phone, outing)
    there = {"bucket 1": "tank q1", "dead-back": "dead-back"}
    placed = Counter()
    for (taxon, place), n in expected.items():
        placed[taxon, there.get(place, "back")] += n
    assert reckoned(book, outing) == +placed
    assert open_things(book, outing) == ()
    assert not [one for one in discrepancies(book) if one.outing == outing and one.settled is None]
    assert {one.device for one in book.entries if one.outing == outing} == {device}

    desk.go(f"/outing/{outing}/")
    out, kept = sum(placed.values()), sum(n for (_, place), n in placed.items() if place == "tank q1")
    said = desk.page.get_by_role("row", name="All animals").inner_text().split()
    assert said.count(str(out)) == 3, said  # haul 1, out of the sea, accounted for
    assert str(kept) in said
    desk.page.get_by_role("link", name="Read and sign").click()
    desk.press("Sign")
    desk.page.wait_for_url(re.compile(rf"/outing/{outing}/$"))
    desk.page.get_by_role("link", name="What was signed").wait_for()


def kill_all_of(profile):
    """SIGKILL every process of the browser with this profile: no page is asked, nothing is flushed."""
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            words = path.read_bytes().split(b"\0")
        except OSError:
            continue
        if any(str(profile).encode() in word for word in words):
            found.append(int(path.parent.name))
    assert len(found) > 1, "the browser, and the processes that it made"
    for pid in found:
        try:
            os.kill(pid, signal.SIGKILL)
        except ProcessLookupError:
            continue


def test_every_process_killed_the_clock_set_back_and_a_full_phone(
    station, desk, phone_of, reckoned, wire, driver, chromium_path, tmp_path, now
):
    profile = tmp_path / "profile"
    options = {"executable_path": chromium_path, "args": ["--no-sandbox", "--disable-gpu", "--disable-sync"]}

    def switched_on(at):
        return phone_of(driver.chromium.launch_persistent_context(str(profile), **options), at)

    code, outing = desk.invite("the old one"), desk.plan()
    phone = switched_on(now)
    phone.enrol(code, outing)
    wire.up = False
    phone.start()
    expected = Counter()
    for text, meant in SPOKEN[:10]:
        phone.call(text)
        expected.update(meant)
    phone.tap("mummichog", 4)
    phone.settle()
    expected["mummichog", "back"] += 4
    kill_all_of(profile)

    phone = switched_on(now - timedelta(days=1))  # and its clock went back a day meanwhile
    phone.open()
    assert phone.count("mummichog") == 16
    for text, meant in SPOKEN[10:]:
        phone.call(text)
        expected.update(meant)
    phone.fill_up()
    phone.tap("tautog", 6)
    phone.page.get_by_role("alert").filter(has_text="6 lines are not stored.").wait_for()
    phone.free()
    phone.press("Store again")
    phone.page.get_by_role("alert").filter(has_text="not stored").wait_for(state="detached")
    phone.tap("northern pipefish", 10)
    phone.settle()
    expected.update({("tautog", "back"): 6, ("northern-pipefish", "back"): 10})
    kill_all_of(profile)

    phone = switched_on(now)
    phone.open()
    wire.up = True
    phone.home()
    assert reckoned(all_home(station, phone, outing), outing) == expected
    phone.context.close()


@pytest.mark.parametrize("lost", ["asked", "answered"])
def test_the_station_is_killed_while_a_phone_sends(station, desk, phone_of, reckoned, wire, lost):
    """The request never heard, or stored with its answer lost: either way each line is in the book once."""
    code, outing = desk.invite("the blue one"), desk.plan()
    phone = phone_of()
    phone.enrol(code, outing)
    phone.start()

    def dies():
        wire.lose, wire.at_loss = [lost], station.kill
        phone.until("window.haulbook.sync().then((state) => state.problem?.what === 'contact')")
        assert station.process.returncode == -signal.SIGKILL

    def comes_back():
        station.start()
        phone.home()

    expected = forty_calls(phone, {7: dies, 13: comes_back})
    phone.home()
    assert reckoned(all_home(station, phone, outing), outing) == expected


def test_two_phones_on_one_outing_one_keeps_and_the_lead_settles_what_both_called(
    station, desk, phone_of, reckoned
):
    keeper, other = phone_of(), phone_of()
    codes = [desk.invite("the keeper's"), desk.invite("the other")]
    first = desk.plan()
    key = keeper.enrol(codes[0], first)
    outing = desk.plan(keeper=key)
    keeper.press("More", exact=True)
    keeper.press("Another outing")
    keeper.press(f"{outing}: Take it along")
    keeper.start()
    other_key = other.enrol(codes[1], outing, first="End haul")
    keeper.home()
    other.sync()
    other.button("Kept ask the keeper").wait_for()
    keeper.call("four hermit crab, kept")
    keeper.call("nine sand shrimp, back")
    other.call("two hermit crab, kept")
    other.page.locator(".understood").get_by_text(f"Ask the keeper ({key}) before it is kept").wait_for()
    other.call("nine sand shrimp, back")
    other.call("five mummichog, back")
    keeper.home()
    other.home()
    keeper.home()

    book = station.book()
    assert reckoned(book, outing) == {
        ("pagurus", "bucket 1"): 6, ("sand-shrimp", "back"): 18, ("mummichog", "back"): 5,
    }  # fmt: skip
    twice = [one for one in discrepancies(book) if one.outing == outing and one.kind == "double-count"]
    assert sorted((one.expected, one.found) for one in twice) == [(4, 6), (9, 18)]

    desk.settle(outing, "called 9 sand shrimp", f"{other_key}: nine sand shrimp", "the same nine")
    desk.settle(outing, "called 2 hermit crab", "Both stand", "two lots")
    book = station.book()
    assert reckoned(book, outing)["sand-shrimp", "back"] == 9
    assert not [one for one in discrepancies(book) if one.outing == outing and one.settled is None]
    keeper.sync()
    other.sync()
    assert (keeper.count("sand shrimp"), other.count("sand shrimp")) == (9, 9)
