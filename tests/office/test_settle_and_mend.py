"""What stands open and the lines that settle it; mending by further lines. Outings are invented."""

from __future__ import annotations

from itertools import count

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.ledger import balances
from haulbook.custody.reading_outing import read_outing
from haulbook.office import mend
from haulbook.office.pen import Pen, ahead
from haulbook.office.settle import matters
from haulbook.office.settled_by import Told, settled_by
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/3"
NOW = "2027-05-15T10:00:00-04:00"


class Phone:
    """A phone that writes one line a minute."""

    def __init__(self, device="d1"):
        self.device, self.drafts = device, []

    def write(self, kind, body):
        key = uuid8(f"{self.device} {len(self.drafts)}".encode())
        at = f"2027-05-14T07:{len(self.drafts):02d}:00-04:00"
        self.drafts.append(Draft(key, at, at, "p3", OUTING, kind, body))
        return key

    def move(self, n, start, to, taxon="grubby", **more):
        line = {"from": start, "to": to, "n": n, "taxon": taxon, "haul": HAUL, **more}
        return self.write("move", {"lines": [line], "text": f"{n} {taxon}"})

    def entries(self):
        return chain(self.drafts, self.device)


def book_of(*phones):
    return Book.of(entry for phone in phones for entry in phone.entries())


def pen():
    number = count()
    return Pen(OUTING, "p1", NOW, lambda: uuid8(f"pen {next(number)}".encode()))


def open_in(book):
    reading = read_outing(book.entries, OUTING)
    return matters(reading, reading.open, {entry.id: entry for entry in book.entries})


def settled(book, matter, way, **told):
    chosen = next(one for one in matter.ways if one.kind == way)
    return ahead(book, settled_by(book, matter, chosen, Told(**told), pen()))


def animals(book):
    found = {}
    for lot in read_outing(book.entries, OUTING).account.animals:
        found[lot.place] = found.get(lot.place, 0) + lot.n
    return found


@pytest.fixture
def phone():
    """Five grubby called, three put back, one kept: one is still in the net."""
    one = Phone()
    one.write("place", {"place": "bucket 1", "act": "set-up", "purpose": "keep"})
    one.write("haul-landed", {"haul": HAUL, "condition": 1})
    one.move(5, "sea", "net")
    one.move(3, "net", "back")
    one.move(1, "net", "bucket 1")
    return one


def test_animals_in_the_net_and_in_the_keep_bucket_are_two_matters_with_their_own_first_way(phone):
    bucket, net = open_in(book_of(phone))
    assert (bucket.place, bucket.n, bucket.kept, bucket.ways[0].kind) == ("bucket 1", 1, True, "tank")
    assert (net.place, net.n, net.kept) == ("net", 1, False)
    assert [way.kind for way in net.ways] == ["back", "dead-back", "fewer", "dead-kept", "tank", "lost"]


@pytest.mark.parametrize(
    ("way", "told", "where"),
    [
        ("back", {}, {"back": 4, "bucket 1": 1}),
        ("dead-back", {}, {"back": 3, "bucket 1": 1, "dead-back": 1}),
        ("dead-kept", {}, {"back": 3, "bucket 1": 1, "dead-kept": 1}),
        ("lost", {"cause": "jumped out"}, {"back": 3, "bucket 1": 1, "lost": 1}),
        ("tank", {"tank": "q1"}, {"back": 3, "bucket 1": 1, "tank q1": 1}),
        ("fewer", {}, {"back": 3, "bucket 1": 1}),
    ],
)
def test_each_way_puts_the_animal_where_it_says_and_nothing_else_moves(phone, way, told, where):
    book = book_of(phone)
    after = settled(book, open_in(book)[1], way, **told)
    assert animals(after) == where
    assert [one.place for one in open_in(after) if one.kind == "animals"] == ["bucket 1"]


