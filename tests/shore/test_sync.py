"""What becomes of each entry that a device hands in, and what it is told."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import hypothesis.strategies as st
import pytest
import rfc8785
from hypothesis import given, settings

from haulbook.custody.book import Book
from haulbook.custody.canonical import canonical
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.problems import Refusal
from haulbook.shore.sync import (
    MOST_BYTES,
    MOST_ENTRIES,
    UnknownCursor,
    clock_off_s,
    cursor_position,
    cursor_text,
    judge,
    read_request,
    respond,
)

NOW = datetime(2027, 5, 14, 12, tzinfo=UTC)
OUTING = "2027-05-14-a"
EXAMPLE = json.loads((Path(__file__).parents[1] / "cases" / "entries.json").read_text(encoding="utf-8"))[
    "entry"
]


def remarks(count, device="d1", words="seen", after=None):
    at = "2027-05-14T06:52:10-04:00"
    drafts = [
        Draft(
            uuid8(f"{device} {words} {n}".encode()), at, at, "p3", OUTING, "remark", {"text": f"{words} {n}"}
        )
        for n in range(count)
    ]
    return list(chain(drafts, device, after))


def handed_in(entries, device="d1", cursor=None):
    batch = [entry if isinstance(entry, dict) else entry.as_json() for entry in entries]
    return read_request(json.dumps({"device": device, "cursor": cursor, "entries": batch}).encode())


def answers(judgement):
    return [verdict.answer for verdict in judgement.verdicts]


def refused(call, *given_, **more):
    with pytest.raises(Refusal) as refusal:
        call(*given_, **more)
    return "; ".join(str(problem) for problem in refusal.value.problems)


def changed(**values):
    """The example entry with other values, and a hash that fits them. RFC 8785 by an implementation not ours."""
    import hashlib

    content = {key: value for key, value in {**EXAMPLE, **values}.items() if key != "hash"}
    return {**content, "hash": hashlib.sha256(rfc8785.dumps(content)).hexdigest()}


def test_the_example_entry_is_stored():
    judged = judge([EXAMPLE], "d1", ())
    assert answers(judged) == ["stored"]
    assert judged.new[0].as_json() == EXAMPLE


def test_an_entry_that_is_known_or_comes_twice_is_a_duplicate():
    first, second = (entry.as_json() for entry in remarks(2))
    judged = judge([first, second, first], "d1", {second["hash"]})
    assert answers(judged) == ["stored", "duplicate", "duplicate"]
    assert [entry.hash for entry in judged.new] == [first["hash"]]


def test_a_verdict_stands_for_each_entry_in_the_order_of_the_batch():
    batch = [entry.as_json() for entry in remarks(3)]
    batch[1] = {**batch[1], "hash": "0" * 64}
    judged = judge(batch, "d1", ())
    assert [(verdict.id, verdict.answer) for verdict in judged.verdicts] == [
        (batch[0]["id"], "stored"),
        (batch[1]["id"], "rejected"),
        (batch[2]["id"], "stored"),
    ]


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        ({**EXAMPLE, "by": "p4"}, "the hash does not match"),
        ({**EXAMPLE, "hash": None}, "hash is None"),
        (changed(device="d2"), "the entry is of d2, and d1 sent it"),
        (changed(seq=2), "the first entry, and only the first, has no prev"),
        (changed(by="somebody"), "a person's key, as p3, never a name"),
        (changed(body={"lines": []}), "lines is empty"),
        (changed(body={"line": []}), "the nearest known one is 'lines'"),
        ({key: value for key, value in EXAMPLE.items() if key != "prev"}, "prev is missing"),
        ({**EXAMPLE, "weather": "fog"}, "an entry has no key 'weather'"),
        ("six cunner", "an entry is a JSON object"),
        (None, "an entry is a JSON object"),
        ([EXAMPLE], "an entry is a JSON object"),
        ({**EXAMPLE, "seq": 1.5}, "a whole number from 1 on"),
        ({**EXAMPLE, "seq": 10**300}, "whole numbers go up to"),
        ({**EXAMPLE, "body": {"g": float("nan")}}, "a measure is a number"),
        ({**EXAMPLE, "body": {"text": "half \ud83d"}}, "half a character"),
        (changed(body={"lines": EXAMPLE["body"]["lines"], "text": "x" * 66_000}), "one takes at most 65536"),
    ],
    ids=lambda value: value[:30] if isinstance(value, str) else "",
)
def test_only_what_is_no_entry_of_the_device_is_rejected_and_told_why(entry, why):
    good = changed(kind="remark", body={"text": "stays good"})
    judged = judge([entry, good], "d1", ())
    assert answers(judged) == ["rejected", "stored"]
    assert why in judged.verdicts[0].why
    assert judged.verdicts[1].why is None
    assert [found.hash for found in judged.new] == [good["hash"]]


def test_an_entry_of_64_kb_is_stored_and_one_byte_more_is_not():
    room = MOST_BYTES - len(canonical(changed(kind="remark", body={"text": ""})))
    whole = changed(kind="remark", body={"text": "x" * room})
    assert len(canonical(whole)) == MOST_BYTES
    over = changed(kind="remark", body={"text": "x" * (room + 1)})
    assert answers(judge([whole, over], "d1", ())) == ["stored", "rejected"]


def test_what_is_too_deep_or_has_no_id_holds_up_nothing():
    deep = []
    for _ in range(900):
        deep = [deep]
    batch = [{**EXAMPLE, "body": {"x": deep}}, {"id": "x" * 100}, {"id": 7}, EXAMPLE]
    judged = judge(handed_in(batch).entries, "d1", ())
    assert answers(judged) == ["rejected", "rejected", "rejected", "stored"]
    assert [verdict.id for verdict in judged.verdicts] == [EXAMPLE["id"], None, None, EXAMPLE["id"]]


def test_a_kind_nobody_knows_yet_is_stored_as_it_came():
    weather = changed(kind="weather-seen", body={"fog": True, "\u20ac": {"10": 0.25, "9": None}})
    judged = judge([weather], "d1", ())
    assert judged.new[0].as_json() == weather


def test_a_well_formed_entry_is_stored_whatever_it_says_and_in_any_order():
    line = {"taxon": "cunner", "n": 4, "from": "bucket 1", "to": "back", "haul": "2027-05-14-a/1"}
    at = "2027-05-14T06:52:10-04:00"
    drafts = [
        Draft(uuid8(str(n).encode()), at, at, "p3", OUTING, "move", {"lines": [line]}) for n in range(3)
    ]
    third_first = [entry.as_json() for entry in chain(drafts, "d1")][::-1]
    judged = judge(third_first, "d1", ())
    assert answers(judged) == ["stored"] * 3
    kinds = {found.kind for found in discrepancies(Book.of(judged.new))}
    assert kinds == {"below-zero"}
    assert {found.kind for found in discrepancies(Book.of(judged.new[:2]))} == {"below-zero", "gap"}


def test_both_sides_of_a_fork_are_stored_and_shown_as_a_discrepancy():
    start = remarks(2)
    one, other = (remarks(1, words=words, after=start[-1]) for words in ("one", "other"))
    judged = judge([entry.as_json() for entry in [*start, *one, *other]], "d1", ())
    assert answers(judged) == ["stored"] * 4
    (found,) = discrepancies(Book.of(judged.new))
    assert (found.kind, set(found.entries)) == ("fork", {one[0].id, other[0].id})


def test_more_than_500_entries_are_refused_as_a_whole_in_words():
    many = remarks(MOST_ENTRIES + 1)
    assert refused(handed_in, many) == (
        "501 entries came in one request, which takes at most 500: send them in several"
    )
    assert len(handed_in(many[:-1]).entries) == MOST_ENTRIES


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"six cunner", "this is no JSON"),
        (b"\xff", "this is no JSON"),
        (b'{"device": ' + b"1" * 5000 + b"}", "this is no JSON"),
        (b"[" * 100_000, "this is no JSON"),
        (b"[]", "Input should be"),
        (
            b"{}",
            "column device: Field required; column cursor: Field required; column entries: Field required",
        ),
        (b'{"device": 1, "cursor": null, "entries": []}', "column device: Input should be a valid string"),
        (b'{"device": "d1", "cursor": null, "entries": {}}', "column entries: Input should be a valid list"),
        (
            b'{"device": "d1", "cursor": null, "entries": [], "x": 1}',
            "column x: Extra inputs are not permitted",
        ),
        (b'{"device": "d1", "cursor": null, "entries": [], "sent_at": "2027-05-14T06:00"}', "timezone"),
    ],
)
def test_what_is_no_request_is_refused_in_words(text, words):
    assert words in refused(read_request, text)


def test_an_answer_holds_what_others_wrote_and_not_what_was_just_handed_in():
    others, own = remarks(2, "desk"), remarks(2)
    new, answer = respond(handed_in(own), "d1", others, book="b1", server_time=NOW, kit_digest="k")
    assert list(new) == own
    assert [entry.model_dump() for entry in answer.entries] == [entry.as_json() for entry in others]
    assert (answer.more, answer.kit_digest, answer.server_time) == (False, "k", NOW)
    held = [*others, *new]
    new, answer = respond(handed_in(own, cursor=answer.cursor), "d1", held, book="b1", server_time=NOW)
    assert [verdict.answer for verdict in answer.answers] == ["duplicate", "duplicate"]
    assert (new, answer.entries, answer.kit_digest) == ((), [], None)


def test_a_device_that_lost_lines_gets_its_own_back():
    own = remarks(3)
    _, answer = respond(handed_in([]), "d1", own, book="b1", server_time=NOW)
    assert [entry.seq for entry in answer.entries] == [1, 2, 3]


def test_only_wanted_entries_go_down_beside_a_devices_own():
    held = [*remarks(2, "desk"), *remarks(2)]
    nothing_open = respond(handed_in([]), "d1", held, book="b1", server_time=NOW, wanted=lambda _: False)[1]
    assert [entry.device for entry in nothing_open.entries] == ["d1", "d1"]


@given(st.integers(0, 1300), st.integers(0, 600))
@settings(max_examples=12, deadline=None)
def test_pages_of_an_answer_leave_nothing_out_and_repeat_nothing(count, own):
    held = [*OTHERS[:count], *OWN[:own]]
    heard, cursor, more, rounds = [], None, True, 0
    while more:
        _, answer = respond(handed_in(OWN[:own][:500], cursor=cursor), "d1", held, book="b1", server_time=NOW)
        heard += [entry.hash for entry in answer.entries]
        cursor, more, rounds = answer.cursor, answer.more, rounds + 1
    assert heard == [entry.hash for entry in [*OTHERS[:count], *OWN[500:own]]]
    assert rounds == max(1, -(-len(heard) // 500))
    _, answer = respond(handed_in([], cursor=cursor), "d1", held, book="b1", server_time=NOW)
    assert (answer.entries, answer.more) == ([], False)


OTHERS, OWN = remarks(1300, "d2"), remarks(600)


def test_a_cursor_of_another_book_is_refused_so_that_everything_is_sent_again():
    held = remarks(3)
    for cursor in ("b0:2", "b1:4", "2", "b1:", "b1:-1", "b1:²", "b1:two", ""):
        with pytest.raises(UnknownCursor, match="send everything again"):
            respond(handed_in([], cursor=cursor), "d1", held, book="b1", server_time=NOW)
    assert cursor_position(cursor_text("b:1", 3), "b:1", 3) == 3


def test_a_request_of_another_device_than_its_token_is_refused():
    words = refused(respond, handed_in([], device="d2"), "d1", (), book="b1", server_time=NOW)
    assert words == "the request is of d2, its token of d1: enrol the device anew"


def test_how_far_a_phones_clock_is_off_is_known_where_it_says_when_it_asked():
    ahead = {
        "device": "d1",
        "cursor": None,
        "entries": [],
        "sent_at": (NOW + timedelta(minutes=3)).isoformat(),
    }
    assert clock_off_s(read_request(json.dumps(ahead).encode()), NOW) == 180
    assert clock_off_s(handed_in([]), NOW) is None
