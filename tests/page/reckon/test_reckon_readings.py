"""What the page shows of an outing beside the account: places, balance, open names, what was not seen here."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest

pytestmark = pytest.mark.browser

SEEDS = range(70)


def as_json(entries):
    return [entry.as_json() for entry in entries]


class Beach:
    """One phone on one invented outing, a minute between two entries."""

    def __init__(self, outings):
        self.pen = outings.Pen("d1", random.Random(0))
        self.pen.skew *= 0
        self.now, self.haul = outings.START, f"{outings.OUTING}/1"

    def write(self, kind, body):
        self.now += timedelta(minutes=1)
        return self.pen.write(kind, body, self.now)

    def move(self, n, taxon, start, end, **more):
        line = {"taxon": taxon, "n": n, "from": start, "to": end, "haul": self.haul, **more}
        return self.write("move", {"lines": [line]})

    @property
    def entries(self):
        return as_json(self.pen.entries)


@pytest.fixture
def beach(outings):
    return Beach(outings)


def test_what_came_out_of_the_sea_is_where_it_is_whatever_was_entered(js, outings):
    found = js(
        "reckon/ledger.js",
        """data.map((entries) => { const s = m.replay(entries);
          const inside = s.places.reduce((sum, {n}) => sum + n, 0);
          const outside = Object.values(s.outside).reduce((sum, n) => sum + n, 0);
          return [s.outOfSea, inside + outside, s.accounted + s.difference, s.difference,
            s.notFound.reduce((sum, {n}) => sum + n, 0)]; })""",
        [as_json(outings.outing(seed)) for seed in SEEDS],
    )
    for sea, where, shown, difference, named in found:
        # Below zero inside places stand with their minus, so the double entry closes whatever was entered.
        assert sea == where == shown
        assert difference == named
    assert sum(1 for one in found if one[3]) > 20


def test_a_recount_that_finds_fewer_is_named_until_they_are_entered_as_lost(js, beach):
    beach.move(5, "grubby", "sea", "bucket 2")
    count = beach.write("counted-again", {"place": "bucket 2", "taxon": "grubby", "n": 4})
    shown = "[m.replay(data)].map((s) => [s.outOfSea, s.accounted, s.difference, s.notFound])[0]"
    missing = {"place": "bucket 2", "taxon": "grubby", "stage": None, "n": 1, "entry": count.id}
    assert js("reckon/ledger.js", shown, beach.entries) == [5, 4, 1, [missing]]
    beach.move(1, "grubby", "bucket 2", "lost", cause="jumped out")
    assert js("reckon/ledger.js", shown, beach.entries) == [5, 5, 0, []]


def test_a_recount_whose_two_sides_stand_is_no_difference(js, beach):
    beach.move(5, "grubby", "sea", "bucket 2")
    count = beach.write("counted-again", {"place": "bucket 2", "taxon": "grubby", "n": 7})
    assert js("reckon/ledger.js", "m.replay(data).difference", beach.entries) == -2
    beach.write(
        "settled", {"key": f"count-differs:{count.id}", "answer": "both stand", "why": "eggs hatched"}
    )
    assert js("reckon/ledger.js", "m.replay(data).difference", beach.entries) == 0


def test_a_bucket_knows_its_water_its_job_and_when_it_left(js, beach):
    plan = {"buckets": [{"place": "bucket 1", "purpose": "keep", "litres": 14, "air_per_h": 3}]}
    beach.write(
        "outing-opened",
        {"plan": plan, "digest": None, "pack": "nwatlantic", "version": "1", "permits": [], "looked_for": []},
    )
    beach.move(3, "cunner", "sea", "bucket 1", berried=True)
    beach.write("place", {"place": "bucket 1", "act": "lid"})
    beach.write("reading", {"place": "bucket 1", "instrument": "t1", "temperature_c": 17.5})
    bucket = """(({flow, readings, ...one}) => (
      {...one, came: flow.map(({taxon, n}) => [taxon, n]), read: readings.length}))"""
    (one,) = js("reckon/ledger.js", f"m.replay(data).places.map({bucket})", beach.entries)
    assert (one["place"], one["purpose"], one["litres"], one["airPerH"], one["lid"]) == (
        "bucket 1",
        "keep",
        14,
        3,
        True,
    )
    assert (one["n"], one["came"], one["read"], one["leftAt"]) == (3, [["cunner", 3]], 1, None)
    assert one["reading"]["body"]["temperature_c"] == 17.5
    assert one["lots"] == [
        {"taxon": "cunner", "stage": None, "unit": "individual", "haul": beach.haul, "n": 3, "berried": True,
         "basis": "counted", "haul_assumed": False}
    ]  # fmt: skip
    beach.write("place", {"place": "bucket 1", "act": "water-changed", "litres": 12})
    beach.write("place", {"place": "bucket 1", "act": "purpose", "purpose": "release"})
    left = beach.write("place", {"place": "bucket 1", "act": "left-beach"})
    (one,) = js("reckon/ledger.js", f"m.replay(data).places.map({bucket})", beach.entries)
    assert (one["purpose"], one["litres"], one["lid"], one["leftAt"]) == ("release", 12, False, left.at)
    assert one["changedAt"] == round((beach.now - timedelta(minutes=2)).timestamp() * 1000)


def test_an_egg_mass_is_listed_and_is_no_animal(js, beach):
    beach.move(2, "moon-snail", "sea", "bucket 1", stage="egg mass")
    beach.move(1, "cunner", "sea", "bucket 1")
    place, haul, sea = js(
        "reckon/ledger.js",
        "[m.replay(data)].map((s) => [s.place('bucket 1'), s.hauls[0], s.outOfSea])[0]",
        beach.entries,
    )
    assert (place["n"], haul["n"], sea) == (1, 1, 1)
    assert [(row["taxon"], row["n"], row["unit"]) for row in haul["taxa"]] == [
        ("moon-snail", 2, "egg_mass"),
        ("cunner", 1, "individual"),
    ]


def test_a_name_that_is_open_waits_with_its_number_until_it_is_settled(js, beach):
    beach.move(2, "?slimy", "sea", "bucket 1")
    more = beach.move(1, "?slimy", "sea", "back")
    first, *_ = beach.pen.entries
    names = js("reckon/ledger.js", "m.replay(data).openNames", beach.entries)
    assert names == [{"name": "?slimy", "n": 3, "hauls": [beach.haul], "entries": [first.id, more.id]}]


def test_a_line_from_where_this_phone_saw_too_few_arrive_is_marked(js, beach, outings):
    beach.move(2, "cunner", "sea", "bucket 1")
    line = {"taxon": "cunner", "n": 2, "from": "bucket 1", "to": "back", "haul": beach.haul}
    asked = [
        line,
        {**line, "n": 3},
        {**line, "stage": "young"},
        {**line, "from": "bucket 2"},
        {**line, "from": "sea"},
    ]
    seen = js(
        "reckon/ledger.js",
        "[m.replay(data[0])].map((s) => data[1].map((line) => s.notSeenHere(line, data[2])))[0]",
        [beach.entries, asked, outings.OUTING],
    )
    assert seen == [False, True, True, True, False]


def test_every_entry_says_what_it_says_and_whether_it_was_struck(js, beach):
    call = beach.move(2, "cunner", "sea", "bucket 1")
    beach.write("searched-and-none", {"haul": beach.haul, "taxa": ["rock-gunnel"]})
    beach.write("present", {"haul": beach.haul, "taxon": "palaemon"})
    strike = beach.write("strike", {"entries": [call.id], "reason": "slip"})
    calls = js(
        "reckon/ledger.js",
        "m.replay(data).calls.map(({kind, struckBy, says}) => [kind, struckBy, says])",
        beach.entries,
    )
    assert [(kind, struck) for kind, struck, _ in calls] == [
        ("move", strike.id), ("searched-and-none", None), ("present", None), ("strike", None)
    ]  # fmt: skip
    assert calls[1][2] == [{"haul": beach.haul, "taxon": "rock-gunnel", "n": 0, "zero": True}]
    assert calls[2][2] == [{"haul": beach.haul, "taxon": "palaemon", "present": True}]


def test_questions_speak_in_the_names_that_are_handed_in(js, beach):
    beach.move(2, "cunner", "sea", "bucket 1", stage="young")
    expression = """(async () => {
      const {openThings} = await import('/reckon/questions.js');
      const how = {nameOf: (key) => key.toUpperCase()};
      return openThings(m.replay(data), '2026-09-26-a', how).map(({words}) => words);
    })()"""
    assert js("reckon/ledger.js", expression, beach.entries) == [
        "bucket 1 still holds 2 CUNNER (young): say where they went"
    ]


def test_an_outing_alone_says_nothing_of_gaps_but_shows_forks(js, outings):
    """The phone's own chain goes on through other outings: what is not in this one is not missing."""
    book = as_json(outings.outing(1))[3:]
    expression = """(async () => { const {discrepancies} = await import('/reckon/questions.js');
      return discrepancies(m.replay(data)).map(({kind}) => kind); })()"""
    assert "gap" not in js("reckon/ledger.js", expression, book)
    twin = {**book[0], "id": "01890000-0000-7000-8000-000000000000", "hash": "0" * 64}
    assert "fork" in js("reckon/ledger.js", expression, [*book, twin])