def test_put_back_not_called_is_written_as_of_the_beach_so_that_it_is_no_release_after_captivity(phone):
    phone.write("place", {"place": "bucket 1", "act": "left-beach"})
    book = book_of(phone)
    bucket = next(one for one in open_in(book) if one.place == "bucket 1")
    after = settled(book, bucket, "back")
    lots = [lot for lot in read_outing(after.entries, OUTING).account.animals if lot.place == "back"]
    assert sum(lot.n for lot in lots) == 4
    assert not any(lot.later for lot in lots)


def test_a_loss_without_its_cause_is_refused(phone):
    book = book_of(phone)
    with pytest.raises(Refusal, match="say how they were lost"):
        settled(book, open_in(book)[1], "lost")


def test_no_more_can_be_settled_than_stand_there(phone):
    book = book_of(phone)
    with pytest.raises(Refusal, match="from 1 to 1 of them"):
        settled(book, open_in(book)[1], "back", n=2)


def test_a_bucket_with_several_kinds_is_emptied_together():
    one = Phone()
    one.write("place", {"place": "bucket 2", "act": "set-up", "purpose": "hold"})
    one.move(4, "sea", "bucket 2", "cunner")
    one.move(2, "sea", "bucket 2", "rock-gunnel")
    book = book_of(one)
    (bucket,) = open_in(book)
    assert (bucket.n, len(bucket.held)) == (6, 2)
    after = settled(book, bucket, "back")
    assert animals(after) == {"back": 6}
    assert open_in(after) == ()


def test_a_place_that_gave_too_many_is_mended_by_the_line_that_was_not_called():
    one = Phone()
    one.move(2, "sea", "net")
    one.move(3, "net", "back")
    book = book_of(one)
    (short,) = open_in(book)
    assert (short.kind, short.n) == ("below-zero", 1)
    after = settled(book, short, "arrived")
    assert animals(after) == {"back": 3}
    assert open_in(after) == ()


def test_two_phones_that_called_the_same_animals_are_settled_either_way():
    one, other = Phone("d1"), Phone("d2")
    one.move(4, "sea", "back")
    other.move(4, "sea", "back")
    book = book_of(one, other)
    (twice,) = open_in(book)
    both = settled(book, twice, "stand", why="two ends of the net")
    assert (animals(both), open_in(both)) == ({"back": 8}, ())
    once = settled(book, twice, "strike", why="the same fish")
    assert (animals(once), open_in(once)) == ({"back": 4}, ())


def test_a_count_that_found_too_few_is_mended_by_saying_where_they_went():
    one = Phone()
    one.write("place", {"place": "bucket 1", "act": "set-up", "purpose": "hold"})
    one.move(5, "sea", "bucket 1")
    one.write("counted-again", {"place": "bucket 1", "taxon": "grubby", "n": 3})
    book = book_of(one)
    differs = next(matter for matter in open_in(book) if matter.kind == "count-differs")
    assert differs.n == 2
    for way, told in (("lost", {"cause": "jumped out"}), ("back", {}), ("recount", {"n": 5})):
        after = settled(book, differs, way, **told)
        assert not [matter for matter in open_in(after) if matter.kind == "count-differs"], way


def test_a_count_that_found_too_many_is_mended_by_the_line_that_was_never_called():
    one = Phone()
    one.write("haul-landed", {"haul": HAUL, "condition": 1})
    one.write("place", {"place": "bucket 1", "act": "set-up", "purpose": "hold"})
    one.move(5, "sea", "bucket 1")
    one.write("counted-again", {"place": "bucket 1", "taxon": "grubby", "n": 6})
    book = book_of(one)
    differs = next(matter for matter in open_in(book) if matter.kind == "count-differs")
    after = settled(book, differs, "arrived")
    assert animals(after) == {"bucket 1": 6}
    assert not [matter for matter in open_in(after) if matter.kind == "count-differs"]


def test_a_bucket_to_hold_that_left_the_beach_is_said_to_be_to_keep_or_not_to_have_left():
    one = Phone()
    one.write("place", {"place": "bucket 2", "act": "set-up", "purpose": "hold"})
    one.move(2, "sea", "bucket 2")
    one.write("place", {"place": "bucket 2", "act": "left-beach"})
    book = book_of(one)
    fixed = next(matter for matter in open_in(book) if matter.kind == "unaccounted")
    after = settled(book, fixed, "keep")
    assert not [matter for matter in open_in(after) if matter.kind == "unaccounted"]
    left = settled(book, fixed, "not-left")
    assert not [matter for matter in open_in(left) if matter.kind == "unaccounted"]


