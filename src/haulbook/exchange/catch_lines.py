"""Rows of a catch become lines of moves: how many went where, counted or judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from haulbook.exchange.remark_fates import RemarkFate
from haulbook.exchange.sheet_catch import NO_NAME, Catch, State, column_of
from haulbook.exchange.sheet_lengths import length_types
from haulbook.exchange.sheet_names import Named, Names

_SEXES = {"f": "female", "female": "female", "m": "male", "male": "male", "hermaphrodite": "hermaphrodite"}
KEPT = "kept"
_KEPT = frozenset({"kept", "dead-kept", "killed-kept"})
_LOST_BECAUSE = "the sheet says so"


@dataclass(frozen=True, slots=True)
class Line:
    """What one row (or one cell of a wide sheet) says was caught.

    Attributes
    ----------
    file, sheet, row
        Where it stands.
    column : str
        Heading of the taxon's column in a wide sheet, else "".
    haul : str
        Key of the sheet.
    taxon : str
        Key of the pack, or ``?`` and the name as written.
    state : State
    moves : tuple of mapping
        Lines of a move, all but their haul.
    measured : mapping or None
        Body of a ``lengths`` entry, all but its haul, where a lump has a length.
    """

    file: str
    sheet: str | None
    row: int
    column: str
    haul: str
    taxon: str
    state: State
    moves: tuple[Mapping[str, Any], ...] = ()
    measured: Mapping[str, Any] | None = None

    @property
    def places(self) -> frozenset[str]:
        """Places that animals of the row went to; ``kept`` stands for a bucket to keep."""
        return frozenset(move["to"] for move in self.moves)

    def bodies(self, haul: str, bucket: str) -> Iterator[tuple[str, dict[str, Any]]]:
        """Yield kind and body of each entry that the row makes, for a haul and a bucket to keep of the book."""
        if self.moves:
            places = [bucket if move["to"] == KEPT else move["to"] for move in self.moves]
            lines = [{**move, "to": to, "haul": haul} for move, to in zip(self.moves, places, strict=True)]
            yield "move", {"lines": lines}
        elif self.state == State.PRESENT:
            yield "present", {"haul": haul, "taxon": self.taxon}
        elif self.state == State.NONE and self.taxon:
            yield "searched-and-none", {"haul": haul, "taxa": [self.taxon]}
        if self.measured is not None:
            yield "lengths", {"haul": haul, **self.measured}


def lines_of(catch: Catch, names: Names, default: str, remark_fates: Iterable[RemarkFate]) -> Iterator[Line]:
    """Yield the lines of a catch in the order of its rows; rows that are still asked make none.

    Parameters
    ----------
    default : str
        Where animals went of which the row says nothing; ``net`` leaves them unaccounted.
    """
    told = _shared_out(catch, remark_fates)
    kinds = length_types(catch.table, catch.part)
    sexes = column_of("sex", catch.table, catch.part)
    wide = catch.part.rows == "wide"
    for i in np.flatnonzero(catch.state != State.OPEN).tolist():
        name, state = catch.name[i], State(int(catch.state[i]))
        named = names.of(name)
        stage = catch.our_stage[catch.stage[i]] or named.stage
        length = float(catch.length_mm[i]) if catch.length_mm is not None else np.nan
        n, row = int(catch.n[i]), catch.row(i)
        said = _said(catch, i, named, stage)
        if sexes is not None and (sex := _SEXES.get(sexes[int(catch.at[i])].strip().casefold())):
            said["sex"] = sex
        measured = None
        if not np.isnan(length):
            size = {"length_mm": length, "length_type": kinds[int(catch.at[i])]}
            if n == 1:
                said |= size
            else:
                measured = {"taxon": named.taxon, "length_type": size["length_type"], "mm": [length]}
        placeholder = state == State.NONE and (name == NO_NAME or catch.says_nothing(name))
        yield Line(
            catch.table.file,
            catch.table.sheet,
            row,
            catch.heading(i) if wide else "",
            catch.haul[i],
            "" if placeholder else named.taxon,
            state,
            tuple(
                _moves(
                    said,
                    n,
                    int(catch.judged[i]),
                    _places(catch, i, default, told.get((row, name), ())),
                )
            ),
            measured,
        )


def _said(catch: Catch, i: int, named: Named, stage: str | None) -> dict[str, Any]:
    """Return what is the same for all animals of a row."""
    word = catch.stage[i]
    said: dict[str, Any] = {"from": "sea", "said": f"{catch.name[i].strip()}{f', {word}' if word else ''}",
                            "taxon": named.taxon}  # fmt: skip
    if stage:
        said["stage"] = stage
    if named.doubt:
        said["doubt"] = "name"
    return said


def _shared_out(catch: Catch, fates: Iterable[RemarkFate]) -> dict[tuple[int, str], list[tuple[str, int]]]:
    """Return for each row and name which fates remarks gave to how many, rows filled from the first on."""
    found: dict[tuple[int, str], list[tuple[str, int]]] = {}
    held = {(catch.row(i), catch.name[i]): int(catch.n[i]) for i in np.flatnonzero(catch.n > 0).tolist()}
    for fate in fates:
        if fate.catch is not catch:
            continue
        left = fate.n
        for row in fate.rows:
            here = min(left, held.get((row, fate.taxon), 0))
            if here:
                found.setdefault((row, fate.taxon), []).append((fate.fate, here))
                left -= here
    return found


def _places(catch: Catch, i: int, default: str, told: Iterable[tuple[str, int]]) -> list[tuple[str, int]]:
    """Return how many animals of a row went where: by remark, then the dead, then the row's own fate."""
    left = int(catch.n[i])
    rest = (catch.fate[int(catch.at[i])] if catch.fate is not None else "") or default
    places = list(told)
    if catch.dead is not None:
        places.append(("dead-kept" if rest in _KEPT else "dead-back", int(catch.dead[i])))
    found = []
    for place, n in [*places, (rest, left)]:
        here = min(n, left)
        if here:
            found.append((place, here))
            left -= here
    return found


def _moves(
    said: Mapping[str, Any], n: int, judged: int, places: Iterable[tuple[str, int]]
) -> Iterator[dict[str, Any]]:
    counted = n - judged
    for place, here in places:
        extra = {"cause": _LOST_BECAUSE} if place == "lost" else {}
        certain = min(here, counted)
        counted -= certain
        for basis, some in (("counted", certain), ("judged", here - certain)):
            if some:
                yield {**said, "n": some, "to": place, "basis": basis, **extra}
