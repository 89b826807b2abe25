"""Marks put together into what a call is made of: whole numbers, lengths, places."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import floor

from haulbook.calls.numbers import Number, number_at
from haulbook.calls.phrases import Mark
from haulbook.calls.spelling import GLUED

HOMOPHONES = {"to": 2, "too": 2, "tree": 3, "for": 4, "fore": 4, "won": 1, "ate": 8}
"""Words that stand for a number where a call begins with one, before a name."""
MOST_BUCKETS = 99
MOST_LENGTH_MM = 9_999
BEHIND_A_NUMBER = ("plus", "some")
"""Words that open a number upwards where a name follows: "thirty some silversides"."""
LEAST_OPEN = 10
HEDGES = ("maybe", "perhaps", "probably", "possibly", "could be", "might be")
"""Words that before a length doubt the length, not the name."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing said.

    Attributes
    ----------
    kind : str
        count decimal vague zero name stranger stage fate place length doubt kinds all rest of and or total correct
        undo refer not yet hedge here gets at filler chatter loose ...
    value : str or int or float or None
        Count, taxon, place ("bucket 2"), millimetres, or a meaning of the grammar.
    said : str
    run : int
        Which run of the call it stands in.
    sure : bool
    exact : bool
        Said as listed.
    plural : bool
    stage : str or None
    rivals : tuple of str
    unit : float
        Millimetres that the unit of a length has.
    """

    kind: str
    value: str | int | float | None
    said: str
    run: int
    sure: bool = True
    exact: bool = True
    plural: bool = False
    stage: str | None = None
    rivals: tuple[str, ...] = ()
    unit: float = 0.0


def pieces_of(marks: tuple[Mark, ...], run: int) -> list[Piece]:
    """Return the pieces of one run."""
    found: list[Piece] = []
    at = 0
    while at < len(marks):
        piece, at = _next(marks, at, run)
        found.append(piece)
    return _with_ranges(_with_units(found))


def _next(marks: tuple[Mark, ...], at: int, run: int) -> tuple[Piece, int]:
    mark = marks[at]
    number = number_at(marks, at)
    if number is not None:
        kind = "count" if number.whole else "decimal"
        return _joined(kind, number.value, marks[at : number.after], run), number.after
    if mark.kind == "place":
        number = number_at(marks, at + 1)
        if number is not None and _numbers_a_place(number) and not _counts(marks, mark, number.after):
            used = marks[at : number.after]
            return _joined("place", f"{mark.value} {number.value}", used, run), number.after
        value = mark.value if mark.value == "cooler" else None
        return Piece("place", value, mark.said, run, mark.sure, mark.cost == 0), at + 1
    kind = {"ordinary": "loose", "unknown": "loose", "digits": "loose"}.get(mark.kind, mark.kind)
    if mark.said in HOMOPHONES and kind == "loose" and _begins(marks, at):
        return Piece("count", HOMOPHONES[mark.said], mark.said, run), at + 1
    sure = mark.sure and not (kind == "zero" and mark.cost > 0)
    return Piece(
        kind, mark.value, mark.said, run, sure, mark.cost == 0, mark.plural, mark.stage, mark.rivals
    ), at + 1


def _joined(kind: str, value: str | int | float | None, used: tuple[Mark, ...], run: int) -> Piece:
    said = " ".join(one.said for one in used)
    return Piece(kind, value, said, run, all(one.sure for one in used), _exact(used))


def _exact(marks: Iterable[Mark]) -> bool:
    return all(mark.cost == 0 for mark in marks)


def _numbers_a_place(number: Number) -> bool:
    return number.whole and number.value is not None and 0 < number.value <= MOST_BUCKETS


def _counts(marks: tuple[Mark, ...], place: Mark, after: int) -> bool:
    """Say whether the number after "cooler", which needs none, counts what follows."""
    return place.value == "cooler" and after < len(marks) and marks[after].kind == "name"


def _begins(marks: tuple[Mark, ...], at: int) -> bool:
    """Say whether a number may stand here: first, or after "and", right before a name said as listed."""
    before = at == 0 or marks[at - 1].kind in ("and", "correct")
    rest = [mark for mark in marks[at + 1 :] if mark.kind not in ("filler", "adjective", "stage")][:1]
    if not before or not rest:
        return False
    return rest[0].kind == "at" or (rest[0].kind == "name" and rest[0].cost <= GLUED)


def _with_units(pieces: list[Piece]) -> list[Piece]:
    """Turn a number before a unit into a length; a hedge on it goes, and so do "long", "each"."""
    found: list[Piece] = []
    for piece in pieces:
        before = found[-1].kind if found else ""
        if piece.kind == "unit" and before in ("count", "decimal"):
            number = found.pop()
            while found and (found[-1].kind in ("hedge", "bound", "at") or found[-1].said in HEDGES):
                found.pop()
            found.append(_length(number, piece))
        elif piece.kind == "across" and before == "length":
            continue
        elif piece.kind == "across" and before == "count" and piece.said == "total":
            found.append(replace(piece, kind="filler"))  # "stags, five total"
        else:
            found.append(replace(piece, kind="loose") if piece.kind == "across" else piece)
    return found


def _length(number: Piece, unit: Piece) -> Piece:
    factor = float(unit.value or 0)
    return replace(
        number,
        kind="length",
        value=in_mm(number.value, factor),
        said=f"{number.said} {unit.said}",
        sure=number.sure and unit.sure,
        unit=factor,
    )


def in_mm(number: object, factor: float) -> int | float | None:
    """Return a number of units in millimetres, to the tenth; None where no animal is as long."""
    if not isinstance(number, int | float):
        return None
    length = floor(number * factor * 10 + 0.5) / 10
    if not 0 < length <= MOST_LENGTH_MM:
        return None
    return int(length) if length == int(length) else length


def _with_ranges(pieces: list[Piece]) -> list[Piece]:
    """Turn "two or three", "ten to fifteen", "over a hundred" and "thirty odd" into a number that nobody said."""
    found: list[Piece] = []
    for at, piece in enumerate(pieces):
        before = found[-1].kind if found else ""
        named = at + 1 < len(pieces) and pieces[at + 1].kind == "name"
        if piece.kind == "count" and _is_an_article(piece, found):
            continue
        if piece.kind == "count" and before == "bound":
            found[-1:] = [_open(found[-1:], piece)]
        elif piece.kind in ("count", "length") and _offered(found):
            start = -3 if found[-1].kind == "and" else -2
            found[start:] = [_open(found[start:], piece)]
        elif before == "count" and _opens_upwards(found[-1], piece, named=named):
            found[-1:] = [_open(found[-1:], piece)]
        else:
            found.append(piece)
    return found


def _is_an_article(piece: Piece, found: list[Piece]) -> bool:
    """Hear "one of them was a buffalo", in which "a" counts nothing."""
    was = bool(found) and found[-1].said in ("was", "is")
    return was and piece.said in ("a", "an") and any(one.kind == "count" for one in found)


def _offered(found: list[Piece]) -> bool:
    """Say whether a second number is offered: "three or", "ten to", "two maybe", "between ten and"."""
    if len(found) < 2 or found[-2].kind != "count":
        return False
    joint = found[-1]
    if joint.kind == "and":
        return len(found) > 2 and found[-3].said == "between"
    return joint.kind in ("or", "doubt") or (joint.kind == "loose" and joint.said == "to")


def _opens_upwards(number: Piece, piece: Piece, *, named: bool) -> bool:
    """Hear "two hundred plus silversides", "thirty odd"; "an odd sculpin" is one."""
    many = isinstance(number.value, int) and number.value >= LEAST_OPEN
    return many and (piece.kind == "beyond" or (named and piece.said in BEHIND_A_NUMBER))


def _open(before: list[Piece], last: Piece) -> Piece:
    """Return a number, or a length, that was left open."""
    said = (*before, last)
    kind, value = ("length", None) if last.kind == "length" else ("vague", "count")
    words, sure = " ".join(one.said for one in said), all(one.sure for one in said if one.kind != "loose")
    return replace(last, kind=kind, value=value, said=words, sure=sure)
