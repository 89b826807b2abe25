"""Stored readings: what is no stored reading, or one of another version, is refused and never half read."""

from __future__ import annotations

import json
import time

import pytest

from haulbook.custody.facts import Account, Animals
from haulbook.custody.facts_json import (
    VERSION,
    account_as_json,
    account_from_json,
    outing_as_json,
    outing_from_json,
    tanks_as_json,
    tanks_from_json,
)
from haulbook.custody.fates import Fate
from haulbook.custody.reading_outing import read_outing
from haulbook.custody.reading_tanks import read_tanks
from haulbook.custody.when import When
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"  # an invented outing


@pytest.fixture
def entries(phone):
    phone.move("sea", "tank q1", 3, said="three cunner", length_mm=61.5, length_type="total")
    phone.move("tank q1", "dead-kept", 1, outing=None)
    phone.move("sea", "bucket 1", 1, "?bleny")
    phone.write("counted-again", {"place": "tank q1", "taxon": "cunner", "n": 1}, outing=None)
    phone.write("paper", {"permit": "EX-27-014", "act": "notice-sent"})
    return phone.entries


def test_readings_of_an_outing_and_of_the_tanks_are_read_back_as_they_were(entries):
    outing, tanks = read_outing(entries, OUTING), read_tanks(entries)
    assert outing_from_json(outing_as_json(outing)) == outing
    assert tanks_from_json(tanks_as_json(tanks)) == tanks


def test_each_text_is_written_once(entries):
    text = outing_as_json(read_outing(entries, OUTING))
    assert text.count(entries[0].id) == 1
    assert json.loads(text)["version"] == VERSION


def test_a_text_of_another_version_is_refused(entries):
    stored = json.loads(outing_as_json(read_outing(entries, OUTING)))
    stored["version"] = "0-00000000"
    with pytest.raises(
        Refusal,
        match=f"this is OutingReading of version 0-00000000, not OutingReading of version {VERSION}: make",
    ):
        outing_from_json(json.dumps(stored))


def test_one_kind_of_reading_is_not_taken_for_another(entries):
    with pytest.raises(Refusal, match=r"this is TankReading of version .*, not Account of version"):
        account_from_json(tanks_as_json(read_tanks(entries)))


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", "7", '{"of":"Account"}'])
def test_what_is_no_stored_reading_is_refused(text):
    with pytest.raises(Refusal, match="this is no whole stored reading: make it anew from the entries"):
        account_from_json(text)


@pytest.mark.parametrize("damage", ["texts", "body"])
def test_a_text_that_lost_something_is_refused(entries, damage):
    stored = json.loads(outing_as_json(read_outing(entries, OUTING)))
    stored[damage].pop()
    with pytest.raises(Refusal, match="this is no whole stored reading"):
        outing_from_json(json.dumps(stored))


def test_30_000_lots_of_animals_are_read_back_well_under_a_second():
    called = [When(f"2027-05-14T{n // 60:02d}:{n % 60:02d}:00-04:00") for n in range(1200)]
    lots = tuple(
        Animals(
            f"{OUTING}/{n % 300}", f"taxon-{n % 60}", n % 9 + 1, Fate.RELEASED_ALIVE, "back", called[n % 1200],
            entries=(f"call {n}", f"move {n // 9}"),
        )
        for n in range(30_000)
    )  # fmt: skip
    text = account_as_json(Account((), lots))
    begun = time.process_time()
    back = account_from_json(text)
    assert time.process_time() - begun < 2.0  # 0.4 s here; generous for a busy machine
    assert back.animals == lots
