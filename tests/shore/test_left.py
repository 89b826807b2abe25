"""The phone's arithmetic and the permit engine say the same, whatever is called after the kit was made.

The oracle is the permit engine over the whole book, later entries included; the phone has the kit and the entries
of its outing.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from haulbook.custody.book import Book, merge
from haulbook.custody.facts import Animals
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.ledger import account_of
from haulbook.custody.when import When
from haulbook.demo.season import season
from haulbook.exchange.permit_toml import read_permit
from haulbook.permit.headroom import headroom
from haulbook.permit.headroom import left_for as left_by_engine
from haulbook.permit.state import States
from haulbook.permit.take import Take
from haulbook.shore import standings
from haulbook.shore.left import left_for

TAXA = (
    "cunner", "grubby", "cottidae", "actinopterygii", "fourspine-stickleback", "brachyura",
    "european-green-crab", "palaemon", "animalia", "?slimy",
)  # fmt: skip
PLACES = (
    "net", "bucket 1", "bucket 2", "cooler 1", "back", "dead-back", "dead-kept", "killed-kept", "killed-back",
    "back-in-net", "escaped", "lost",
)  # fmt: skip
END_OF_DAY = datetime.fromisoformat("2026-09-26T23:59:59.999999-04:00")


def some(**choices):
    """Keys of a line that may be there or not."""
    return st.fixed_dictionaries(
        {}, optional={key: st.sampled_from(values) for key, values in choices.items()}
    )


details = some(
    stage=["young", "adult"], sex=["female", "male"], origin=["wild", "hatchery"], doubt=["name", "count"],
    haul_assumed=[True], said=["two smolts", "a fish"],
)  # fmt: skip
lengths = st.sampled_from([{}, *({"length_mm": mm, "length_type": "total"} for mm in (59.9, 60, 90.5, 120))])
calls = st.tuples(
    st.integers(1, 4),
    st.sampled_from(TAXA),
    st.sampled_from(PLACES),
    st.sampled_from([1, 2]),
    details,
    lengths,
)
later = st.sampled_from(
    ["none", "strike", "back", "dead", "rename", "tissue", "dies soon", "dies late", "purpose", "egg"]
)


def write(pen, call, then):
    """Write one call and what happened next to it; the phone takes whatever the ledger takes."""
    n, taxon, place, haul, more, length = call
    more = more | length | ({"cause": "jumped out"} if place == "lost" else {})
    entry = pen.move(n, taxon, place, haul, **more)
    inside = place.startswith(("bucket", "cooler"))
    if then == "strike":
        pen.write("strike", {"entries": [entry.id], "reason": "slip"})
    elif then in ("back", "dead") and inside:
        stage = {"stage": more["stage"]} if "stage" in more else {}
        pen.move(1, taxon, {"back": "back", "dead": "dead-kept"}[then], haul, start=place, **stage)
    elif then == "rename" and inside and taxon != "palaemon":
        was = {"taxon": taxon, "stage": more.get("stage")}
        line = {
            "place": place,
            "haul": f"{pen.outing}/{haul}",
            "n": 1,
            "was": was,
            "now": {"taxon": "palaemon"},
        }
        pen.write("redetermination", {"lines": [line], "why": "seen closer"})
    elif then == "tissue" and not taxon.startswith("?"):
        body = {"haul": f"{pen.outing}/{haul}", "taxon": taxon, "length_type": "total", "mm": [50, 51]}
        pen.write("lengths", {**body, "tissue": True})
    elif then.startswith("dies") and inside:
        pen.write("place", {"place": place, "act": "left-beach"})
        pen.at += timedelta(minutes=25 if then == "dies soon" else 55)
        stage = {"stage": more["stage"]} if "stage" in more else {}
        pen.move(1, taxon, "dead-kept", haul, start=place, **stage)
    elif then == "purpose" and place.startswith("bucket"):
        pen.write("place", {"place": place, "act": "purpose", "purpose": "release"})
    elif then == "egg":
        pen.move(n, taxon, place, haul, stage="egg mass", **({"cause": "burst"} if place == "lost" else {}))


def by_engine(permits, pack, book, outing, haul):
    """Certain, possible, what is left, and the denominator of each clause, from the whole book."""
    take = Take(account_of(book), permits, pack)
    return {
        (row.state.permit, row.state.clause.id): (row.state.n, row.state.possible, row.left, row.state.d or 0)
        for row in headroom(take, END_OF_DAY, outing, haul)
    }


def by_phone(kit, known, haul):
    return {
        (one.clause.permit, one.clause.id): (one.n, one.possible, one.left, one.of)
        for one in standings(kit, known, haul)
    }


class Named(SimpleNamespace):
    """Hypothesis prints its name, not its thousand entries."""

    def __repr__(self):
        return self.name


@pytest.fixture(scope="module")
def past(beach):
    """Two strict permits, and an outing in spring under them."""
    pen = beach.pens("d1", "2026-05-02-a", datetime.fromisoformat("2026-05-02T09:00:00-04:00"))
    pen.open()
    pen.haul(1, site="sallowhorn-cove", net="n1")
    for n, taxon, place in (
        (6, "cunner", "bucket 1"),
        (2, "grubby", "dead-back"),
        (3, "cottidae", "bucket 1"),
    ):
        pen.move(n, taxon, place)
    pen.move(2, "?slimy", "bucket 1")
    files = (Path(__file__).with_name(name) for name in ("strict.toml", "other.toml"))
    permits = tuple(read_permit(file, beach.pack) for file in files)
    return Named(name="past", book=Book.of(pen.entries), permits=permits)


@pytest.fixture(scope="module")
def demo(beach, permit):
    """The invented season, its permit and the kit made from it."""
    book = season()[1]
    return Named(name="demo", book=book, permits=(permit,), kit=beach.compile(book, (permit,)))


def a_bit_of_everything(pen):
    """Every way in which a clause of the strict permits can mean an animal, or pass it over."""
    pen.open()
    pen.haul(1, site="sallowhorn-cove", net="n1")
    pen.haul(2, site="elsewhere", net="n1")
    pen.haul(3)
    pen.haul(4, site="sallowhorn-cove", net="n2")
    for mm, type_ in ((59.9, "total"), (60, "total"), (90.4, "total"), (90.5, "total"), (70, "fork")):
        pen.move(1, "cunner", "bucket 1", length_mm=mm, length_type=type_)
    for haul in (1, 2, 3, 4):
        pen.move(haul, "cunner", "killed-back", haul)
    pen.move(1, "cunner", "bucket 1", 2, haul_assumed=True, length_mm=70, length_type="total")
    for stage in ({}, {"stage": "young"}, {"stage": "adult"}):
        for taxon in ("grubby", "longhorn-sculpin", "cottidae"):
            pen.move(1, taxon, "bucket 1", **stage)
    pen.move(2, "alewife", "bucket 1", said="two smolts", stage="young")
    pen.move(1, "alewife", "bucket 1", said="one smoltish alewife", stage="young")
    pen.move(1, "cunner", "back", doubt="name")
    pen.move(1, "animalia", "back", doubt="name")
    pen.move(2, "brachyura", "bucket 1", sex="female")
    pen.move(1, "brachyura", "bucket 1", sex="male")
    pen.move(1, "cunner", "bucket 1", origin="hatchery")
    pen.move(1, "cunner", "lost", cause="jumped out")
    for more in ({}, {"tissue": False}, {"tissue": True}, {"tissue": True, "sex": "female"}):
        body = {"haul": f"{pen.outing}/1", "taxon": "cunner", "length_type": "total", "mm": [50, 51]}
        pen.write("lengths", {**body, **more})
    pen.move(8, "palaemon", "bucket 2")
    pen.write("place", {"place": "bucket 2", "act": "left-beach"})
    pen.move(1, "palaemon", "dead-kept", start="bucket 2")
    pen.move(1, "palaemon", "lost", start="bucket 2", cause="jumped out")
    pen.move(1, "palaemon", "killed-kept", start="bucket 2")
    pen.at += timedelta(hours=1)
    pen.move(1, "palaemon", "dead-kept", start="bucket 2")
    return pen


def test_every_way_of_meaning_an_animal_counts_as_in_the_engine(beach, past):
    pen = a_bit_of_everything(beach.pens(start=beach.made_at - timedelta(hours=3)))
    kit = beach.compile(past.book, past.permits)
    whole = merge(past.book, Book.of(pen.entries))
    for haul in (1, 2, 3, 4):
        phone = by_phone(kit, Book.of(pen.entries), f"{pen.outing}/{haul}")
        assert phone == by_engine(past.permits, beach.pack, whole, pen.outing, f"{pen.outing}/{haul}")


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(calls, later), min_size=1, max_size=7), st.floats(0, 1))
def test_what_is_left_on_the_phone_is_what_the_permit_engine_says(beach, past, drawn, share):
    pen = beach.pens(start=beach.made_at - timedelta(hours=3))
    pen.open()
    pen.haul(1, site="sallowhorn-cove", net="n1")
    pen.haul(2)
    for call, then in drawn:
        write(pen, call, then)
    known = pen.entries[: round(share * len(pen.entries))]
    kit = beach.compile(merge(past.book, Book.of(known)), past.permits)
    whole = merge(past.book, Book.of(pen.entries))
    for haul in (f"{pen.outing}/1", f"{pen.outing}/2"):
        phone = by_phone(kit, Book.of(pen.entries), haul)
        assert phone == by_engine(past.permits, beach.pack, whole, pen.outing, haul)


@settings(max_examples=25, deadline=None)
@given(st.lists(calls, max_size=5), calls, st.sampled_from([Basis.RETAINED, Basis.KILLED, Basis.CAPTURED]))
def test_what_is_left_for_one_animal_is_the_least_over_all_clauses(beach, past, drawn, asked, basis):
    pen = beach.pens()
    pen.haul(1, site="sallowhorn-cove", net="n1")
    for call in drawn:
        write(pen, call, "none")
    kit = beach.compile(past.book, past.permits)
    n, taxon, _, haul, more, length = asked
    animals = Animals(
        f"{pen.outing}/{haul}",
        taxon,
        n,
        Fate.RETAINED_ALIVE,
        "bucket 1",
        When(beach.made_at.isoformat()),
        **more,
        **length,
    )
    whole = merge(past.book, Book.of(pen.entries))
    states = States(Take(account_of(whole), past.permits, beach.pack))
    wanted = left_by_engine(states, animals, basis, END_OF_DAY)
    assert left_for(kit, Book.of(pen.entries), animals, basis) == (wanted.n, wanted.allowed)


keeps = st.lists(
    st.tuples(
        st.integers(1, 5),
        st.sampled_from(["northern-pipefish", "cunner", "grubby", "palaemon", "alewife", "syngnathidae"]),
        st.sampled_from(["bucket 1", "back", "dead-back"]),
    ),
    max_size=8,
)


@settings(max_examples=8, deadline=None)
@given(keeps)
def test_keeping_on_the_demo_season_leaves_what_the_engine_says(beach, demo, drawn):
    pen = beach.pens()
    pen.open()
    pen.haul(1, site="sallowhorn-cove", net="n1")
    for n, taxon, place in drawn:
        pen.move(n, taxon, place)
    haul, whole = f"{pen.outing}/1", merge(demo.book, Book.of(pen.entries))
    phone = by_phone(demo.kit, Book.of(pen.entries), haul)
    assert phone == by_engine(demo.permits, beach.pack, whole, pen.outing, haul)


def test_before_is_what_the_engine_counts_without_the_outing(beach, demo):
    take = Take(account_of(demo.book), demo.permits, beach.pack)
    rows = {row.state.clause.id: row.state for row in headroom(take, END_OF_DAY, demo.kit.outing)}
    for clause in demo.kit.clauses:
        assert clause.before == rows[clause.id].n
        assert clause.left == (None if clause.limit is None else clause.limit - clause.before)
    assert any(clause.before for clause in demo.kit.clauses)


def test_left_at_worst_counts_what_may_be_meant(beach, demo):
    pen = beach.pens()
    pen.open()
    pen.haul(1)
    pen.move(2, "northern-pipefish", "bucket 1")
    pen.move(1, "syngnathidae", "bucket 1")
    outing = {one.clause.id: one for one in standings(demo.kit, Book.of(pen.entries))}["2b"]
    assert (outing.left, outing.left_at_worst) == (2, 1)


def test_a_later_kit_does_not_count_the_same_animals_twice(beach, demo):
    pen = beach.pens()
    pen.open()
    pen.haul(1)
    pen.move(3, "northern-pipefish", "bucket 1")
    book = Book.of(pen.entries)
    for known in (Book(), book):
        kit = beach.compile(known, demo.permits)
        standing = {one.clause.id: one for one in standings(kit, book)}
        assert (standing["2b"].n, standing["2b"].left) == (3, 1)
        assert {clause.id: clause.before for clause in kit.clauses}["2b"] == 0
