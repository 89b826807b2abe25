"""The forms in which dates and times are written, and which of them fit a whole column.

A form is only ever found from *all* distinct values of a column. Where day and month could both come first,
every fitting form is returned, and the choice is a question.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time

from haulbook.exchange.trouble import CellTrouble
from haulbook.problems import Refusal, unknown

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_SEP = r"[/\-.]"
_MONTH_WORD = r"(?P<word>[A-Za-z]{3})[a-z]*\.?"
DATE_FORMS: Mapping[str, str] = {
    "iso": r"(?P<y>\d{4})-(?P<m>\d{1,2})-(?P<d>\d{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?)?",
    "yyyy/m/d": r"(?P<y>\d{4})(?P<s>[/.])(?P<m>\d{1,2})(?P=s)(?P<d>\d{1,2})",
    "yyyymmdd": r"(?P<y>(?:19|20)\d{2})(?P<m>\d{2})(?P<d>\d{2})",
    "m/d/yy": rf"(?P<m>\d{{1,2}})(?P<s>{_SEP})(?P<d>\d{{1,2}})(?P=s)(?P<y>\d{{2}})",
    "d/m/yy": rf"(?P<d>\d{{1,2}})(?P<s>{_SEP})(?P<m>\d{{1,2}})(?P=s)(?P<y>\d{{2}})",
    "m/d/yyyy": rf"(?P<m>\d{{1,2}})(?P<s>{_SEP})(?P<d>\d{{1,2}})(?P=s)(?P<y>\d{{4}})",
    "d/m/yyyy": rf"(?P<d>\d{{1,2}})(?P<s>{_SEP})(?P<m>\d{{1,2}})(?P=s)(?P<y>\d{{4}})",
    "d mmm yy": rf"(?P<d>\d{{1,2}})[ \-]?{_MONTH_WORD}[ \-]?(?P<y>\d{{2}})",
    "d mmm yyyy": rf"(?P<d>\d{{1,2}})[ \-]?{_MONTH_WORD}[ \-]?(?P<y>\d{{4}})",
    "mmm d yyyy": rf"{_MONTH_WORD}[ \-](?P<d>\d{{1,2}}),?[ \-](?P<y>\d{{4}})",
    "yyyy": r"(?P<y>(?:18|19|20)\d{2})(?:\.0)?",
    "stamp": r"(?P<y>\d{4})-(?P<m>\d{2})-(?P<d>\d{2})[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?",
}
"""Name of each date form and the pattern it stands for. ``09JAN1998`` is ``d mmm yyyy``; ``stamp`` is a date
with its local clock time; a date cell of a workbook is ``iso``."""

TIME_FORMS: Mapping[str, str] = {
    "H:M": r"(?P<h>\d{1,2}):(?P<min>\d{2})",
    "H:M:S": r"(?P<h>\d{1,2}):(?P<min>\d{2}):(?P<sec>\d{2})",
    "hhmm": r"(?P<h>\d{0,2}?)(?P<min>\d{1,2})(?:\.0)?",
    "h:M AM": r"(?P<h>\d{1,2}):(?P<min>\d{2})(?::(?P<sec>\d{2}))?\s*(?P<half>[AaPp])\.?[Mm]\.?",
    "stamp": r"\d{4}-\d{2}-\d{2}[T ](?P<h>\d{1,2}):(?P<min>\d{2})(?::(?P<sec>\d{2})(?:\.\d+)?)?",
}
"""Name of each time form and its pattern. ``hhmm`` is the integer clock: 600 is 06:00, 5 is 00:05; ``h:M AM``
is the 12-hour clock."""

EXAMPLES: Mapping[str, str] = {
    "iso": "2016-05-13", "yyyy/m/d": "2016/5/13", "yyyymmdd": "20160513", "m/d/yy": "6/20/23",
    "d/m/yy": "20/6/23", "m/d/yyyy": "06/20/2023", "d/m/yyyy": "20/06/2023", "d mmm yy": "9-Jan-98",
    "d mmm yyyy": "09JAN1998", "mmm d yyyy": "Jan 9, 1998", "yyyy": "2014", "stamp": "2017-11-22 20:45",
    "H:M": "9:36", "H:M:S": "9:12:00", "hhmm": "600", "h:M AM": "9:36 AM",
}  # fmt: skip

_DATES = {name: re.compile(pattern) for name, pattern in DATE_FORMS.items()}
_TIMES = {name: re.compile(pattern) for name, pattern in TIME_FORMS.items()}


def read_date(text: str, form: str) -> date | CellTrouble:
    """Read ``text`` as a date in ``form``; an unknown form is refused."""
    match = _pattern(_DATES, "date form", form).fullmatch(text)
    if match is None:
        return CellTrouble(f"{text!r} is no date in the form {form} (as {EXAMPLES[form]})")
    found = match.groupdict()
    year = _full_year(found["y"])
    if found.get("word"):
        if found["word"].casefold() not in MONTHS:
            return CellTrouble(f"{text!r} names no month")
        month = MONTHS.index(found["word"].casefold()) + 1
    else:
        month = int(found.get("m") or 1)
    return day_of(year, month, int(found.get("d") or 1), text)


def day_of(year: int, month: int, day: int, text: str | None = None) -> date | CellTrouble:
    """Return the day of three numbers (year, month, day columns), or the trouble that there is none."""
    try:
        return date(year, month, day)
    except ValueError:
        said = text or f"{year}-{month}-{day}"
        return CellTrouble(f"{said!r} is no day of the calendar: month {month}, day {day}")


def date_text(text: str, form: str) -> str | CellTrouble:
    """Read a date and return it no finer than written: ``2014`` for a year, else ``2014-06-11``."""
    day = read_date(text.strip(), form)
    if isinstance(day, CellTrouble):
        return day
    return f"{day.year:04d}" if form == "yyyy" else day.isoformat()


def read_time(text: str, form: str) -> time | CellTrouble:
    """Read ``text`` as a clock time in ``form``; an unknown form is refused."""
    match = _pattern(_TIMES, "time form", form).fullmatch(text)
    if match is None:
        return CellTrouble(f"{text!r} is no time in the form {form} (as {EXAMPLES[form]})")
    found = match.groupdict()
    hour = int(found["h"] or 0)
    if half := found.get("half"):
        if not 1 <= hour <= 12:
            return CellTrouble(f"{text!r} is no time of a 12-hour clock")
        hour = hour % 12 + (12 if half in "Pp" else 0)
    try:
        return time(hour, int(found["min"]), int(found.get("sec") or 0))
    except ValueError:
        return CellTrouble(f"{text!r} is no time of day: hours go to 23, minutes to 59")


def date_forms_of(values: Iterable[str]) -> tuple[str, ...]:
    """Return every date form that fits all the values of a column (blanks handed in are not looked at)."""
    return _fitting([v.strip() for v in values if v.strip()], DATE_FORMS, read_date)


def time_forms_of(values: Iterable[str]) -> tuple[str, ...]:
    """Return every time form that fits all the values of a column (blanks handed in are not looked at)."""
    return _fitting([v.strip() for v in values if v.strip()], TIME_FORMS, read_time)


def order_is_ambiguous(forms: Iterable[str]) -> bool:
    """Return whether day and month could both come first: then a person has to say."""
    fitting = set(forms)
    return {"m/d/yy", "d/m/yy"} <= fitting or {"m/d/yyyy", "d/m/yyyy"} <= fitting


def _fitting(
    values: list[str], forms: Mapping[str, str], read: Callable[[str, str], object]
) -> tuple[str, ...]:
    if not values:
        return ()
    return tuple(
        form for form in forms if all(not isinstance(read(value, form), CellTrouble) for value in values)
    )


def _pattern(patterns: Mapping[str, re.Pattern[str]], what: str, form: str) -> re.Pattern[str]:
    if form not in patterns:
        raise Refusal(unknown(what, form, patterns))
    return patterns[form]


def _full_year(digits: str) -> int:
    year = int(digits)
    if len(digits) == 4:
        return year
    return year + (1900 if year >= 69 else 2000)
