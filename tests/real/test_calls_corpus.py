"""Calls of a corpus with their truth: wrong while certain never, the rest understood or asked.

The corpus (``../shared/data/calls``: sentences written for it, slips, tally shorthand, synthetic voices through a
recogniser) and its scoring are described in its README. One of its cases calls an animal that the pack has by now.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict

import pytest

from haulbook.calls import understand
from haulbook.taxa import load_pack

COMPARED = ("taxon", "stage", "fate", "place", "length_mm", "doubt", "zero")
NOW_IN_THE_PACK = {"D0012": "eulachon"}
LEAST_UNDERSTOOD = {"written": 0.95, "typed-slip": 0.80, "abbreviated": 0.90, "recognised": 0.75}
"""Shares of the recoverable cases; what is measured stands in ``bench/calls.py``."""


@pytest.fixture(scope="module")
def answered(shared_data):
    lines = (shared_data / "calls/calls-dev.jsonl").read_text(encoding="utf-8").splitlines()
    cases = [json.loads(line) for line in lines]
    assert len(cases) == 463
    return [(case, understand(case["text"], load_pack(case["pack"])).as_json()) for case in cases]


def lots(lines):
    """Return lines summed over what is equal but the count; lines without a number count by themselves."""
    found = Counter()
    for line in lines:
        key = (*(line[name] for name in COMPARED), line["count"] is None)
        found[key] += line["count"] if line["count"] else 1 if line["count"] is None else 0
        found[key] += 0
    return dict(found)


def is_right(case, answer):
    return lots(answer["lines"]) == lots(case["truth"]) and answer["commands"] == case["commands"]


def test_nothing_recoverable_is_wrong_while_certain(answered):
    assert not [
        case["text"]
        for case, answer in answered
        if case["recoverable"] and not answer["asks"] and not is_right(case, answer)
    ]


def test_what_the_text_no_longer_carries_is_asked(answered):
    certain = [
        case
        for case, answer in answered
        if not case["recoverable"] and not case.get("silent") and not answer["asks"]
    ]
    assert {case["id"] for case in certain} <= set(NOW_IN_THE_PACK)
    for case in certain:
        assert NOW_IN_THE_PACK[case["id"]] in load_pack(case["pack"]).taxa


def test_what_is_written_beside_a_question_is_true(answered):
    for case, answer in answered:
        if answer["asks"]:
            lost = set(case.get("lost") or ())
            sure = lots(item for i, item in enumerate(case["truth"]) if i not in lost)
            assert all(n <= sure.get(key, -1) for key, n in lots(answer["lines"]).items()), case["text"]


def test_no_true_zero_is_entered_that_nobody_called(answered):
    for case, answer in answered:
        called = {item["taxon"] for item in case["truth"] if item["zero"]}
        assert {line["taxon"] for line in answer["lines"] if line["zero"]} <= called, case["text"]


def test_enough_of_every_source_is_understood(answered):
    shares = defaultdict(list)
    for case, answer in answered:
        if case["recoverable"]:
            shares[case["source"]].append(not answer["asks"] and is_right(case, answer))
    assert {
        source: sum(right) / len(right) >= LEAST_UNDERSTOOD[source] for source, right in shares.items()
    } == (dict.fromkeys(LEAST_UNDERSTOOD, True))


def test_the_taxon_meant_is_among_the_choices(answered):
    """Where a typed or written name is asked and was called, it is on the list nearly always."""
    asked = offered = 0
    for case, answer in answered:
        names = [ask for ask in answer["asks"] if ask["about"] == "name"]
        if case["source"] == "recognised" or not names:
            continue
        written = {line["taxon"] for line in answer["lines"]}
        meant = {item["taxon"] for item in case["truth"]} - written - {None}
        asked += bool(meant)
        offered += any(taxon in ask["choices"] for taxon in meant for ask in names)
    assert offered >= 0.8 * asked > 0
