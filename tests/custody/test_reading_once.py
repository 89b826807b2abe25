"""One way through a book reads what several readers read, and an outing alone reads the same of itself."""

from __future__ import annotations

import pytest

from haulbook.custody.book import Book, merge
from haulbook.custody.chains import ChainRow
from haulbook.custody.closing import open_things
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.ledger import account_of, balances
from haulbook.custody.papers import papers
from haulbook.custody.reading_chains import read_chains
from haulbook.custody.reading_once import read_once
from haulbook.custody.reading_outing import joined, open_of, read_outing

A, B = "2027-05-14-a", "2027-06-01-a"  # invented outings


@pytest.fixture
def books(make_phone):
    one, two = make_phone("d1"), make_phone("d2", outing=B)
    one.write("haul-landed", {"haul": f"{A}/1", "condition": 1})
    one.move("sea", "bucket 1", 6)
    one.move("sea", "back", 1, "?bleny")
    one.move("cooler 1", "tank q1", 2, "grubby")
    one.write("paper", {"permit": "EX-27-014", "act": "notice-sent"})
    two.move("sea", "back", 2, haul=f"{B}/1")
    two.move("tank q1", "bucket 1", 1, "grubby", haul=f"{A}/1")
    return one, two


def test_one_way_through_a_book_reads_what_each_reader_reads(books):
    book = merge(*(phone.book for phone in books))
    off = {"d1": 300.0}
    reading = read_once(book, clock_off_s=off)
    assert reading.account == account_of(book)
    assert reading.balances == balances(book)
    assert reading.discrepancies == discrepancies(book, clock_off_s=off)
    assert reading.open == {outing: open_things(book, outing, clock_off_s=off) for outing in (A, B)}
    assert reading.papers == papers(book)


def test_an_outing_without_a_haul_has_its_open_things_too(phone):
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "n": 1})
    assert [thing.key.partition(":")[0] for thing in read_once(phone.book).open[A]] == ["count-differs"]


def test_an_outing_reads_its_animals_wherever_they_are_and_its_own_places(books):
    reading = read_outing(merge(*(phone.book for phone in books)).entries, A)
    assert [haul.key for haul in reading.account.hauls] == [f"{A}/1"]
    assert {(row.outing, row.place, row.n) for row in reading.balances.rows if row.taxon == "grubby"} == {
        (A, "cooler 1", -2),
        (B, "bucket 1", 1),
        (None, "tank q1", 1),
    }
    assert [one.kind for one in reading.discrepancies] == ["below-zero", "name-open"]
    assert (reading.devices, len(reading.papers)) == (("d1",), 1)


def test_accounts_of_outings_are_put_together_in_the_order_of_the_book(books):
    book = merge(*(phone.book for phone in books))
    parts = [read_outing(book.entries, outing).account for outing in (B, A)]
    assert joined(parts) == account_of(book)
    assert joined([]) == account_of(Book())


def test_lengths_of_a_haul_that_nobody_told_of_are_kept_when_accounts_are_put_together(phone):
    phone.write("lengths", {"haul": f"{A}/1", "taxon": "cunner", "length_type": "total", "mm": [61]})
    assert joined([read_outing(phone.entries, A).account]) == account_of(phone.book)


def test_a_gap_is_read_from_the_links_alone_and_open_in_every_outing_its_device_wrote_in(phone):
    first, _, third = (phone.move("sea", "back", n) for n in (1, 2, 3))
    rows = [ChainRow(one.device, one.seq, one.hash, one.prev, one.id, one.outing) for one in (third, first)]
    (gap,) = read_chains(rows)
    assert (gap.key, gap.outing, gap.entries) == ("gap:d1 2-2", A, (third.id,))
    reading = read_outing([first, third], A)
    assert [thing.key for thing in open_of(reading, [gap])] == ["gap:d1 2-2"]
    phone.write("settled", {"key": gap.key, "answer": "the phone sank", "why": "seen by all"})
    (settled,) = read_chains(rows, [phone.entries[-1]])
    assert settled.settled == "the phone sank"
    assert open_of(reading, [settled]) == ()


def test_a_sign_off_that_speaks_of_more_than_is_here_shows_a_gap(phone):
    phone.move("sea", "back", 1)
    body = {"covers": {"d1": 4, "d9": 2}, "digest": "0" * 64, "role": "lead", "report_digests": []}
    signed = phone.write("outing-signed", body)
    rows = [tuple(getattr(one, name) for name in ChainRow._fields) for one in phone.entries]
    assert [one.key for one in read_chains(rows, [signed])] == ["gap:d1 3-4", "gap:d9 1-2"]
    assert [one.key for one in read_chains(rows, [signed], devices=["d1"])] == ["gap:d1 3-4"]
    phone.strike(signed)
    assert read_chains(rows, [signed, phone.entries[-1]]) == ()


def test_born_animals_that_a_tank_gave_too_many_of_are_no_part_of_what_came_out_of_the_sea(phone):
    born = phone.next_id()
    line = {"from": "born", "to": "tank q1", "n": 1, "taxon": "cunner", "haul": born}
    phone.write("move", {"lines": [line]}, outing=None, id=born)
    phone.move("tank q1", "dead-kept", 3, haul=born, outing=None)
    assert account_of(phone.book).short == ()
    assert [one.kind for one in discrepancies(phone.book)] == ["below-zero"]


def test_animals_that_were_renamed_among_the_lost_without_having_been_lost_are_asked_about(phone):
    renamed = phone.rename("lost", 1, "cunner", "tautog")
    keys = [thing.key for thing in open_things(phone.book, A) if thing.kind == "fate-unknown"]
    assert keys == [f"fate-unknown:{renamed.id}"]
