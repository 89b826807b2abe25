"""Three devices write, strike and rename in any order and hear of each other late or twice: the balance holds.

The oracle is a tally that knows nothing of lots, credit or time: it adds up the lines that stand.
"""

from __future__ import annotations

import random
from collections import Counter
from datetime import datetime, timedelta

import hypothesis.strategies as st
from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from haulbook.custody.book import Book, merge
from haulbook.custody.discrepancies import discrepancies
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.fates import Fate
from haulbook.custody.ledger import account_of, balances
from haulbook.custody.places import SINKS
from haulbook.custody.striking import check_strike
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"  # an invented outing
DEVICES = ("d1", "d2", "desk")
START = datetime.fromisoformat("2027-05-14T06:30:00-04:00")

devices = st.sampled_from(DEVICES)
taxa = st.sampled_from(["cunner", "grubby", "?slimy"])
stages = st.sampled_from([None, "young"])
hauls = st.sampled_from([f"{OUTING}/1", f"{OUTING}/2"])
inside = st.sampled_from(["net", "bucket 1", "bucket 2", "cooler 1", "tank q1"])
sinks = st.sampled_from(sorted(set(SINKS) - {"escaped", "back-in-net"}))
counts = st.integers(1, 5)
sexes = st.sampled_from([None, "female", "male"])
skews = st.integers(-15, 15)


def tally(book):
    """Add up the lines that stand, place by place; the sea goes below zero by what came out of it."""
    struck = set()
    for entry in book.entries:
        if entry.kind == "strike":
            struck.update(entry.body["entries"])
    totals = Counter()
    for entry in book.entries:
        if entry.id in struck:
            continue
        for line in entry.body.get("lines", ()) if entry.kind == "move" else ():
            what = line["taxon"], line.get("stage"), line["haul"]
            totals[line["from"], *what] -= line["n"]
            totals[line["to"], *what] += line["n"]
        for line in entry.body.get("lines", ()) if entry.kind == "redetermination" else ():
            for side, sign in (("was", -1), ("now", 1)):
                what = line[side]["taxon"], line[side].get("stage"), line["haul"]
                totals[line["place"], *what] += sign * line["n"]
                totals["sea", *what] -= sign * line["n"]
    return {key: n for key, n in totals.items() if n}


