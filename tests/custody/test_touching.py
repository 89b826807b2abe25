"""Which readings an entry can change, kind by kind."""

from __future__ import annotations

import pytest

from haulbook.custody.touching import TANKS, hosts, speaks_of, touches

A, B = "2027-05-14-a", "2027-06-01-a"  # invented outings


def touched(entry, known=None, guests=None):
    return touches(entry, lambda one: (known or {}).get(one, ()), lambda one: (guests or {}).get(one, ()))


def struck(phone, entry):
    return phone.write("strike", {"entries": [entry.id], "reason": "slip"}, outing=None)


def test_a_line_touches_its_outing_and_the_outings_of_the_hauls_it_names(phone):
    assert touched(phone.move("sea", "back", 1)) == {A}
    assert touched(phone.move("bucket 1", "back", 1, haul=f"{B}/1")) == {A, B}
    assert touched(phone.move("bucket 1", "back", 1, outing=None)) == {A}


def test_what_comes_into_a_tank_or_goes_out_of_it_touches_the_tanks_too(phone):
    assert touched(phone.move("cooler 1", "tank q1", 1)) == {A, TANKS}
    assert touched(phone.move("tank q1", "dead-kept", 1, outing=None)) == {A, TANKS}
    assert touched(phone.rename("tank q1", 1, "cunner", "tautog", outing=None)) == {A, TANKS}
    assert touched(phone.rename("bucket 1", 1, "cunner", "tautog", outing=None)) == {A}


def test_animals_that_came_out_of_no_haul_are_the_tanks(phone):
    born = phone.next_id()
    entry = phone.write(
        "move",
        {"lines": [{"from": "born", "to": "tank q1", "n": 3, "taxon": "cunner", "haul": born}]},
        outing=None,
        id=born,
    )
    assert touched(entry) == {TANKS}
    assert touched(phone.rename("bucket 1", 1, "cunner", "tautog")) == {A}
    moved = phone.move("bucket 1", "dead-kept", 1, haul=born)
    assert touched(moved) == {A, TANKS}


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("counted-again", {"place": "tank q1", "taxon": "cunner", "n": 3}),
        ("care", {"place": "tank q1", "act": "fed"}),
        ("reading", {"place": "tank q1", "instrument": "t1", "temperature_c": 12}),
        ("place", {"place": "tank q1", "act": "water-changed"}),
        ("remark", {"place": "tank q1", "text": "cloudy"}),
    ],
)
def test_what_happens_in_a_tank_without_naming_a_haul_touches_the_tanks_alone(phone, kind, body):
    assert touched(phone.write(kind, body, outing=None)) == {TANKS}


def test_the_same_in_a_bucket_touches_its_outing_alone(phone):
    assert touched(phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "n": 3})) == {A}


def test_a_remark_or_reading_of_a_haul_touches_its_outing(phone):
    assert touched(phone.write("remark", {"haul": f"{A}/1", "text": "torn"}, outing=None)) == {A}
    reading = {"haul": f"{A}/1", "instrument": "t1", "temperature_c": 12}
    assert touched(phone.write("reading", reading, outing=None)) == {A}


def test_a_paper_of_no_outing_stands_with_the_tanks(phone):
    body = {"permit": "EX-27-014", "act": "notice-sent"}
    assert touched(phone.write("paper", body, outing=None)) == {TANKS}
    assert touched(phone.write("paper", body)) == {A}


def test_a_strike_touches_whatever_the_struck_touches_once_it_is_known(phone):
    moved = phone.move("tank q1", "dead-kept", 1, outing=None)
    strike = struck(phone, moved)
    assert speaks_of(strike) == {moved.id}
    assert touched(strike) == frozenset()
    assert touched(strike, {moved.id: touched(moved)}) == {A, TANKS}
    assert touched(phone.strike(moved), {moved.id: {B}}) == {A, B}


def test_an_answer_touches_the_readings_in_which_its_discrepancy_shows(phone):
    entry = phone.move("sea", "lost", 1, cause="jumped out")

    def answered(key):
        return phone.write("settled", {"key": key, "answer": "both stand", "why": "asked"}, outing=None)

    known = {entry.id: {A}}
    assert touched(answered(f"fate-unknown:{entry.id}"), known) == {A}
    assert touched(answered(f"count-differs:{entry.id}"), known) == {A}
    assert touched(answered(f"late-line:{entry.id} {B}"), known) == {A, B}
    assert touched(answered(f"late-line:{entry.id} {B}/1"), known) == {A, B}
    assert touched(answered(f"double-count:{B}/1 cunner - d1 d2")) == {B}
    assert touched(answered(f"started-twice:{B}/1")) == {B}
    assert touched(answered(f"zero-and-count:{B}/1 cunner")) == {B}
    assert touched(answered(f"name-open:{B} ?slimy thing")) == {B}
    assert touched(answered(f"below-zero:{B} bucket 1 cunner - individual {A}/1")) == {A, B}
    assert touched(answered(f"below-zero:station tank q1 cunner - individual {A}/1")) == {A, TANKS}
    assert touched(answered("gap:d1 2-3")) == frozenset()
    assert touched(answered("nobody knows")) == frozenset()
    assert speaks_of(entry) == frozenset()


def test_what_decides_over_a_bucket_touches_the_outings_whose_animals_are_guests_in_it(phone):
    place = phone.place("bucket 1", "left-beach")
    assert touched(place) == {A}
    assert touched(place, guests={A: {B}}) == {A, B}
    assert touched(struck(phone, place), {place.id: {A}}, {A: {B}}) == {A, B}
    plan = {"plan": {"buckets": [{"place": "bucket 1", "purpose": "keep"}]}, "digest": None}
    opened = {**plan, "pack": "nwatlantic", "version": "1", "permits": [], "looked_for": []}
    assert touched(phone.write("outing-opened", opened), guests={A: {B}}) == {A, B}
    assert touched(phone.move("sea", "back", 1), guests={A: {B}}) == {A}


def test_a_host_is_another_outing_into_whose_bucket_animals_were_put(phone, make_phone):
    other = make_phone("d2", outing=B)
    own = phone.move("sea", "bucket 1", 1)
    guest = other.move("tank q1", "bucket 1", 1, haul=f"{A}/1")
    station = phone.move("tank q1", "back", 1, outing=None)
    assert hosts([own, guest, station], A) == {B}
    assert hosts([own, station], A) == frozenset()
