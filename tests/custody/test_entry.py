"""Entries: numbers, links, hashes, and what is refused before anything is written."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from haulbook.custody.canonical import canonical, sha256_of
from haulbook.custody.entry import Draft, Entry, chain, entry_from_json, uuid8
from haulbook.problems import Refusal

VECTOR = json.loads(
    '{"at":"2027-05-14T06:52:10-04:00","body":{"lines":[{"from":"sea","haul":"2027-05-14-a/1","n":6,'
    '"said":"six cunner","taxon":"cunner","to":"bucket 1"}]},"by":"p3","device":"d1",'
    '"hash":"06716a0d618d2f6b76112cde7adb18a9d746c4012e73982fa15c26d64ea921ff","id":"01a57dce-bb60-7abc-8def-0123456789ab",'
    '"kind":"move","made_at":"2027-05-14T06:52:12-04:00","outing":"2027-05-14-a","prev":null,"seq":1}'
)
TIMES = "an instant with offset, as 2027-05-14T06:52:10-04:00, or 2027-05-14, 2027-05 or 2027"
DRAFT = Draft(
    VECTOR["id"],
    VECTOR["at"],
    VECTOR["made_at"],
    VECTOR["by"],
    VECTOR["outing"],
    VECTOR["kind"],
    VECTOR["body"],
)


def refusal(do):
    with pytest.raises(Refusal) as refused:
        do()
    return [problem.message for problem in refused.value.problems]


def test_a_draft_becomes_the_entry_of_the_test_vector():
    (entry,) = chain([DRAFT], "d1")
    assert entry.as_json() == VECTOR
    assert entry_from_json(VECTOR) == entry


def test_entries_of_a_device_are_numbered_and_linked_from_the_last_one_on():
    first, second = chain([DRAFT, replace(DRAFT, id=uuid8(b"2"))], "d1")
    (third,) = chain([replace(DRAFT, id=uuid8(b"3"))], "d1", after=second)
    assert [(entry.seq, entry.prev) for entry in (first, second, third)] == [
        (1, None),
        (2, first.hash),
        (3, second.hash),
    ]
    for entry in (first, second, third):
        values = entry.as_json()
        said = values.pop("hash")
        assert sha256_of(canonical(values)) == said


def test_a_whole_measure_written_with_a_point_gives_the_same_hash():
    body = {"instrument": "hyd1", "haul": "2027-05-14-a/1", "temperature_c": 12.0}
    with_point, without = (
        chain([replace(DRAFT, kind="reading", body={**body, "temperature_c": value})], "d1")[0]
        for value in (12.0, 12)
    )
    assert with_point == without
    assert '"temperature_c":12}' in canonical(with_point.as_json())


def test_text_is_written_in_nfc():
    (entry,) = chain([replace(DRAFT, kind="remark", body={"text": "cafe\u0301"})], "d1")
    assert entry.body == {"text": "café"}


def test_a_kind_that_nobody_knows_yet_is_kept_and_hashed_as_it_came():
    (entry,) = chain([replace(DRAFT, kind="moon-phase", body={"phase": ["new", {"deep": 0.5}]})], "d1")
    assert entry_from_json(json.loads(json.dumps(entry.as_json()))) == entry
    assert entry.body == {"phase": ["new", {"deep": 0.5}]}


def test_every_problem_of_every_draft_is_reported_together_and_nothing_is_written():
    drafts = [
        replace(DRAFT, by="A. Person", at="yesterday"),
        DRAFT,
        replace(DRAFT, kind="move", body={"lines": [], "txt": "six cunner"}),
        replace(DRAFT, kind="remark", body={"text": 1.00001}),
    ]
    assert refusal(lambda: chain(drafts, "d1")) == [
        f"entry 1 (move): at is 'yesterday'; it takes {TIMES}",
        "entry 1 (move): by is 'A. Person'; it takes a person's key, as p3, never a name",
        "entry 3 (move): lines is empty; it takes at least 1 line",
        "entry 3 (move): the body has the key 'txt', which is not known there; the nearest known one is 'text'",
        "entry 4 (remark): body, text is 1.00001; a measure has at most 4 decimals: round it to 1.0",
    ]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"id": "1"}, "id is '1'; it takes a UUID in lower case"),
        ({"made_at": "2027-05-14"}, "made_at is '2027-05-14'; it takes an instant with offset"),
        (
            {"made_at": "2027-05-14T06:52:12"},
            "made_at is '2027-05-14T06:52:12'; it takes an instant with offset",
        ),
        (
            {"outing": "2027-05-14/a"},
            "outing is '2027-05-14/a'; it takes an outing, as 2027-05-14-a, or null",
        ),
        ({"kind": "Move"}, "kind is 'Move'; it takes a kind, as outing-opened, outing-closed, outing-signed"),
    ],
)
def test_each_part_of_the_envelope_is_refused_in_its_own_words(change, words):
    assert any(words in said for said in refusal(lambda: chain([replace(DRAFT, **change)], "d1")))


def test_a_device_key_and_its_last_entry_have_to_go_together():
    (entry,) = chain([DRAFT], "d1")
    assert refusal(lambda: chain([DRAFT], "d2", after=entry)) == ["d2 can't go on after an entry of d1"]
    assert (
        "the device is 'Phone 1'; it takes a key as d1, desk" in refusal(lambda: chain([DRAFT], "Phone 1"))[0]
    )


def test_a_changed_value_shows_as_a_hash_that_does_not_match():
    assert refusal(lambda: entry_from_json({**VECTOR, "by": "p4"}))[0].startswith(
        "the hash does not match: written is 06716a0d618d2f6b"
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seq": 0}, "seq is 0; it takes a whole number from 1 on"),
        ({"seq": True}, "seq is True; it takes a whole number from 1 on"),
        ({"seq": 2}, "seq is 2 and prev is None; the first entry, and only the first, has no prev"),
        ({"prev": "0" * 64}, "the first entry, and only the first, has no prev"),
        ({"hash": "06716A0D"}, "hash is '06716A0D'; it takes a SHA-256"),
        ({"made": "x"}, "an entry has no key 'made'; the nearest is 'made_at'"),
        ({"body": []}, "the body is no object"),
        ({"device": None}, "device is None; it takes the key of a device"),
        ({"kind": 7}, "kind is 7; it takes a kind"),
    ],
)
def test_a_broken_shape_is_refused_in_words(change, words):
    assert any(words in said for said in refusal(lambda: entry_from_json({**VECTOR, **change})))


def test_missing_keys_are_named_and_other_json_is_no_entry():
    assert refusal(lambda: entry_from_json({"id": "x"}))[0] == "at is missing"
    assert refusal(lambda: entry_from_json([1])) == ["an entry is a JSON object"]


def test_entries_are_the_same_when_id_and_hash_are():
    one, other = entry_from_json(VECTOR), entry_from_json(VECTOR)
    assert one == other
    assert len({one, other}) == 1
    assert one != chain([replace(DRAFT, by="p4")], "d1")[0]
    assert isinstance(one, Entry)
