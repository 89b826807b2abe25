"""One cell as written becomes a whole number, a measure, a date or a time, or a sentence that says why not.

Nothing here guesses. Which form a column of dates has is found in ``date_forms`` or said by the sheet map;
what a cell that is no number might have meant is said in the trouble and left to a person.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from datetime import date, time, timedelta

from haulbook.exchange.date_forms import MONTHS, read_date, read_time
from haulbook.exchange.trouble import CellTrouble

__all__ = [
    "CellTrouble",
    "holds_ranges",
    "is_missing",
    "looks_like_range_turned_date",
    "parse_count",
    "parse_counts",
    "parse_date",
    "parse_number",
    "parse_time",
]

MOST_IN_ONE_CELL = 999_999_999
"""A count above this is taken for a slip of the pen or a number of another kind."""

PRESENCE_WORDS = frozenset({"present", "p", "x", "yes", "y", "+", "seen", "noted"})
MANY_WORDS = frozenset(
    {"lots", "many", "few", "some", "several", "abundant", "loads", "tons", "hundreds", "thousands"}
)

_WHOLE = re.compile(r"[0-9]+(?:\.0+)?")
_PLAIN_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:[,.\u00a0\u202f' ][0-9]{3})+")
_COULD_BE_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_RANGE = re.compile(r"(?:[<>]\s*\d+|\d+\s*(?:-|–|—|to)\s*\d+)")
_DAY_MONTH = re.compile(r"(\d{1,2})[- ]([A-Za-z]{3})[a-z]*\.?")
_MONTH_DAY = re.compile(r"([A-Za-z]{3})[a-z]*\.?[- ](\d{1,2})")
_ISO_DAY = re.compile(r"\d{4}-(\d{2})-(\d{2})(?:[T ]00:00(?::00)?)?")
_DAY_NUMBER = re.compile(r"[34][0-9]{4}(?:\.0)?")
_DAY_ZERO = date(1899, 12, 30)  # of the 1900 date system, from 1 March 1900 on (ISO/IEC 29500-1, 18.17.4.1)


def is_missing(text: str, missing: Collection[str]) -> bool:
    """Return whether a cell is empty or holds a word for "no value"; case and outer blanks don't count."""
    said = text.strip().casefold()
    return not said or any(said == word.strip().casefold() for word in missing)


def parse_count(text: str, missing: Collection[str] = ()) -> int | CellTrouble | None:
    """Read a number of animals.

    Parameters
    ----------
    text : str
        The cell. ``12`` and a spreadsheet's ``12.0`` are twelve.
    missing : collection of str
        Words for "no value" beside the empty cell.

    Returns
    -------
    int, None or CellTrouble
        0 or more; None for no value; a trouble for a range, an estimate, a word, a fraction, a date.
        Day numbers (``43102``) can only be told from counts by their column: see ``parse_counts``.
    """
    said = text.strip()
    if is_missing(said, missing):
        return None
    if not _WHOLE.fullmatch(said):
        return CellTrouble(_no_count(said))
    n = int(said.partition(".")[0])
    if n > MOST_IN_ONE_CELL:
        return CellTrouble(f"{said!r} is more animals than one cell can mean; write the number counted")
    return n


def parse_counts(
    values: Sequence[str], missing: Collection[str] = ()
) -> tuple[int | CellTrouble | None, ...]:
    """Read the distinct values of one count column, where a day number beside ranges is no count.

    Returns one result per value, as ``parse_count``. Where another value of the column is a range or a range
    turned into a date, a number such as 43102 (2 January 2018 as a spreadsheet's day number) is a trouble.
    """
    ranges = holds_ranges(values)
    return tuple(
        CellTrouble(_was_range(text.strip(), was))
        if ranges and (was := looks_like_range_turned_date(text, among_ranges=True))
        else parse_count(text, missing)
        for text in values
    )


def parse_number(text: str, missing: Collection[str] = ()) -> float | CellTrouble | None:
    """Read a measure: decimal point or decimal comma; None for no value; a trouble for anything else.

    ``1,234`` could be 1.234 or 1234 and is a trouble; ``12,5`` and ``0,234`` can only be decimals.
    """
    said = text.strip()
    if is_missing(said, missing):
        return None
    if _PLAIN_NUMBER.fullmatch(said):
        return float(said)
    if _COULD_BE_THOUSANDS.fullmatch(said):
        return CellTrouble(
            f"{said!r} can be {said.replace(',', '.')} or {said.replace(',', '')}; write it without a comma"
        )
    if _DECIMAL_COMMA.fullmatch(said):
        return float(said.replace(",", "."))
    return CellTrouble(_no_number(said))


