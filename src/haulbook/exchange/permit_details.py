"""Fields of the clauses of a permit file that do not count animals."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import Any, Literal

from haulbook.exchange.permit_parts import maybe_exact, maybe_whole, month_day, parsed
from haulbook.exchange.toml_keys import Keys
from haulbook.permit.detail import (
    CARRIED,
    AreaRule,
    BiosecurityRule,
    CarryRule,
    ClockTime,
    Corner,
    Detail,
    GearRule,
    Ground,
    HoldingRule,
    HoursRule,
    NoticeRule,
    PeopleRule,
    ReportRule,
    StopRule,
)
from haulbook.permit.measure import exact, metres
from haulbook.problems import Refusal

_CLOCK = re.compile(r"([01]\d|2[0-3]):[0-5]\d")
_SUN = re.compile(r"(sunrise|sunset)(?:\s*([+-])\s*(\d{1,2}):([0-5]\d))?")


def read_detail(clause: Keys, kind: str) -> Detail | None:
    """Read the table that carries the name of the clause's kind; refuse one of another kind."""
    for other in DETAILS:
        if other in clause.found and other != kind:
            clause.wrong(other, f"belongs to a clause of kind {other}, this one is {kind}")
    if kind not in DETAILS:
        return None
    known, read = DETAILS[kind]
    table = clause.table(kind, known)
    if table is None:
        clause.wrong(kind, f"is needed: {kind} = {{...}} says what the clause asks")
        return None
    return read(table)


def _gear(keys: Keys) -> GearRule:
    return GearRule(
        _length(keys, "length_max_m", "m"),
        _length(keys, "height_max_m", "m"),
        _length(keys, "mesh_min_mm", "mm"),
        _length(keys, "mesh_max_mm", "mm"),
        keys.one_of("mesh_as", ("stretch", "bar")) if "mesh_as" in keys.found else None,  # type: ignore[arg-type]
        keys.texts("types"),
        maybe_whole(keys, "hauls_max", low=1),
        keys.one_of("per", ("outing", "day"), "outing"),  # type: ignore[arg-type]
    )


def _length(keys: Keys, key: str, unit: str) -> Fraction | None:
    def parse(value: Any) -> Fraction:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise Refusal(f"is {value!r}; write a number, or a length with its unit as 40 ft")
        return metres(value, unit)

    return parsed(keys, key, parse)


def _area(keys: Keys) -> AreaRule:
    if not keys.found:
        keys.wrong("", "write inside, outside or both")
    return AreaRule(parsed(keys, "inside", _ground), parsed(keys, "outside", _ground))


def _ground(value: Any) -> Ground:
    """Return site keys, or the corners of a polygon."""
    if not isinstance(value, list) or not value:
        raise Refusal(
            'write site keys, as ["cove"], or corners, as [[41.0, -70.0], [41.1, -70.0], [41.0, -70.1]]'
        )
    if all(isinstance(item, str) for item in value):
        return Ground(sites=tuple(value))
    if len(value) < 3:
        raise Refusal("a polygon has at least three corners")
    return Ground(corners=tuple(_corner(item) for item in value))


def _corner(item: Any) -> Corner:
    pair = isinstance(item, list) and len(item) == 2 and all(type(x) in (int, float) for x in item)
    if not pair or not (-90 <= item[0] <= 90 and -180 <= item[1] <= 180):
        raise Refusal(f"{item!r} is no corner; write [latitude, longitude] in decimal degrees")
    return float(item[0]), float(item[1])


def _hours(keys: Keys) -> HoursRule:
    for key in ("from", "to"):
        if key not in keys.found:
            keys.wrong(key, 'is needed: write "05:30", "sunrise" or "sunset-00:30"')
    midnight = ClockTime(time(0, 0))
    return HoursRule(parsed(keys, "from", _clock) or midnight, parsed(keys, "to", _clock) or midnight)


def _clock(value: Any) -> ClockTime:
    """Return 05:30, or sunrise, sunset-00:30, sunset + 1:00."""
    if isinstance(value, time):
        return ClockTime(value)
    if isinstance(value, str):
        sun = _SUN.fullmatch(value.strip())
        if sun:
            offset = timedelta(hours=int(sun[3] or 0), minutes=int(sun[4] or 0))
            return ClockTime(sun=sun[1], offset=-offset if sun[2] == "-" else offset)  # type: ignore[arg-type]
        if _CLOCK.fullmatch(value.strip()):
            return ClockTime(time.fromisoformat(value.strip()))
    raise Refusal(f'is {value!r}; write "05:30", "sunrise" or "sunset-00:30"')


def _people(keys: Keys) -> PeopleRule:
    if not keys.found:
        keys.wrong("", "write any_of, min_present or both")
    return PeopleRule(keys.texts("any_of"), maybe_whole(keys, "min_present") or 0)


def _notice(keys: Keys) -> NoticeRule:
    lead = exact(keys.number("lead_h", low=0))
    return NoticeRule(lead, keys.maybe_text("to"), keys.flag("receipt"))


def _report(keys: Keys) -> ReportRule:
    if len(keys.found) != 1:
        keys.wrong("", "write exactly one of days_after_end and month_day")
    return ReportRule(maybe_whole(keys, "days_after_end"), parsed(keys, "month_day", month_day))


def _holding(keys: Keys) -> HoldingRule:
    return HoldingRule(
        parsed(keys, "until", _until) or "end",
        parsed(keys, "warn_days", _days) or (30, 14, 7),
        keys.flag("release"),
    )


def _until(value: Any) -> Literal["end"] | date:
    if value == "end":
        return "end"
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    raise Refusal(f'is {value!r}; write "end" or a date without quotes')


def _days(value: Any) -> tuple[int, ...]:
    if not isinstance(value, list) or not value or not all(type(day) is int and day >= 0 for day in value):
        raise Refusal(f"is {value!r}; write whole days, as [30, 14, 7]")
    return tuple(value)


def _biosecurity(keys: Keys) -> BiosecurityRule:
    before: Any = keys.one_of("before", ("site", "release"), "site")
    return BiosecurityRule(keys.text("do"), before, maybe_exact(keys, "dry_h"))


def _stop(keys: Keys) -> StopRule:
    return StopRule(keys.text("when"), keys.maybe_text("notify"))


def _carry(keys: Keys) -> CarryRule:
    return CarryRule(tuple(paper for paper in CARRIED if keys.flag(paper)))


_GEAR = ("length_max_m", "height_max_m", "mesh_min_mm", "mesh_max_mm", "mesh_as", "types", "hauls_max", "per")

DETAILS: dict[str, tuple[tuple[str, ...], Callable[[Keys], Detail]]] = {
    "gear": (_GEAR, _gear),
    "area": (("inside", "outside"), _area),
    "hours": (("from", "to"), _hours),
    "people": (("any_of", "min_present"), _people),
    "notice": (("lead_h", "to", "receipt"), _notice),
    "report": (("days_after_end", "month_day"), _report),
    "stop": (("when", "notify"), _stop),
    "holding": (("until", "warn_days", "release"), _holding),
    "biosecurity": (("do", "before", "dry_h"), _biosecurity),
    "carry": (CARRIED, _carry),
}
"""Known keys and reader of each kind's own table."""
