"""The bodies of the lines that are written about a tank: what leaves it, what comes, better names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from haulbook.custody.facts import Account
from haulbook.custody.ledger import Holding
from haulbook.custody.reading_tanks import Held
from haulbook.problems import Problem, Refusal

ENDS = ("dead-kept", "dead-back", "killed-kept", "killed-back", "given", "back", "lost")
"""Where animals go for good; ``back`` only where a permit lets what was in captivity go."""
NEEDS_WORDS = {
    "lost": "missing animals need a cause: jumped, eaten, miscounted",
    "given": "say to whom they were given",
    "killed-kept": "say how and on whose word: killing is a veterinarian's decision",
    "killed-back": "say how and on whose word: killing is a veterinarian's decision",
}
"""What has to be said with an end, and why."""


@dataclass(frozen=True, slots=True)
class Lot:
    """Animals of one name, stage and unit in a tank; ``stage`` None: nobody said."""

    tank: str
    taxon: str
    stage: str | None
    unit: str = "individual"


def held_of(held: Sequence[Held], lot: Lot, haul: str = "") -> list[Held]:
    """Return what a lot consists of, the haul landed last first; only that of one haul where it is named."""
    mine = [
        one for one in held if Lot(one.tank, one.taxon, one.stage, one.unit) == lot and haul in ("", one.haul)
    ]
    return sorted(mine, key=lambda one: one.haul, reverse=True)


def leaving(
    held: Sequence[Held], lot: Lot, n: int, to: str, cause: str | None = None, haul: str = ""
) -> dict[str, Any]:
    """Return the body of a move out of a tank.

    Where nobody can tell of which haul the animals that go are, the last landed is taken, and said.

    Parameters
    ----------
    held : sequence of Held
        Everything that the tanks hold.
    lot : Lot
    n : int
    to : str
        Another tank's place or one of ``ENDS``.
    cause : str or None
        Needed for some ends, see ``NEEDS_WORDS``.
    haul : str
        Where the haul is known; empty where not.

    Raises
    ------
    Refusal
        More than the tank holds; nothing moved; what has to be said with it was not.
    """
    mine = held_of(held, lot, haul)
    problems = list(_too_many(mine, lot.tank, n, haul))
    if to == lot.tank:
        problems.append(Problem("refused", f"they are in {lot.tank} already", column="to"))
    if to in NEEDS_WORDS and not cause:
        problems.append(Problem("refused", NEEDS_WORDS[to], column="cause"))
    if problems:
        raise Refusal(problems)
    assumed = not haul and len(mine) > 1 and n < sum(one.n for one in mine)
    more: dict[str, Any] = {"stage": lot.stage, "cause": cause}
    if lot.unit not in ("individual", "egg_mass"):
        more["unit"] = lot.unit
    lines = []
    for one, taken in _first(mine, n):
        line = {"taxon": lot.taxon, "n": taken, "from": lot.tank, "to": to, "haul": one.haul}
        if assumed and "/" in one.haul:
            line["haul_assumed"] = True
        lines.append(line | {key: value for key, value in more.items() if value})
    return {"lines": lines}


def _too_many(mine: Sequence[Held], tank: str, n: int, haul: str) -> Iterator[Problem]:
    there = sum(one.n for one in mine)
    if n < 1:
        yield Problem("refused", "how many? Write 1 or more.", column="n")
    elif n > there:
        of = f" of haul {haul}" if haul else ""
        words = f"{tank} holds {there} of these{of} by the book; {n} can't leave it. Count again, and write that down"
        yield Problem("refused", words, column="n")


def _first(mine: Sequence[Held], n: int) -> Iterator[tuple[Held, int]]:
    for one in mine:
        taken = min(n, one.n)
        if taken:
            yield one, taken
        n -= taken


def arriving(entry: str, tank: str, taxon: str, stage: str | None, n: int, source: str) -> dict[str, Any]:
    """Return the body of a move that brings animals that came out of no haul: ``born`` or ``brought``.

    Parameters
    ----------
    entry : str
        Id of the entry that this is the body of: their haul.
    """
    if n < 1:
        raise Refusal(Problem("refused", "how many? Write 1 or more.", column="n"))
    line = {"taxon": taxon, "n": n, "from": source, "to": tank, "haul": entry}
    return {"lines": [line | ({"stage": stage} if stage else {})]}


def on_the_beach(account: Account) -> list[Holding]:
    """Return what stands in buckets and coolers, by outing, place, kind and haul."""
    counts: dict[tuple[str, str, str, str | None, str, str], int] = {}
    for lot in account.animals:
        if lot.place.startswith(("bucket ", "cooler ")):
            key = (lot.haul.rpartition("/")[0], lot.place, lot.taxon, lot.stage, lot.unit, lot.haul)
            counts[key] = counts.get(key, 0) + lot.n
    rows = [Holding(*key, n) for key, n in counts.items()]
    return sorted(rows, key=lambda row: (row.outing or "", row.place, row.taxon, row.stage or "", row.haul))


def carrying(rows: Sequence[Holding], n: int | None, tank: str) -> dict[str, Any]:
    """Return the body of a move out of a bucket or cooler of one outing into a tank.

    Parameters
    ----------
    rows : sequence of Holding
        What is carried, kind by kind; of one outing.
    n : int or None
        How many of it, where it is one kind; None: all.

    Raises
    ------
    Refusal
        More than are there, or part of several kinds.
    """
    there = sum(row.n for row in rows)
    if n is not None and len(rows) > 1 and n != there:
        words = "these are several kinds: leave the number empty for all of them, or choose one kind"
        raise Refusal(Problem("refused", words, column="n"))
    if n is not None and not 1 <= n <= there:
        words = f"{rows[0].place} holds {there} of these by the book; write 1 to {there}, or count again"
        raise Refusal(Problem("refused", words, column="n"))
    lines = []
    for row in rows:
        line: dict[str, Any] = {
            "taxon": row.taxon, "n": row.n if n is None or len(rows) > 1 else n, "from": row.place, "to": tank,
            "haul": row.haul,
        }  # fmt: skip
        if row.stage:
            line["stage"] = row.stage
        if row.unit not in ("individual", "egg_mass"):
            line["unit"] = row.unit
        lines.append(line)
    return {"lines": lines}


def renaming(
    held: Sequence[Held], lot: Lot, n: int, now: tuple[str, str | None], why: str, haul: str = ""
) -> dict[str, Any]:
    """Return the body of a better name for n animals of a tank.

    Parameters
    ----------
    now : (taxon, stage)
        ``stage`` None: the one they have stays.

    Raises
    ------
    Refusal
        More than the tank holds, no reason, or the name they have already.
    """
    mine = held_of(held, lot, haul)
    taxon, stage = now[0], now[1] or lot.stage
    problems = list(_too_many(mine, lot.tank, n, haul))
    if (taxon, stage) == (lot.taxon, lot.stage):
        problems.append(Problem("refused", "they have that name already", column="name"))
    if not why:
        problems.append(Problem("refused", "say what showed it", column="cause"))
    if problems:
        raise Refusal(problems)
    more = {"unit": lot.unit} if lot.unit not in ("individual", "egg_mass") else {}
    lines = [
        {
            "place": lot.tank, "haul": one.haul, "n": taken, "was": _named(lot.taxon, lot.stage),
            "now": _named(taxon, stage), **more,
        }
        for one, taken in _first(mine, n)
    ]  # fmt: skip
    return {"lines": lines, "why": why}


def _named(taxon: str, stage: str | None) -> dict[str, str]:
    return {"taxon": taxon, "stage": stage} if stage else {"taxon": taxon}
