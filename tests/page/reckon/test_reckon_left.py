"""What the page says is left, who is told and what stops: equal to ``shore.left`` and to the permit engine."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import datetime

import pytest

from haulbook.custody.book import Book, merge
from haulbook.custody.facts import Animals
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.ledger import account_of
from haulbook.custody.lines import stage_and_unit
from haulbook.custody.replay import PlaceKey, replay
from haulbook.custody.when import When
from haulbook.identify.notices import kinds_of
from haulbook.permit.follow import duties, stops
from haulbook.permit.state import States
from haulbook.permit.take import Take
from haulbook.shore import kit_bytes
from haulbook.shore.left import left_for

pytestmark = pytest.mark.browser

SEEDS = range(90)
END_OF_DAY = datetime.fromisoformat("2026-09-26T23:59:59.999999-04:00")
NOT_ON_THE_PHONE = {"mark"}
"""The phone counts a recapture each time (docs/reference/kit.md): it is left out where the engine is the oracle."""


@pytest.fixture(scope="module")
def kits(tool):
    return tool("case_kits")


@pytest.fixture(scope="module")
def kit(kits):
    return kits.strict_kit()


@pytest.fixture(scope="module")
def kit_json(kit):
    return json.loads(kit_bytes(kit))


@pytest.fixture(scope="module")
def books(outings):
    return [outings.outing(seed, most=30) for seed in SEEDS]


@pytest.fixture(scope="module")
def plain_books(books):
    """The same without recaptures and without lines of which only the day is known."""
    return [
        [
            entry
            for entry in book
            if "T" in entry.at
            and not (
                entry.kind == "move" and any(NOT_ON_THE_PHONE & line.keys() for line in entry.body["lines"])
            )
        ]
        for book in books
    ]


def as_json(entries):
    return [entry.as_json() for entry in entries]


def hauls_of(book):
    return [None, *(haul.key for haul in account_of(Book.of(book)).hauls)]


def test_every_clause_stands_where_the_reference_says(js, books, kit, kit_json, answers):
    hauls = [hauls_of(book) for book in books]
    found = js(
        "reckon/left.js",
        """(async () => {
          const { replay } = await import('/reckon/ledger.js');
          return data.books.map((entries, at) => {
            const state = replay(entries);
            const row = ({clause, n, possible, of, ofPossible, left, leftAtWorst}) => (
              [clause.permit, clause.id, n, possible, of, ofPossible, left, leftAtWorst]);
            return Object.fromEntries(data.hauls[at].map((haul) => (
              [haul ?? '', m.standings(data.kit, state, haul).map(row)])));
          });
        })()""",
        {"kit": kit_json, "books": [as_json(book) for book in books], "hauls": hauls},
    )
    for book, of_book, page in zip(books, hauls, found, strict=True):
        assert page == answers.standings_answer(kit, book, of_book)


def asked_of(outings, seed):
    """A line that is about to be called."""
    rng = random.Random(seed)
    crew = outings.Crew(seed)
    details = {key: value for key, value in outings.details(crew).items() if key not in NOT_ON_THE_PHONE}
    to = rng.choice(("bucket 1", "bucket 2", "back", "dead-back", "killed-kept", "net", "cooler 1"))
    line = {
        "taxon": rng.choice(outings.TAXA),
        "n": rng.randint(1, 5),
        "from": "sea",
        "to": to,
        "haul": crew.haul(),
    }
    return line | details


def animals_of(line, fate=Fate.RETAINED_ALIVE):
    stage, unit = stage_and_unit(line)
    told = ("sex", "origin", "length_mm", "length_type", "said", "doubt", "berried", "haul_assumed")
    return Animals(
        line["haul"], line["taxon"], line["n"], fate, line["to"], When(END_OF_DAY.isoformat()), stage=stage, unit=unit,
        **{key: line[key] for key in told if key in line},
    )  # fmt: skip


def test_what_is_left_for_one_line_is_what_the_reference_says(js, books, kit, kit_json, outings):
    lines = [asked_of(outings, seed) for seed in SEEDS]
    bases = ["retained", "killed", "captured", "sampled"]
    found = js(
        "reckon/left.js",
        """(async () => {
          const { replay } = await import('/reckon/ledger.js');
          return data.books.map((entries, at) => {
            const state = replay(entries);
            return data.bases.map((basis) => m.leftFor(data.kit, state, data.lines[at], basis))
              .map(({left, allowed}) => [left, allowed]);
          });
        })()""",
        {"kit": kit_json, "books": [as_json(book) for book in books], "lines": lines, "bases": bases},
    )
    said = ("not", "possibly", "certainly")
    for book, line, page in zip(books, lines, found, strict=True):
        for basis, got in zip(bases, page, strict=True):
            left, allowed = left_for(kit, Book.of(book), animals_of(line), Basis(basis))
            assert got == [left, said[allowed]], (line, basis)


def duty_row(duty):
    return [
        duty.permit, duty.clause, duty.to, duty.why, duty.haul, duty.since.isoformat(timespec="seconds"),
        duty.by and duty.by.isoformat(timespec="seconds"), duty.written_by and duty.written_by.isoformat(),
    ]  # fmt: skip


JS_DUTY = """({clause, to, why, haul, since, clockEndsAt, writtenBy}) => (
  [clause.permit, clause.id, to, why, haul, since, clockEndsAt, writtenBy])"""


def test_who_is_told_by_when_and_what_stops_is_what_the_permit_engine_says(
    js, plain_books, kits, kit_json, outings, pack
):
    found = js(
        "reckon/duties.js",
        f"""(async () => {{
          const {{ replay }} = await import('/reckon/ledger.js');
          return data.books.map((entries, at) => {{
            const state = replay(entries);
            const stops = Object.fromEntries(data.hauls[at].map((haul) => [haul ?? '', m.stops(data.kit, state, haul)
              .map(({{permit, clause, stop, why, words}}) => [permit, clause, stop, why, words])]));
            return [m.duties(data.kit, state).map({JS_DUTY}), stops];
          }});
        }})()""",
        {
            "kit": kit_json,
            "books": [as_json(book) for book in plain_books],
            "hauls": [hauls_of(b) for b in plain_books],
        },
    )
    told = 0
    for book, (page_duties, page_stops) in zip(plain_books, found, strict=True):
        take = Take(account_of(merge(kits.strict_past(), Book.of(book))), kits.strict_permits(), pack)
        states = States(take)
        hauls = [haul.key for haul in account_of(Book.of(book)).hauls] or [None]
        wanted = {
            tuple(duty_row(duty))
            for permit in take.permits
            for haul in hauls
            for duty in duties(take, permit, states.current(permit, END_OF_DAY, outings.OUTING, haul))
            if duty.haul.startswith(outings.OUTING)
        }
        assert {tuple(row) for row in page_duties} == wanted
        told += len(wanted)
        for haul, rows in page_stops.items():
            held = {
                (permit.no, one.state.clause.id, str(one.stop), one.why, one.words)
                for permit in take.permits
                for one in stops(states, permit, END_OF_DAY, outings.OUTING, haul or None, ())
                if str(one.stop) != "none"
            }
            assert {tuple(row) for row in rows} == held, haul
    assert told > 200


JS_NOTICES = f"""(async () => {{
  const {{ replay }} = await import('/reckon/ledger.js');
  return data.books.map((entries, at) => {{
    const state = replay(entries);
    return data.lines[at].map((line) => m.notices(data.kit, line, state, data.at)
      .filter(({{clause, to}}) => clause && to).map({JS_DUTY}));
  }});
}})()"""


def all_duties(kits, pack, account):
    take = Take(account, kits.strict_permits(), pack)
    states = States(take)
    return {
        (duty.permit, duty.clause, duty.why, duty.haul): tuple(duty_row(duty))
        for permit in take.permits
        for haul in account.hauls
        for duty in duties(take, permit, states.current(permit, END_OF_DAY, haul.outing, haul.key))
        if haul.outing == "2026-09-26-a"
    }


def obliged_by_engine(kits, pack, known, before, after):
    """What the engine says with the line in the account, and did not say without."""
    account = account_of(merge(kits.strict_past(), known))
    rest = tuple(row for row in account.animals if row != before)
    now = all_duties(kits, pack, account)
    then = all_duties(kits, pack, replace(account, animals=(*rest, after)))
    return {row for key, row in then.items() if key not in now}


def fate_at(known, place):
    """Where a place puts animals now, as the ledger itself says."""
    return replay(known.standing()).fate_now(PlaceKey("2026-09-26-a", place))


def test_a_line_that_is_not_written_yet_obliges_to_what_the_permit_engine_says(
    js, plain_books, kits, kit_json, outings, pack
):
    # Without a landing the clock would be the call's own, which is not written yet.
    landed = [{haul.key for haul in account_of(Book.of(book)).hauls if haul.landed} for book in plain_books]
    lines = [
        [
            line
            for nth in range(4)
            if (line := asked_of(outings, 4000 + 4 * seed + nth))["haul"] in landed[seed]
        ]
        for seed in SEEDS
    ]
    data = {
        "kit": kit_json,
        "books": [as_json(b) for b in plain_books],
        "lines": lines,
        "at": END_OF_DAY.isoformat(),
    }
    told = 0
    for book, of_book, found in zip(
        plain_books, lines, js("reckon/duties.js", JS_NOTICES, data), strict=True
    ):
        known = Book.of(book)
        for line, page in zip(of_book, found, strict=True):
            after = animals_of(line, fate_at(known, line["to"]))
            assert {tuple(row) for row in page} == obliged_by_engine(kits, pack, known, None, after), line
            told += bool(page)
    assert told > 5


def test_keeping_or_killing_what_is_in_a_bucket_obliges_to_what_the_permit_engine_says(
    js, plain_books, kits, kit_json, pack
):
    lines, steps = [], []
    plain_books = plain_books[:25]
    for book in plain_books:
        known = Book.of(book)
        account = account_of(merge(kits.strict_past(), known))
        of_book, of_steps = [], []
        for row in account.animals:
            same = [
                one for one in account.animals
                if (one.place, one.taxon, one.stage, one.unit, one.haul)
                == (row.place, row.taxon, row.stage, row.unit, row.haul)
            ]  # fmt: skip
            if row.place.startswith("bucket") and row.fated is None and len(same) == 1:
                to = "killed-kept" if row.n % 2 else "dead-back"
                line = {"taxon": row.taxon, "n": row.n, "from": row.place, "to": to, "haul": row.haul}
                line |= {"stage": row.stage} if row.stage else {}
                line |= {"unit": row.unit} if row.unit not in ("individual", "egg_mass") else {}
                of_book.append(line)
                of_steps.append((row, replace(row, place=to, fate=fate_at(known, to))))
        lines.append(of_book)
        steps.append(of_steps)
    data = {
        "kit": kit_json,
        "books": [as_json(b) for b in plain_books],
        "lines": lines,
        "at": END_OF_DAY.isoformat(),
    }
    told = 0
    for book, of_steps, found in zip(
        plain_books, steps, js("reckon/duties.js", JS_NOTICES, data), strict=True
    ):
        for (before, after), page in zip(of_steps, found, strict=True):
            wanted = obliged_by_engine(kits, pack, Book.of(book), before, after)
            assert {tuple(row) for row in page} == wanted, after
            told += bool(page)
    assert told > 5


def test_the_packs_notices_are_its_own_words_and_of_a_group_those_of_its_kin(js, kit_json, pack):
    found = js("reckon/duties.js", "data.taxa.map(({key}) => m.notices(data, {taxon: key}))", kit_json)
    for key, page in zip(pack.taxa, found, strict=True):
        own = {str(kind): words for kind, words in kinds_of(pack[key]).items()}
        assert {one["kind"]: one["words"] for one in page if one["taxon"] == key} == own
        of_kin = [one for one in page if one["taxon"] != key]
        assert not of_kin or len(pack.below(key)) > 1
        for one in of_kin:
            assert pack.is_within(key, one["taxon"])
            assert pack[one["taxon"]].group == pack[key].group
        assert all(one["clockEndsAt"] is None for one in page)
    kinds = [{one["kind"] for one in page} for page in found]
    assert sum("protected" in each for each in kinds) == 5
    assert sum("invasive" in each for each in kinds) == 4


def test_a_clock_of_24_hours_runs_from_the_landing_on_the_permits_clock(js, kits, outings):
    """A.4.2: counted from the landing; the zone is the permit's, whatever the phone's."""
    pen = outings.Pen("d1", random.Random(0))
    pen.skew *= 0
    pen.write("haul-landed", {"haul": f"{outings.OUTING}/1", "condition": 1}, outings.START)
    line = {"taxon": "alewife", "n": 1, "from": "sea", "to": "back", "haul": f"{outings.OUTING}/1"}
    (kit, entries) = json.loads(kit_bytes(kits.strict_kit())), as_json(pen.entries)
    said = js(
        "reckon/duties.js",
        """(async () => {
          const {replay} = await import('/reckon/ledger.js');
          return m.notices(data[0], data[1], replay(data[2])).map((one) => ({...one, clause: one.clause?.id ?? null}));
        })()""",
        [kit, line, entries],
    )
    duty = next(one for one in said if one["clause"] == "seen")
    assert (duty["kind"], duty["to"], duty["why"]) == ("on_any", "the duty officer", "any captured animal")
    assert duty["since"] == "2026-09-26T13:00:00-03:00"
    assert duty["clockEndsAt"] == "2026-09-27T13:00:00-03:00"
    assert duty["writtenBy"] == "2026-10-06"
    assert duty["words"].startswith("Any alewife captured is told within 24 hours")
