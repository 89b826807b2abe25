"""Parts that clauses of a permit file share: exact numbers, limits, sources, sizes, consequences."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from typing import Any, TypeVar

from haulbook.exchange.toml_keys import Keys
from haulbook.permit.measure import exact
from haulbook.permit.model import Consequence, Sizes, Source, Stop
from haulbook.problems import Refusal

_DECIMAL = re.compile(r"\d+(\.\d+)?")

NO_NUMBER = "none"
"""``limit = "none"`` says what a limit left out says too: allowed without a number. TOML has no null."""

T = TypeVar("T")


def parsed(keys: Keys, key: str, parse: Callable[[Any], T]) -> T | None:
    """Return a value turned by ``parse``, with its refusal noted at the key; None where there is none."""
    if key not in keys.found:
        return None
    try:
        return parse(keys.found[key])
    except Refusal as refusal:
        keys.wrong(key, "; ".join(problem.message for problem in refusal.problems))
        return None


def maybe_whole(keys: Keys, key: str, *, low: int = 0) -> int | None:
    """Return a whole number, or None where the key is absent."""
    return keys.whole(key, low=low) if key in keys.found else None


def maybe_exact(keys: Keys, key: str) -> Fraction | None:
    """Return a number of at least 0 exactly as written, or None where the key is absent."""
    return exact(keys.number(key, low=0)) if key in keys.found else None


def month_day(value: Any) -> tuple[int, int]:
    """Return month and day of ``"03-31"``."""
    try:
        day = date.fromisoformat(f"2001-{value}")
    except ValueError:
        raise Refusal(f'is {value!r}; write month and day as "03-31"') from None
    return day.month, day.day


def limit(keys: Keys) -> int | None:
    """Return the number of a limit; None where the permit allows without one."""
    if keys.found.get("limit", NO_NUMBER) == NO_NUMBER:
        return None
    return keys.whole("limit")


def percent(value: Any) -> Fraction:
    """Return an exact percentage; text, so that nobody's binary floating point comes in between."""
    if not isinstance(value, str) or not _DECIMAL.fullmatch(value):
        raise Refusal(f'is {value!r}; write the percentage as text, "5" or "2.5"')
    share = Fraction(value)
    if share > 100:
        raise Refusal(f"is {value}; a percentage lies from 0 to 100")
    return share


def source(keys: Keys) -> Source:
    """Return the clause in the permit's own words, which every finding quotes."""
    found = keys.table("source", ("text", "page", "section"))
    if found is None:
        keys.wrong("source", 'is needed: {page = 3, text = "the sentence as it stands in the permit"}')
        return Source("")
    page = found.found.get("page")
    if page is not None and not (isinstance(page, str) or type(page) is int):
        found.wrong("page", "write a page as a number or text")
    section = found.found.get("section")
    return Source(found.text("text"), page, None if section is None else str(section))


def sizes(scope: Keys) -> Sizes | None:
    """Return a size class: min <= size < max, millimetres."""
    keys = scope.table("size_mm", ("min", "max", "type"))
    if keys is None:
        return None
    low, high = maybe_exact(keys, "min"), maybe_exact(keys, "max")
    if low is None and high is None:
        keys.wrong("", "write min, max or both, in millimetres (min <= size < max)")
    if low is not None and high is not None and low >= high:
        keys.wrong("", "min has to be less than max")
    return Sizes(low, high, keys.maybe_text("type"))


def consequence(clause: Keys, key: str) -> Consequence | None:
    """Return what follows at a limit, under ``on_any``, ``on_reach`` or ``on_exceed``."""
    keys = clause.table(key, ("stop", "notify", "within_h", "written_within_d", "clock_from"))
    if keys is None:
        return None
    if "notify" not in keys.found and {"within_h", "written_within_d"} & set(keys.found):
        keys.wrong("notify", "is needed: who has to be told?")
    stop = keys.one_of("stop", tuple(Stop), Stop.NONE)
    clock: Any = keys.one_of("clock_from", ("landed_at", "event"), "landed_at")
    return Consequence(
        Stop(stop) if stop in tuple(Stop) else Stop.NONE,
        keys.maybe_text("notify"),
        maybe_exact(keys, "within_h"),
        maybe_whole(keys, "written_within_d"),
        clock,
    )