def test_a_fate_unknown_is_confirmed():
    one = Phone()
    one.move(2, "sea", "net")
    one.move(2, "net", "lost", cause="the net tore")
    book = book_of(one)
    (unknown,) = open_in(book)
    assert (unknown.kind, unknown.blocks) == ("fate-unknown", False)
    assert open_in(settled(book, unknown, "confirm")) == ()


@pytest.fixture
def called():
    one = Phone()
    one.calls = [one.move(5, "sea", "net"), one.move(3, "net", "back"), one.move(2, "net", "bucket 1")]
    return one


def test_make_it_seven_leaves_two_in_the_net_and_the_first_call_readable(called):
    book = book_of(called)
    after = ahead(book, mend.make_it(book, called.calls[0], [7], "two more", pen()))
    assert animals(after) == {"back": 3, "bucket 1": 2, "net": 2}
    strike = next(entry for entry in after.entries if entry.kind == "strike")
    assert strike.body["entries"] == [called.calls[0]]
    assert after.by_id()[strike.body["instead"][0]][0].at == book.by_id()[called.calls[0]][0].at


def test_a_number_that_leaves_too_few_is_refused_and_the_lines_in_the_way_are_named(called):
    book = book_of(called)
    with pytest.raises(Refusal) as refused:
        mend.make_it(book, called.calls[0], [4], "one less", pen())
    assert "1 too many" in str(refused.value)
    assert "“3 grubby” 07:01" in str(refused.value)


def test_a_strike_that_leaves_less_than_nothing_names_what_is_in_the_way_as_it_was_called(called):
    book = book_of(called)
    with pytest.raises(Refusal) as refused:
        mend.strike(book, [called.calls[0]], "slip", pen())
    assert "“3 grubby” (d1 2" in str(refused.value)
    assert called.calls[1] not in str(refused.value)


def test_the_same_numbers_and_a_struck_call_are_refused(called):
    book = book_of(called)
    with pytest.raises(Refusal, match="the numbers that stand there"):
        mend.make_it(book, called.calls[2], [2], "slip", pen())
    after = ahead(book, mend.strike(book, [called.calls[2]], "slip", pen()))
    with pytest.raises(Refusal, match="struck already"):
        mend.make_it(after, called.calls[2], [1], "slip", pen())


def test_nothing_left_of_a_call_is_a_plain_strike(called):
    book = book_of(called)
    (strike,) = mend.make_it(book, called.calls[2], [0], "nobody kept any", pen())
    assert (strike.kind, "instead" in strike.body) == ("strike", False)


def test_a_number_worked_out_of_scoops_is_not_changed_by_hand():
    one = Phone()
    scoops = {"method": "scoops", "of": 12, "counted": [52, 47, 51]}
    key = one.move(600, "sea", "back", basis="expanded", subsample=scoops)
    with pytest.raises(Refusal, match="counted scoops"):
        mend.make_it(book_of(one), key, [601], "one more", pen())


def test_a_better_name_turns_some_of_them_where_they_are(called):
    book = book_of(called)
    (held,) = balances(book).of(place="back").rows
    better = mend.Better(2, "longhorn-sculpin", "young", "spines counted on the picture")
    after = ahead(book, mend.rename(book, held, better, pen()))
    found = {
        (lot.taxon, lot.stage): lot.n
        for lot in read_outing(after.entries, OUTING).account.animals
        if lot.place == "back"
    }
    assert found == {("grubby", None): 1, ("longhorn-sculpin", "young"): 2}
    with pytest.raises(Refusal, match=f"back has 3 grubby of {HAUL}"):
        mend.rename(book, held, mend.Better(4, "longhorn-sculpin", None, "seen"), pen())
    with pytest.raises(Refusal, match="they are grubby already"):
        mend.rename(book, held, mend.Better(1, "grubby", None, "seen"), pen())
