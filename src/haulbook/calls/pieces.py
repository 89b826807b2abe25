"""Marks put together into what a call is made of: whole numbers, lengths, places."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from haulbook.calls.phrases import Mark

HOMOPHONES = {"to": 2, "too": 2, "for": 4, "fore": 4, "won": 1, "ate": 8}
"""Words that stand for a number where a call begins with one, before a name."""
MOST_BUCKETS = 99


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing said.

    Attributes
    ----------
    kind : str
        count vague zero name stranger stage fate place length doubt kinds all of and or total correct undo
        refer not yet hedge here gets at filler chatter loose ...
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
    number, after = _number(marks, at)
    if number is not None:
        used = marks[at:after]
        said = " ".join(one.said for one in used)
        return Piece("count", number, said, run, all(one.sure for one in used), _exact(used)), after
    if mark.kind == "place":
        number, after = _number(marks, at + 1)
        used = marks[at:after]
        said = " ".join(one.said for one in used)
        sure = all(one.sure for one in used)
        if isinstance(number, int) and 0 < number <= MOST_BUCKETS and not _counts(marks, mark, after):
            return Piece("place", f"{mark.value} {number}", said, run, sure, _exact(used)), after
        value = mark.value if mark.value == "cooler" else None
        return Piece("place", value, mark.said, run, mark.sure, mark.cost == 0), at + 1
    kind = {"ordinary": "loose", "unknown": "loose", "digits": "loose"}.get(mark.kind, mark.kind)
    if mark.said in HOMOPHONES and kind == "loose" and _begins(marks, at):
        return Piece("count", HOMOPHONES[mark.said], mark.said, run), at + 1
    sure = mark.sure and not (kind == "zero" and mark.cost > 0)
    return Piece(
        kind, mark.value, mark.said, run, sure, mark.cost == 0, mark.plural, mark.stage, mark.rivals
    ), at + 1


def _exact(marks: Iterable[Mark]) -> bool:
    return all(mark.cost == 0 for mark in marks)


def _counts(marks: tuple[Mark, ...], place: Mark, after: int) -> bool:
    """Say whether the number after "cooler", which needs none, counts what follows."""
    return place.value == "cooler" and after < len(marks) and marks[after].kind == "name"


def _begins(marks: tuple[Mark, ...], at: int) -> bool:
    """Say whether a number may stand here: first, or after "and", right before a name said as listed."""
    before = at == 0 or marks[at - 1].kind in ("and", "correct")
    rest = [mark for mark in marks[at + 1 :] if mark.kind not in ("filler", "adjective", "stage")][:1]
    return before and bool(rest) and (rest[0].kind == "at" or (rest[0].kind == "name" and rest[0].cost == 0))


def _number(marks: tuple[Mark, ...], at: int) -> tuple[int | float | None, int]:
    """Return the number that begins at a mark, and where it ends; None where none does."""
    start = at
    total = current = 0
    digits = seen = article = False
    while at < len(marks):
        mark = marks[at]
        if mark.kind == "digits" and (not seen or article):
            value = float(mark.said) if "." in mark.said else int(mark.said)
            if isinstance(value, float):
                return value, at + 1
            current, digits, seen, article = value, True, True, False
        elif mark.kind == "number" and not digits and _adds(current, int(mark.value), seen and not article):
            current = int(mark.value) if article else current + int(mark.value)
            seen, article = True, False
        elif mark.kind == "article" and not seen:
            current, seen, article = 1, True, True
        elif mark.kind == "more" and at == start and at + 1 < len(marks) and _is_number(marks[at + 1]):
            pass
        elif mark.kind == "half" and not seen and _word(marks, at + 1, "article", "times"):
            at = next(i for i in range(at, len(marks)) if marks[i].kind == "times")
            current, seen = int(marks[at].value) // 2, True
        elif mark.kind == "times" and (seen or mark.value != "12") and current < int(mark.value):
            current = max(current, 1) * int(mark.value)
            if mark.value == "1000":
                total, current = total + current, 0
            seen, article, digits = True, False, False
        elif (
            mark.kind == "and"
            and seen
            and at
            and marks[at - 1].kind == "times"
            and _word(marks, at + 1, "number")
        ):
            pass
        elif mark.kind == "point" and seen and _word(marks, at + 1, "number", "digits"):
            tenth = int(marks[at + 1].value)
            return (current + tenth / 10, at + 2) if tenth < 10 else (current, at)
        else:
            break
        at += 1
    return (total + current, at) if seen else (None, start)


def _adds(current: int, value: int, seen: bool) -> bool:
    """Say whether a number word goes on with the number before it: "twenty" + "four", not "fifteen" + "five"."""
    if not seen or current % 100 == 0:
        return True
    return value < 10 and current % 10 == 0 and current % 100 >= 20


def _is_number(mark: Mark) -> bool:
    return mark.kind in ("digits", "number", "article", "half", "times")


def _word(marks: tuple[Mark, ...], at: int, *kinds: str) -> bool:
    return at < len(marks) and marks[at].kind in kinds


def _with_units(pieces: list[Piece]) -> list[Piece]:
    """Turn a number before a unit into a length; a hedge on it goes, and so do "long", "each"."""
    found: list[Piece] = []
    for piece in pieces:
        if piece.kind == "unit" and found and found[-1].kind == "count":
            number = found.pop()
            while found and found[-1].kind in ("hedge", "bound", "at"):
                found.pop()
            length = round(float(number.value or 0) * float(piece.value or 0), 1)
            value = int(length) if length == int(length) else length
            sure = number.sure and piece.sure
            found.append(
                replace(number, kind="length", value=value, said=f"{number.said} {piece.said}", sure=sure)
            )
        elif piece.kind == "across" and any(one.kind == "length" for one in found[-1:]):
            continue
        else:
            found.append(replace(piece, kind="loose") if piece.kind == "across" else piece)
    return found


def _with_ranges(pieces: list[Piece]) -> list[Piece]:
    """Turn "two or three" and "over a hundred" into a number that nobody said."""
    found: list[Piece] = []
    for piece in pieces:
        if piece.kind == "count" and found and found[-1].kind == "bound":
            found[-1] = replace(piece, kind="vague", value="count", said=f"{found[-1].said} {piece.said}")
        elif (
            piece.kind == "count" and len(found) > 1 and found[-1].kind == "or" and found[-2].kind == "count"
        ):
            found.pop()
            found[-1] = replace(piece, kind="vague", value="count", said=f"{found[-1].said} or {piece.said}")
        else:
            found.append(piece)
    return found