def tap(n, outing):
    """The n-th of many taps, a second after the one before."""
    line = {"taxon": ("cunner", "grubby", "palaemon")[n % 3], "n": 1, "from": "sea", "haul": f"{outing}/1"}
    line["to"] = ("back", "bucket 1", "net")[n % 7 % 3]
    at = f"2026-09-26T{8 + n // 3600:02}:{n // 60 % 60:02}:{n % 60:02}-04:00"
    told = {
        "id": f"id{n}",
        "hash": f"h{n}",
        "prev": f"h{n - 1}",
        "at": at,
        "made_at": at,
        "body": {"lines": [line]},
    }
    return {"device": "d1", "seq": n, "by": "p3", "outing": outing, "kind": "move", **told}


def test_2000_entries_do_not_slow_a_tap_down(js, outings):
    """A tap goes on from what was read so far; the bound on the time is wide, for a machine with other work to do."""
    entries = [tap(n, outings.OUTING) for n in range(1, 2101)]
    went_on, middle, n = js(
        "reckon/ledger.js",
        """(() => {
          let state = m.replay(data.slice(0, 2000));
          const {happened} = state;
          const times = [];
          for (const entry of data.slice(2000)) {
            const begin = performance.now();
            state = m.extend(state, [entry]);
            times.push([state.hauls, state.places, state.difference] && performance.now() - begin);
          }
          return [state.happened === happened, times.sort((a, b) => a - b)[50], state.hauls[0].n];
        })()""",
        entries,
    )
    assert (went_on, n) == (True, 2100)
    assert middle < 20
