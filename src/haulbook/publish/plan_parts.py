"""What the plan page and its paper show, as plain values: whoever fills them judges, this room only prints."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from haulbook.publish.account_parts import LimitLine
from haulbook.tide import Band, Daylight, Extreme

Verdict = Literal["go", "go with limits", "no-go"]
Weight = Literal["stop", "near", "note"]
Span = tuple[datetime, datetime]


def in_per_cent(share: float) -> str:
    """Return a probability in per cent, no finer than ten thousand draws bear."""
    if share < 0.001:
        return "under 0.1"
    if share > 0.999:
        return "over 99.9"
    return f"{100 * share:.1f}" if share < 0.1 else f"{100 * share:.0f}"


@dataclass(frozen=True, slots=True)
class PlanFinding:
    """Something that stands against going, or limits it.

    Attributes
    ----------
    weight : {"stop", "near", "note"}
        Forbids; limits; is for a person to check.
    said : tuple of str
        What is the matter, one sentence each.
    quoted : str or None
        The clause in the permit's own words.
    where : str or None
        Permit, clause, page, since when.
    """

    weight: Weight
    said: tuple[str, ...]
    quoted: str | None = None
    where: str | None = None


@dataclass(frozen=True, slots=True)
class TideDay:
    """The water of one local day.

    Attributes
    ----------
    day : date
    zone : ZoneInfo
    begins, ends : datetime
        Local midnights, in UTC.
    heights_m : tuple of float
        From ``begins`` on, ``step`` apart, metres above MLLW.
    interpolated : bool
        The curve is drawn between highs and lows.
    extremes : tuple of Extreme
    band : Band
    bed_m : float
    light : Daylight
    windows : tuple of (start, end)
    chosen : (start, end) or None
        One of ``windows``.
    hauls : tuple of (start, end)
    """

    day: date
    zone: ZoneInfo
    begins: datetime
    ends: datetime
    heights_m: tuple[float, ...]
    step: timedelta
    interpolated: bool
    extremes: tuple[Extreme, ...]
    band: Band
    bed_m: float
    light: Daylight
    windows: tuple[Span, ...] = ()
    chosen: Span | None = None
    hauls: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class DayStrip:
    """One day of the month at a glance.

    Attributes
    ----------
    light : (sunrise, sunset) or None
    lows : tuple of Extreme
        All of the day.
    windows : tuple of (start, end)
    minutes : float
        Of all windows together.
    hauls : int
        That fit into the best of them.
    verdict : Verdict
        Of the best of them.
    rank : int or None
        Best rank among its windows.
    chosen, today : bool
    """

    day: date
    light: Span | None
    lows: tuple[Extreme, ...]
    windows: tuple[Span, ...]
    minutes: float
    hauls: int
    verdict: Verdict
    rank: int | None = None
    chosen: bool = False
    today: bool = False


@dataclass(frozen=True, slots=True)
class WindowLine:
    """One window in order of merit.

    ``then`` is the word once the notices that can still be sent are sent; ``said`` what stands against it.
    """

    rank: int
    day: date
    start: datetime
    end: datetime
    hauls: int
    wanted: int
    verdict: Verdict
    then: Verdict
    why: str
    said: tuple[str, ...] = ()
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class ChanceLine:
    """How likely further hauls overstep one clause.

    Attributes
    ----------
    clause, animals, counted_as : str
    left : int or None
    by_hauls : tuple of float
        Probability after 1, 2, 3 ... hauls.
    most : int
        The most that keep it below the bound.
    of_choice : bool
        People decide it.
    """

    clause: str
    animals: str
    counted_as: str
    left: int | None
    by_hauls: tuple[float, ...]
    most: int
    of_choice: bool


@dataclass(frozen=True, slots=True)
class TickGroup:
    """Lines to tick under one heading, each with its source."""

    heading: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """All that the plan page prints.

    Attributes
    ----------
    title : str
        The day, in words.
    station, site, zone : str
        ``zone`` as clocks call it on that day: EDT.
    made_at : datetime
    verdict, then : Verdict
        As things stand; once the notices that can still be sent are sent.
    headline : str
    sentence : str
        The window in a sentence.
    findings : tuple of PlanFinding
        Worst first; the first stands under the headline.
    holds : tuple of str
        What was checked and holds.
    limits : tuple of LimitLine
    tide : TideDay
    days : tuple of DayStrip
    windows : tuple of WindowLine
        The best, in order.
    windows_in_all : int
    crew, gear, buckets : tuple of str
    chances : tuple of ChanceLine
    chances_said : tuple of str
        What they say and stand on, or why there are none.
    planned : int
        Hauls that the plan makes.
    unlikely : float
        Probability below which a breach is unlikely.
    ticks : tuple of TickGroup
    cautions : tuple of str
    facts : tuple of (term, value)
    invented : bool
    """

    title: str
    station: str
    site: str
    zone: str
    made_at: datetime
    verdict: Verdict
    then: Verdict
    headline: str
    sentence: str
    findings: tuple[PlanFinding, ...]
    holds: tuple[str, ...]
    limits: tuple[LimitLine, ...]
    tide: TideDay
    days: tuple[DayStrip, ...]
    windows: tuple[WindowLine, ...]
    windows_in_all: int
    crew: tuple[str, ...]
    gear: tuple[str, ...]
    buckets: tuple[str, ...]
    chances: tuple[ChanceLine, ...]
    chances_said: tuple[str, ...]
    planned: int
    unlikely: float
    ticks: tuple[TickGroup, ...]
    cautions: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    invented: bool = False
