"""A kit is read back as it was written, or refused in words; two kits of one outing go together."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta

import hypothesis.strategies as st
import pytest
import rfc8785
from hypothesis import given, settings

from haulbook.custody.book import Book
from haulbook.office.compile_kit import compile_kit
from haulbook.problems import Refusal
from haulbook.shore import age_words, kit_book, kit_bytes, merge_kits, read_kit, seal


@pytest.fixture(scope="module")
def called(pens):
    """Lines of two phones and of a third that nobody else has heard of."""
    written = []
    for device in ("d1", "d2", "d3"):
        pen = pens(device)
        pen.move(2, "cunner", "bucket 1")
        pen.move(1, "?slimy", "back")
        written += pen.entries
    return written


@pytest.fixture(scope="module")
def make(plan, station, permit, pack, made_at):
    def making(entries=(), minutes=0):
        later = made_at + timedelta(minutes=minutes)
        return compile_kit(plan, station, [permit], pack, Book.of(entries), later)

    return making


@pytest.fixture(scope="module")
def kit(make, called):
    return make(called[:4])


def changed(kit, /, **values):
    """The text of a kit in which somebody changed something, with a digest that fits."""
    content = json.loads(kit_bytes(kit)) | values
    content.pop("digest")
    content["digest"] = hashlib.sha256(rfc8785.dumps(content)).hexdigest()
    return json.dumps(content).encode()


def with_entries(kit, entries, minutes):
    """The same kit as if made some minutes later, when other entries had come in."""
    made_at = (kit.made + timedelta(minutes=minutes)).isoformat()
    brought = tuple(entry.as_json() for entry in Book.of(entries).entries)
    small = {"taxa": kit.taxa[:3], "company": {}, "identify": {}}  # what is in them plays no part
    return seal(kit.model_copy(update={**small, "made_at": made_at, "entries": brought}))


def refused(text):
    with pytest.raises(Refusal) as refusal:
        read_kit(text, "kit.json")
    return [str(problem) for problem in refusal.value.problems]


def test_a_kit_is_read_back_as_it_was_written(kit):
    assert read_kit(kit_bytes(kit)) == kit
    assert kit_bytes(read_kit(kit_bytes(kit))) == kit_bytes(kit)


def test_the_text_is_the_canonical_form_and_the_digest_is_over_the_rest(kit):
    # RFC 8785 by an implementation that is not ours
    content = json.loads(kit_bytes(kit))
    assert kit_bytes(kit) == rfc8785.dumps(content) + b"\n"
    digest = content.pop("digest")
    assert hashlib.sha256(rfc8785.dumps(content)).hexdigest() == digest


def test_the_same_input_gives_the_same_bytes(make, called):
    assert kit_bytes(make(called)) == kit_bytes(make(list(reversed(called))))


def test_a_changed_byte_is_refused(kit):
    text = kit_bytes(kit).replace(b'"limit":60', b'"limit":90')
    assert refused(text) == [
        "kit.json, column digest: does not match: the kit changed since it was made; fetch it again"
    ]


def test_another_format_is_refused_before_anything_else(kit):
    (said,) = refused(changed(kit, kit=2, something="new"))
    assert "no kit of format 1" in said
    assert "make it anew with `haulbook kit`" in said


@pytest.mark.parametrize("text", [b"", b"[]", b"\xff\xfe", b'{"kit"', b"[" * 100_000, b'"kit"'])
def test_what_is_no_kit_is_refused_in_one_sentence(text):
    assert refused(text) == ["kit.json: this is no kit: it is not one JSON object"]


def test_unknown_and_missing_keys_are_named_together(kit):
    content = json.loads(changed(kit, somthing=1))
    del content["sun"]
    content["taxa"][2]["mg_h"]["mid"] = "a lot"
    said = refused(json.dumps(content).encode())
    assert len(said) == 3
    for words in (
        "column somthing: is no key of a kit",
        "column sun: is missing",
        "column taxa.2.mg_h.mid: is not what a kit holds there",
    ):
        assert any(words in one for one in said), words


def test_an_entry_that_was_changed_or_is_of_another_outing_is_refused(kit, pens):
    broken = json.loads(kit_bytes(kit))["entries"]
    broken[0]["body"]["lines"][0]["n"] = 7
    other = pens("d9", "2026-09-27-a")
    other.move(1, "cunner", "back")
    said = refused(changed(kit, entries=[*broken, other.entries[0].as_json()]))
    assert "column entries.0: the hash does not match" in said[0]
    assert "column entries.4: is of 2026-09-27-a, the kit for 2026-09-26-a" in said[1]


def test_a_kit_made_at_no_instant_or_for_no_outing_is_refused(kit):
    said = refused(changed(kit, made_at="2026-09-26", plan={}, entries=[]))
    assert "column made_at: is 2026-09-26; a kit is made at an instant" in said[0]
    assert "column plan.outing: is missing" in said[1]


def test_a_number_that_has_no_one_form_is_not_sealed(kit):
    with pytest.raises(Refusal, match="at most 4 decimals"):
        seal(kit.model_copy(update={"oxygen": kit.oxygen.model_copy(update={"salinity": 30.00001})}))


def test_the_entries_of_a_kit_are_those_of_its_outing(make, called, pens):
    other = pens("d9", "2026-09-25-a")
    other.move(1, "cunner", "back")
    assert kit_book(make([*called, *other.entries])) == Book.of(called)


kits = st.lists(st.tuples(st.sets(st.integers(0, 5)), st.integers(0, 2)), min_size=3, max_size=3)


@settings(max_examples=8, deadline=None)
@given(kits)
def test_merging_is_idempotent_and_neither_order_nor_grouping_matters(kit, called, drawn):
    one, two, three = (with_entries(kit, [called[i] for i in chosen], minutes) for chosen, minutes in drawn)
    assert merge_kits(one, one) == one
    assert merge_kits(one, two) == merge_kits(two, one)
    assert merge_kits(merge_kits(one, two), three) == merge_kits(one, merge_kits(two, three))
    merged = merge_kits(one, two)
    assert read_kit(kit_bytes(merged)) == merged
    assert kit_book(merged) == Book.of([*kit_book(one).entries, *kit_book(two).entries])


def test_a_newer_kit_replaces_all_but_the_entries(make, called):
    old, new = make(called[:4], minutes=0), make(called[2:], minutes=30)
    merged = merge_kits(new, old)
    same = {"digest", "entries"}
    assert merged.model_dump(exclude=same) == new.model_dump(exclude=same)
    assert len(merged.entries) == 6
    assert len(new.entries) == 4


def test_of_two_kits_made_at_one_instant_one_is_taken_whichever_comes_first(make, called):
    one = make(called[:2])
    other = seal(one.model_copy(update={"keep_device": "d2"}))
    assert merge_kits(one, other) == merge_kits(other, one)


def test_kits_of_two_outings_do_not_go_together(kit):
    other = kit.model_copy(update={"plan": {**kit.plan, "outing": "2026-09-27-a"}})
    with pytest.raises(Refusal, match=r"one kit is for 2026-09-26-a, the other for 2026-09-27-a"):
        merge_kits(kit, other)


@pytest.mark.parametrize(
    ("later", "words"),
    [
        (timedelta(seconds=30), "0 min old"),
        (timedelta(minutes=59), "59 min old"),
        (timedelta(hours=3, minutes=5), "3 h 05 min old"),
        (timedelta(hours=47, minutes=59), "47 h 59 min old"),
        (timedelta(days=2), "2 days old"),
        (timedelta(days=-1), "made 24 h 00 min ahead of this clock: set the clock"),
    ],
)
def test_a_kit_says_how_old_it_is(kit, made_at, later, words):
    assert age_words(kit, made_at + later) == words
