"""Two typings of one sheet, place by place: where they differ, and the sheet that follows once that is settled."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from haulbook.office.sheet_cells import meaning
from haulbook.office.typed_sheet import BASIS, FATES, HEAD, TypedSheet, any_text, typed_sheet
from haulbook.taxa import Pack

THERE, NOT_THERE = "there", "not there"
"""Answers to a line that only one of the two typed."""
LINE = "line"
"""In place of a place: the whole line."""

Says = Callable[[str, str], Any]
Same = Callable[[str, str, str], bool]


@dataclass(frozen=True, slots=True)
class Pair:
    """One line of the sheet: its number in the first and in the second typing, from 1; None where it isn't there."""

    first: int | None
    second: int | None


@dataclass(frozen=True, slots=True)
class Difference:
    """One place at which two typings differ.

    Attributes
    ----------
    key : str
        Names it in answers: ``head.landed``, ``3.back``, ``3.line``, ``sum.back``.
    place : str
        Place of a sheet, or ``line`` where only one of them has the line.
    first, second : str
        As typed; of a whole line, all its texts.
    line : int or None
        Number of the line among the lines of both, from 1.
    name : str
        Name that stands in the line, to find it by.
    """

    key: str
    place: str
    first: str
    second: str
    line: int | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two typings side by side.

    Attributes
    ----------
    first, second : TypedSheet
    pairs : tuple of Pair
        The lines of both, blank ones left out, in the order of the sheet.
    differences : tuple of Difference
        In the order of the sheet.
    """

    first: TypedSheet
    second: TypedSheet
    pairs: tuple[Pair, ...]
    differences: tuple[Difference, ...]

    def open(self, answers: Mapping[str, str]) -> tuple[Difference, ...]:
        """Return the differences that nobody has settled."""
        return tuple(one for one in self.differences if one.key not in answers)

    def settled(self, answers: Mapping[str, str]) -> TypedSheet:
        """Return the sheet as both have it, with the answers at the places of their keys.

        Parameters
        ----------
        answers : mapping of key to text
            A text for a place, also for one at which both agree; ``there`` or ``not there`` for a whole line. Until a
            difference is answered, the first typing stands.
        """
        return typed_sheet(
            _answered("head", self.first.head, self.second.head, answers),
            (*self.first.columns, *self.second.columns),
            self._lines(answers),
            _answered("sum", self.first.sums, self.second.sums, answers),
        )

    def _lines(self, answers: Mapping[str, str]) -> Iterator[Mapping[str, str]]:
        for number, pair in enumerate(self.pairs, 1):
            if answers.get(f"{number}.{LINE}", THERE) == NOT_THERE:
                yield {}
                continue
            first = self.first.lines[pair.first - 1] if pair.first else {}
            second = self.second.lines[pair.second - 1] if pair.second else {}
            yield _answered(str(number), first or second, second or first, answers)


def compare_typings(first: TypedSheet, second: TypedSheet, pack: Pack) -> Comparison:
    """Return where two typings of a sheet differ.

    What says the same is no difference, however it was written. Lines are met by what stands in them, so that a line
    which one of the two left out is one difference and not one in every line after it.
    """

    @cache
    def says(place: str, text: str) -> Any:
        return meaning(place, text, pack)

    def same(place: str, one: str, other: str) -> bool:
        return one == other or says(place, one) == says(place, other)

    pairs = _pairs(first, second, says)
    found = [
        *_in_places("head", first.head, second.head, _head_places(first, second), same),
        *_in_lines(first, second, pairs, same),
        *_in_places("sum", first.sums, second.sums, (*FATES, "all"), same),
    ]
    return Comparison(first, second, pairs, tuple(found))


def _head_places(first: TypedSheet, second: TypedSheet) -> tuple[str, ...]:
    ticked = sorted({place for sheet in (first, second) for place in sheet.head if place not in HEAD})
    unmeasured = {
        basis for letter, basis in BASIS.items() if not (first.head.get(letter) or second.head.get(letter))
    }
    return (*(place for place in HEAD if place not in unmeasured), *ticked)


def _in_places(
    where: str, first: Mapping[str, str], second: Mapping[str, str], places: tuple[str, ...], same: Same
) -> Iterator[Difference]:
    for place in places:
        one, other = first.get(place, ""), second.get(place, "")
        if not same(place, one, other):
            yield Difference(f"{where}.{place}", place, one, other)


def _in_lines(
    first: TypedSheet, second: TypedSheet, pairs: tuple[Pair, ...], same: Same
) -> Iterator[Difference]:
    places = typed_sheet({}, (*first.columns, *second.columns), (), {}).places
    for number, pair in enumerate(pairs, 1):
        one = first.lines[pair.first - 1] if pair.first else {}
        other = second.lines[pair.second - 1] if pair.second else {}
        name = one.get("name") or other.get("name") or ""
        if not one or not other:
            yield Difference(
                f"{number}.{LINE}", LINE, _whole(one, places), _whole(other, places), number, name
            )
            continue
        for place in places:
            said, said_too = one.get(place, ""), other.get(place, "")
            if not same(place, said, said_too):
                yield Difference(f"{number}.{place}", place, said, said_too, number, name)


def _whole(line: Mapping[str, str], places: tuple[str, ...]) -> str:
    return " · ".join(
        f"{place} {line[place]}" if place != "name" else line[place] for place in places if line.get(place)
    )


def _answered(
    where: str, first: Mapping[str, str], second: Mapping[str, str], answers: Mapping[str, str]
) -> dict[str, str]:
    """Return texts with the answers that name one of their places."""
    begins = f"{where}."
    given = {key.removeprefix(begins): text for key, text in answers.items() if key.startswith(begins)}
    return {place: text for place, text in {**second, **first, **given}.items() if place != LINE}


def _pairs(first: TypedSheet, second: TypedSheet, says: Says) -> tuple[Pair, ...]:
    """Meet the lines of two typings so that as much as can be stands in both at once.

    Global alignment without a price for gaps (Needleman and Wunsch 1970, J. Mol. Biol. 48:443-453): two lines that are
    met count 1, the same name 3 more, and each other place that agrees a part of 1.
    """
    places = typed_sheet({}, (*first.columns, *second.columns), (), {}).places
    ones, others = (
        [
            (number, tuple(says(place, line.get(place, "")) for place in places))
            for number, line in enumerate(sheet.lines, 1)
            if any_text(line)
        ]
        for sheet in (first, second)
    )
    likeness = [[_likeness(one, other) for _, other in others] for _, one in ones]
    best = [[0.0] * (len(others) + 1) for _ in range(len(ones) + 1)]
    for i in range(len(ones) - 1, -1, -1):
        for j in range(len(others) - 1, -1, -1):
            best[i][j] = max(best[i + 1][j + 1] + likeness[i][j], best[i + 1][j], best[i][j + 1])
    pairs: list[Pair] = []
    i = j = 0
    while i < len(ones) and j < len(others):
        met = best[i][j] == best[i + 1][j + 1] + likeness[i][j]
        alone = not met and best[i][j] == best[i + 1][j]
        pairs.append(Pair(None if not (met or alone) else ones[i][0], None if alone else others[j][0]))
        i, j = i + (met or alone), j + (not alone)
    pairs += [Pair(number, None) for number, _ in ones[i:]]
    pairs += [Pair(None, number) for number, _ in others[j:]]
    return tuple(pairs)


def _likeness(one: tuple[Any, ...], other: tuple[Any, ...]) -> float:
    """Return how much two lines say the same; the name stands first in both."""
    alike: int = sum(map(operator.eq, one, other))
    return 1 + (3 if one[0] == other[0] else 0) + float(alike) / len(one)
