"""What a person sets before windows are looked for: days, light, hours, length, work and the rule of rank."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from haulbook.problems import Problem, Refusal, unknown
from haulbook.tide.clock import check_position, day_start, say_day
from haulbook.tide.daylight import Light, daylight
from haulbook.tide.prediction import check_years
from haulbook.tide.spans import Span, both, tidy, without

Score = Literal["hauls", "falling", "spare", "hour"]
RULE: tuple[Score, ...] = ("hauls", "falling", "spare", "hour")
"""Which score decides first, second, third and fourth. Common practice, no source; change it to taste."""

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Work:
    """How long things take and how many hauls are wanted; common practice, no single source.

    Attributes
    ----------
    setup_min, haul_min, packout_min : float
        Minutes to set up, per haul with its sorting, and to pack out.
    hauls : int
        Wanted in one window; more than these bring no better rank.
    """

    setup_min: float = 30
    haul_min: float = 30
    packout_min: float = 20
    hauls: int = 3

    def __post_init__(self) -> None:
        if not (self.setup_min >= 0 and self.haul_min > 0 and self.packout_min >= 0 and self.hauls >= 1):
            raise Refusal(
                "set-up and pack-out take 0 minutes or more, a haul more than 0; one haul is the least"
            )

    def __str__(self) -> str:
        return f"{self.setup_min:g} minutes to set up, {self.haul_min:g} a haul, {self.packout_min:g} to pack out"

    def fit(self, minutes: float) -> int:
        """Return how many hauls fit into a window of some minutes."""
        return max(0, int((minutes - self.setup_min - self.packout_min) // self.haul_min))

    def spare(self, minutes: float) -> float:
        """Return the minutes left over after as many hauls as fit and are wanted."""
        used = self.setup_min + self.packout_min + min(self.fit(minutes), self.hauls) * self.haul_min
        return max(0.0, minutes - used)


@dataclass(frozen=True, slots=True)
class Terms:
    """On which days and under which conditions a window counts.

    Attributes
    ----------
    first, last : datetime.date
        Local days, both included; a window counts to the day of its low.
    zone : ZoneInfo
        Of the station or site.
    light_at : tuple of float
        Latitude and longitude whose daylight is counted.
    in_daylight : bool
        Whether a window has to lie in daylight.
    light : {"sun", "civil"}
        Daylight from sunrise to sunset, or with civil twilight.
    hours : tuple of datetime.time or None
        Local clock hours allowed each day, from and until; until 00:00 means the end of the day.
    seasons : tuple of (date, date)
        Days allowed, both ends included; empty: all.
    closed : tuple of (date, date)
        Days not allowed, both ends included.
    least_minutes : float
        Shorter windows are dropped.
    slack_lag_min : float or None
        Minutes after predicted low at which slack current was observed at the site; None: not observed.
    work : Work
        What is to be done in a window.
    rule : tuple of str
        Order of the scores that decide the rank.
    """

    first: date
    last: date
    zone: ZoneInfo
    light_at: tuple[float, float]
    in_daylight: bool = False
    light: Light = "sun"
    hours: tuple[time, time] | None = None
    seasons: tuple[tuple[date, date], ...] = ()
    closed: tuple[tuple[date, date], ...] = ()
    least_minutes: float = 0
    slack_lag_min: float | None = None
    work: Work = Work()
    rule: tuple[Score, ...] = RULE

    def __post_init__(self) -> None:
        check_years(self.first, self.last)
        check_position(*self.light_at)
        for first, last in ((self.first, self.last), *self.seasons, *self.closed):
            if last < first:
                raise Refusal(f"{say_day(last)} is before {say_day(first)}; swap the two days")
        if self.hours and self.hours[1] != time() and self.hours[1] <= self.hours[0]:
            raise Refusal(
                f"the hours end at {self.hours[1]:%H:%M}, not after they begin at {self.hours[0]:%H:%M}"
            )
        if not self.least_minutes >= 0:
            raise Refusal("the least length of a window is 0 minutes or more")
        if self.slack_lag_min is not None and not abs(self.slack_lag_min) <= 360:
            raise Refusal("slack current comes within 360 minutes of low water")
        if sorted(self.rule) != sorted(RULE):
            raise Refusal(f"the rule of rank names each of {', '.join(RULE)} once")

    @property
    def stretch(self) -> Span:
        """The days with one more on each side, so that no window is cut by the question."""
        return (
            day_start(self.first - _DAY, self.zone).timestamp(),
            day_start(self.last + 2 * _DAY, self.zone).timestamp(),
        )

    @property
    def days(self) -> list[date]:
        """The local days of the stretch."""
        count = (self.last - self.first).days + 3
        return [self.first + (index - 1) * _DAY for index in range(count)]

    def daylight(self) -> list[Span]:
        """Return when there is light over the stretch."""
        found = (daylight(*self.light_at, day, self.zone).span(self.light) for day in self.days)
        return tidy((begin.timestamp(), end.timestamp()) for begin, end in filter(None, found))

    def allowed(self, lit: list[Span]) -> list[Span]:
        """Return when a window may lie: in daylight where asked, in the hours, in season and not closed."""
        spans = lit if self.in_daylight else [self.stretch]
        if self.hours:
            spans = both(spans, tidy(self._hours_of(day) for day in self.days))
        if self.seasons:
            spans = both(spans, self._spans_of(self.seasons))
        return without(spans, self._spans_of(self.closed))

    def _hours_of(self, day: date) -> Span:
        """The hours allowed on a day; one that happens twice or not at all is counted the shorter way."""
        opens, closes = self.hours or (time(), time())
        until = day + _DAY if closes == time() else day
        return max(self._readings(day, opens)), min(self._readings(until, closes))

    def _readings(self, day: date, clock: time) -> tuple[float, float]:
        """Both instants that a clock time can mean where the clocks are changed."""
        local = datetime.combine(day, clock, self.zone)
        return local.replace(fold=0).timestamp(), local.replace(fold=1).timestamp()

    def _spans_of(self, ranges: tuple[tuple[date, date], ...]) -> list[Span]:
        return tidy(
            (day_start(first, self.zone).timestamp(), day_start(last + _DAY, self.zone).timestamp())
            for first, last in ranges
        )


def rule_of(text: str) -> tuple[Score, ...]:
    """Return the order of scores written as hauls,falling,spare,hour."""
    words = [word.strip() for word in text.split(",")]
    if problems := [Problem("refused", unknown("score", word, RULE)) for word in words if word not in RULE]:
        raise Refusal(problems)
    return tuple(name for word in words for name in RULE if name == word)
