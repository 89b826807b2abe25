"""An outing on the phone, from the code to the closing: the book holds what was called, every time."""

from __future__ import annotations

from collections import Counter

import pytest

from haulbook.custody.closing import open_things
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.ledger import account_of

pytestmark = pytest.mark.browser
OUTING = "2026-09-26-a"

FIRST = [
    "six atlantic silverside, back",
    "two stickleback, nine shore shrimp, straight back, no eels",
    "three grubby, bucket two",
    "four cunner, kept",
]


def animals(book, **wanted):
    """Animals of a book by taxon and place."""
    found = Counter()
    for lot in account_of(book).animals:
        found[lot.taxon, lot.place] += lot.n
    return found


def test_a_code_in_the_address_enrols_once_and_goes_out_of_it(beach, station):
    phone = beach(ready=False)
    phone.button("Take it along", exact=False).wait_for()
    assert "enrol" not in phone.page.url
    assert station.codes == set()


def test_a_code_the_station_does_not_take_is_said_with_what_to_do(beach):
    phone = beach(code="old-code", ready=False)
    phone.page.get_by_text("make a new one on the page Devices").wait_for()
    phone.page.get_by_label("Code").wait_for()


def test_calls_and_taps_become_the_book(beach):
    phone = beach()
    phone.start()
    for text in FIRST:
        phone.call(text)
    phone.tap("northern pipefish", 3)
    phone.settle()
    assert animals(phone.book())["northern-pipefish", "back"] == 3
    assert animals(phone.book())["cunner", "bucket 1"] == 4
    assert animals(phone.book())["grubby", "bucket 2"] == 3
    phone.page.locator(".understood").get_by_text(
        "1 northern pipefish back"
    ).wait_for()  # the last call was a tap
    phone.page.locator(".tile.just").filter(has_text="northern pipefish").wait_for()


DICTATED = [
    ("six atlantic silverside, back", {("atlantic-silverside", "back"): 6}),
    (
        "two fourspine stickleback, nine sand shrimp, straight back",
        {("fourspine-stickleback", "back"): 2, ("sand-shrimp", "back"): 9},
    ),
    ("three grubby, bucket two", {("grubby", "bucket 2"): 3}),
    ("four cunner, kept", {("cunner", "bucket 1"): 4}),
    ("a dozen mummichog, back", {("mummichog", "back"): 12}),
    ("one tautog, back", {("tautog", "back"): 1}),
    ("five sand shrimp, bucket three", {("sand-shrimp", "bucket 3"): 5}),
    (
        "two striped killifish, one of them dead",
        {("striped-killifish", "net"): 1, ("striped-killifish", "dead-back"): 1},
    ),
    ("seven threespine stickleback, back", {("threespine-stickleback", "back"): 7}),
    ("eleven atlantic silverside, back", {("atlantic-silverside", "back"): 11}),
    ("two rock gunnel, kept", {("rock-gunnel", "bucket 1"): 2}),
    ("one winter flounder, back", {("winter-flounder", "back"): 1}),
    ("three sand shrimp, dead", {("sand-shrimp", "dead-back"): 3}),
    ("eight fourspine stickleback, bucket two", {("fourspine-stickleback", "bucket 2"): 8}),
    ("ten hermit crab, back", {("pagurus", "back"): 10}),
    ("two tomcod, back", {("atlantic-tomcod", "back"): 2}),
    ("one cunner, about six centimetres, kept", {("cunner", "bucket 1"): 1}),
    ("four mummichog, back", {("mummichog", "back"): 4}),
    ("twenty sand shrimp, back", {("sand-shrimp", "back"): 20}),
    ("two grubby, back", {("grubby", "back"): 2}),
]
TAPPED = ["northern pipefish", "mummichog", "Atlantic silverside", "northern pipefish", "tautog"] * 4
KEYS = {
    "northern pipefish": "northern-pipefish",
    "mummichog": "mummichog",
    "Atlantic silverside": "atlantic-silverside",
    "tautog": "tautog",
}


def test_forty_calls_without_signal_with_a_reload_an_undo_sorting_and_closing_are_the_book(beach, station):
    phone = beach(worker=True)
    phone.until("navigator.serviceWorker.controller")
    expected = Counter()
    station.away = True
    phone.page.context.set_offline(True)
    phone.start()
    for i, (text, animals_called) in enumerate(DICTATED):
        phone.call(text)
        expected.update(animals_called)
        phone.tap(TAPPED[i])
        expected[KEYS[TAPPED[i]], "back"] += 1
        if i == 9:
            phone.settle()
            phone.page.reload()
            phone.until("window.haulbook?.opened")
    phone.call("thirty tautog, back")
    phone.call("scratch that")
    phone.call("two cunner, bucket two")
    phone.call("make that three")
    expected["cunner", "bucket 2"] += 3
    assert animals(phone.book()) == expected
    assert (
        phone.page.locator("#store")
        .inner_text()
        .startswith(f"{len(phone.entries())} lines only on this phone")
    )

    phone.end(1)
    phone.press("Sort")
    for place, verb in (
        ("Net", "Rest back"),
        ("Bucket 1, keep", "To cooler"),
        ("Bucket 2, sort", "All back"),
        ("Bucket 3, release", "All back"),
    ):
        phone.press(f"{place}: {verb}")
        phone.settle()
    phone.press("Close outing", exact=False)  # the cooler is not empty: it goes there
    assert phone.page.evaluate("document.activeElement.textContent") == "Into a tank"
    phone.page.keyboard.press("Enter")
    phone.page.get_by_label("Which tank?").fill("q1")
    phone.press("Into a tank")
    phone.settle()
    phone.press("Close outing")
    phone.page.get_by_text("Closed 13:2").wait_for()

    book = phone.book()
    places = Counter()
    for (taxon, place), n in expected.items():
        there = {"bucket 1": "tank q1", "dead-back": "dead-back"}.get(place, "back")
        places[taxon, there] += n
    assert animals(book) == places
    assert open_things(book, OUTING) == ()
    assert not [one for one in discrepancies(book) if one.settled is None]

    station.away = False
    phone.page.context.set_offline(False)
    phone.page.evaluate("window.haulbook.sync()")
    phone.page.get_by_text("Every line is at the station").wait_for()
    assert {entry.hash for entry in station.entries} == {entry.hash for entry in phone.entries()}
