"""A first reading of a large book is made beside the page, which says so; nothing is read while others write."""

from __future__ import annotations

import threading

import pytest

from haulbook.station.store import aside, readings

PAGES = ["/season/", "/permits/", "/report/SC-24-031/", "/plan/", "/kept/what-kills/", "/bed/"]


@pytest.fixture
def jobs(monkeypatch):
    """What would be done beside the pages of a large station, waiting to be done."""
    waiting = []
    monkeypatch.setattr(readings, "AT_ONCE", 0)
    monkeypatch.setattr(aside, "work", lambda key, make: waiting.append(make))
    monkeypatch.setattr(readings, "_remembered", {})
    readings.Reading.objects.filter(kind=readings.WHOLE).delete()
    return waiting


@pytest.mark.parametrize("address", PAGES)
def test_a_first_look_is_told_that_it_is_being_made_and_opens_when_it_is(lead, jobs, address):
    answer = lead.get(address)
    assert answer.status_code == 503
    assert (answer["Refresh"], answer["Retry-After"]) == ("3", "3")
    assert b"Being added up" in answer.content
    assert b"This is added up from every line of the book" in answer.content
    for _ in range(10):  # a page may be made of more than one reading
        while jobs:
            jobs.pop()()
        if lead.get(address).status_code == 200:
            return
    raise AssertionError("it never opened")


def test_a_script_is_told_in_the_one_shape(lead, jobs):
    answer = lead.get("/season/", headers={"accept": "application/json"})
    assert (answer.status_code, answer["Retry-After"]) == (503, "3")
    (problem,) = answer.json()["problems"]
    assert problem["message"].startswith("This is added up from every line of the book")


def test_who_sends_a_form_waits_instead_of_losing_it(lead, jobs):
    answer = lead.post("/plan/new/", {"date": ""})
    assert answer.status_code == 400
    assert b"Being added up" not in answer.content


def test_what_went_wrong_beside_the_page_is_told_to_the_next_who_asks(caplog):
    def make():
        raise RuntimeError("no room")

    with aside.somebody_waits():
        with pytest.raises(aside.BeingMade):
            aside.first("a test", make)
        for thread in threading.enumerate():
            if thread.name == "aside a test":
                thread.join(10)
        with pytest.raises(RuntimeError, match="no room"):
            aside.first("a test", make)
        with pytest.raises(aside.BeingMade):
            aside.first("a test", make)
    assert "a test could not be made beside the pages" in caplog.text


def test_the_account_is_made_with_no_cursor_open(db, monkeypatch):
    """With one open, SQLite refuses whoever writes behind another's commit: "database is locked"."""
    readings.Reading.objects.filter(kind=readings.OUTING).update(position=-1)
    fetched = []
    real = readings._kept
    monkeypatch.setattr(readings, "_kept", lambda row, read: fetched.append(row.key) or real(row, read))
    made = []
    real_make = readings._make_outing
    monkeypatch.setattr(
        readings,
        "_make_outing",
        lambda key: made.append((key, len(fetched))) or real_make(key),
    )
    account = readings.account()
    assert account.animals
    assert {n for _key, n in made} == {len(readings.outings())}


def test_a_reading_stays_in_memory_only_while_its_text_is_the_same(db):
    key = readings.outings()[0]
    before = readings.outing(key)
    assert readings.outing(key) is before
    row = readings.Reading.objects.get(kind=readings.OUTING, key=key)
    row.body = row.body + " "
    row.save()
    again = readings.outing(key)
    assert again is not before
    assert again == before