class ThreeDevices(RuleBasedStateMachine):
    """Each device writes its own chain and knows what it has heard."""

    @initialize(keep=st.booleans())
    def begin(self, keep):
        self.chains = {device: [] for device in DEVICES}
        self.known = {device: Book() for device in DEVICES}
        self.minute = 0
        if keep:
            self.write("desk", "place", {"place": "bucket 1", "act": "set-up", "purpose": "keep"}, 0)

    def write(self, device, kind, body, skew):
        self.minute += 1
        at = (START + timedelta(minutes=self.minute + skew)).isoformat()
        entry_id = uuid8(f"{device} {len(self.chains[device])}".encode())
        before = self.chains[device][-1] if self.chains[device] else None
        (entry,) = chain([Draft(entry_id, at, at, "p3", OUTING, kind, body)], device, before)
        self.chains[device].append(entry)
        self.known[device] = merge(self.known[device], Book.of([entry]))

    @property
    def everything(self):
        return Book.of(entry for entries in self.chains.values() for entry in entries)

    def move(self, device, start, end, n, taxon, stage, haul, sex, skew):
        line = {"from": start, "to": end, "n": n, "taxon": taxon, "haul": haul}
        line |= {"stage": stage} if stage else {}
        line |= {"sex": sex} if sex else {}
        line |= {"cause": "jumped out"} if end == "lost" else {}
        self.write(device, "move", {"lines": [line]}, skew)

    @rule(
        device=devices,
        end=inside | sinks | st.just("escaped"),
        n=counts,
        taxon=taxa,
        stage=stages,
        haul=hauls,
        sex=sexes,
        skew=skews,
    )
    def call(self, device, end, n, taxon, stage, haul, sex, skew):
        self.move(device, "sea", end, n, taxon, stage, haul, sex, skew)

    @rule(
        device=devices,
        start=inside,
        end=inside | sinks,
        n=counts,
        taxon=taxa,
        stage=stages,
        haul=hauls,
        sex=sexes,
        skew=skews,
    )
    def sort(self, device, start, end, n, taxon, stage, haul, sex, skew):
        if start != end:
            self.move(device, start, end, n, taxon, stage, haul, sex, skew)

    @rule(device=devices, n=counts, end=sinks, data=st.data())
    def sort_what_is_there(self, device, n, end, data):
        rows = [row for row in balances(self.known[device]).inside.rows if row.n > 0]
        if rows:
            row = data.draw(st.sampled_from(rows))
            self.move(device, row.place, end, min(n, row.n), row.taxon, row.stage, row.haul, None, 0)

    @rule(
        device=devices,
        place=inside | sinks,
        n=counts,
        was=taxa,
        now=taxa,
        stage=stages,
        haul=hauls,
        skew=skews,
    )
    def redetermine(self, device, place, n, was, now, stage, haul, skew):
        if (was, None) != (now, stage):
            line = {
                "place": place,
                "haul": haul,
                "n": n,
                "was": {"taxon": was},
                "now": {"taxon": now, "stage": stage},
            }
            self.write(device, "redetermination", {"lines": [line], "why": "seen again"}, skew)

    @rule(device=devices, place=st.sampled_from(["bucket 1", "cooler 1"]), skew=skews)
    def leave_the_beach(self, device, place, skew):
        self.write(device, "place", {"place": place, "act": "left-beach"}, skew)

    @rule(device=devices, ask_first=st.booleans(), data=st.data())
    def strike(self, device, ask_first, data):
        entries = [entry for entry in self.known[device].entries if entry.kind != "strike"]
        if not entries:
            return
        named = [data.draw(st.sampled_from(entries)).id]
        before = account_of(self.known[device]).short
        if ask_first:
            try:
                check_strike(self.known[device], named)
            except Refusal:
                return
        self.write(device, "strike", {"entries": named, "reason": "slip"}, 0)
        if ask_first:
            short = {
                tuple(getattr(row, key) for key in ("place", "haul", "taxon", "stage")): row.n
                for row in before
            }
            for row in account_of(self.known[device]).short:
                assert row.n <= short.get((row.place, row.haul, row.taxon, row.stage), 0)

    @rule(hearing=devices, telling=devices)
    def hear(self, hearing, telling):
        self.known[hearing] = merge(self.known[hearing], self.known[telling], self.known[telling])

    @invariant()
    def every_place_is_what_the_tally_says_and_all_is_zero(self):
        for book in (*self.known.values(), self.everything) if hasattr(self, "known") else ():
            found = balances(book)
            assert {(row.place, row.taxon, row.stage, row.haul): row.n for row in found.rows} == tally(book)
            assert set(found.by("taxon", "stage", "unit").values()) <= {0}

    @invariant()
    def the_account_has_every_animal_once(self):
        if not hasattr(self, "known"):
            return
        account = account_of(self.everything)
        totals = Counter()
        for lot in account.animals:
            totals[lot.place, lot.taxon, lot.stage, lot.haul] += lot.n
            if lot.place in SINKS and not lot.later:
                assert lot.fate is SINKS[lot.place]
            if lot.later:
                assert lot.fate in (Fate.RETAINED_ALIVE, Fate.UNACCOUNTED)
            if lot.fated is None and not account.short:
                assert lot.place in ("net", "bucket 1", "bucket 2", "cooler 1")
            assert len(set(lot.entries)) == len(lot.entries) >= 1
        for row in account.short:
            totals[row.place, row.taxon, row.stage, row.haul] -= row.n
        expected = {key: n for key, n in tally(self.everything).items() if key[0] != "sea"}
        for row in account.short:
            assert expected[row.place, row.taxon, row.stage, row.haul] == -row.n
        assert {key: n for key, n in totals.items() if n} == expected

    def teardown(self):
        if not hasattr(self, "known"):
            return
        pieces = [Book.of([entry]) for entry in self.everything.entries]
        account = account_of(self.everything)
        found = discrepancies(self.everything)
        for seed in range(3):
            late = [*pieces, *random.Random(seed).sample(pieces, len(pieces) // 2)]
            random.Random(seed).shuffle(late)
            together = merge(*late, *self.known.values())
            assert together == self.everything
            assert account_of(together) == account
            assert discrepancies(together) == found
        below = {one.subject.split(" ", 1)[1] for one in found if one.kind == "below-zero"}
        assert below == {
            f"{row.place} {row.taxon} {row.stage or '-'} {row.unit} {row.haul}" for row in account.short
        }


ThreeDevices.TestCase.settings = settings(
    max_examples=120, stateful_step_count=30, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TestThreeDevices = ThreeDevices.TestCase