def looks_like_range_turned_date(text: str, *, among_ranges: bool = False) -> str | None:
    """Return the range that a spreadsheet probably turned into this date, or None.

    ``10-May`` was 5-10, ``02-Jan`` was 1-2, a date cell 2018-05-20 was 5-20. A day number such as 43102 is
    only taken for a date where the other values of the column are ranges (``among_ranges``).

    The lower number is put first, since the order of day and month depends on the machine that did it.
    Seen in: Hakai Institute, seagrass habitat survey (transect_dist, patchiness, density_range).
    """
    said = text.strip()
    if match := _DAY_MONTH.fullmatch(said):
        return _ascending(match[1], _month(match[2]))
    if match := _MONTH_DAY.fullmatch(said):
        return _ascending(match[2], _month(match[1]))
    if match := _ISO_DAY.fullmatch(said):
        return _ascending(match[2], int(match[1]))
    if among_ranges and _DAY_NUMBER.fullmatch(said):
        day = _DAY_ZERO + timedelta(days=int(said[:5]))
        return _ascending(str(day.day), day.month)
    return None


def holds_ranges(values: Iterable[str]) -> bool:
    """Return whether any value of a column is a range (``5 - 10``, ``< 5``) or a range turned into a date."""
    return any(_RANGE.fullmatch(text.strip()) or looks_like_range_turned_date(text) for text in values)


def parse_date(text: str, form: str) -> date | CellTrouble:
    """Read a date written in ``form`` (one of ``date_forms.DATE_FORMS``); year-only dates give 1 January.

    Two-digit years follow POSIX: 69 to 99 are 1969 to 1999, 00 to 68 are 2000 to 2068
    (IEEE Std 1003.1, ``strptime``, ``%y``).
    """
    return read_date(text.strip(), form)


def parse_time(text: str, form: str) -> time | CellTrouble:
    """Read a clock time written in ``form`` (one of ``date_forms.TIME_FORMS``), without zone."""
    return read_time(text.strip(), form)


def _month(word: str) -> int | None:
    return MONTHS.index(word.casefold()) + 1 if word.casefold() in MONTHS else None


def _ascending(day: str, month: int | None) -> str | None:
    if month is None:
        return None
    low, high = sorted((int(day), month))
    return f"{low}-{high}"


def _was_range(said: str, was: str) -> str:
    return (
        f"{said!r} is a date where a number belongs: a spreadsheet probably turned the range {was} into it; "
        "write the number counted"
    )


def _no_count(said: str) -> str:
    if was := looks_like_range_turned_date(said):
        return _was_range(said, was)
    bare = said.casefold().rstrip("!?. ")
    if said.startswith("="):
        return (
            f"{said!r} is a formula without a stored value; open the file in a spreadsheet and save it again"
        )
    if _RANGE.fullmatch(said):
        return f"{said!r} is a range, not a count; write the number counted, or a blank and a remark"
    if re.fullmatch(r"-[0-9.]+", said):
        return f"{said!r} is below zero; no haul holds fewer animals than none"
    if re.fullmatch(r"(?:~|≈|ca\.?|c\.|about|est\.?|approx\.?)\s*[0-9,]+", bare):
        return f"{said!r} is an estimate; write the bare number and mark its basis as judged"
    if re.fullmatch(r"[0-9,]+\s*\+|(?:>|≥|over|more than)\s*[0-9,]+", said.casefold()):
        return f"{said!r} says at least that many; write the number counted and put the rest in a remark"
    if _THOUSANDS.fullmatch(said):
        digits = re.sub("[^0-9]", "", said)
        return f"{said!r} has a mark between its digits; write {digits} if that is what was meant"
    if bare in PRESENCE_WORDS:
        return f"{said!r} says that they were there, not how many: neither 0 nor 1; record it as present"
    if bare.partition(" ")[0] in MANY_WORDS:
        return f"{said!r} is no number; write the number counted, or record the taxon as present"
    if re.fullmatch(r"[0-9]*[.,][0-9]+", said):
        return f"{said!r} is no whole number; animals are counted whole"
    if re.fullmatch(r"[0-9]+\s*[(\[/].*", said):
        return f"{said!r} holds more than one number; give each a column of its own"
    return f"{said!r} is no whole number; write the number counted"


def _no_number(said: str) -> str:
    if said.startswith("="):
        return (
            f"{said!r} is a formula without a stored value; open the file in a spreadsheet and save it again"
        )
    if re.fullmatch(r"[<>≤≥~]\s*[0-9.,]+", said):
        return f"{said!r} is a bound or an estimate, not a measure; write the number and add a remark"
    if re.search(r"[0-9]\s*[°º'′]", said) or re.fullmatch(r"[NSEW]\s*[0-9].*", said):
        return f"{said!r} is in degrees and minutes; write decimal degrees, west and south negative"
    if re.fullmatch(r"[+-]?[0-9.,]+\s*[A-Za-z%²µ/].*", said):
        return f"{said!r} has words beside the number; write the bare number, the unit belongs in the heading"
    if _RANGE.fullmatch(said) or looks_like_range_turned_date(said):
        return f"{said!r} is a range or a date, not one number"
    return f"{said!r} is no number"
