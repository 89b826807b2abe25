"""Fields of the clauses that do not count animals: gear, place, hours, people, papers, holding."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time, timedelta
from fractions import Fraction
from typing import Literal


@dataclass(frozen=True, slots=True)
class GearRule:
    """The net and how often it is set. Lengths are exact; ``mesh_as`` None: the permit does not say."""

    length_max_m: Fraction | None = None
    height_max_m: Fraction | None = None
    mesh_min_mm: Fraction | None = None
    mesh_max_mm: Fraction | None = None
    mesh_as: Literal["stretch", "bar"] | None = None
    types: tuple[str, ...] = ()
    hauls_max: int | None = None
    per: Literal["outing", "day"] = "outing"


Corner = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ground:
    """A piece of shore: site keys, or the corners (latitude, longitude) of a polygon."""

    sites: tuple[str, ...] = ()
    corners: tuple[Corner, ...] = ()


@dataclass(frozen=True, slots=True)
class AreaRule:
    """Where the net may be set, and where not."""

    inside: Ground | None = None
    outside: Ground | None = None


@dataclass(frozen=True, slots=True)
class ClockTime:
    """A local clock time, or a stretch of time from sunrise or sunset (negative: before)."""

    clock: time | None = None
    sun: Literal["sunrise", "sunset"] | None = None
    offset: timedelta = timedelta(0)

    def __str__(self) -> str:
        if self.clock:
            return f"{self.clock:%H:%M}"
        minutes = int(self.offset.total_seconds()) // 60
        if not minutes:
            return str(self.sun)
        return f"{abs(minutes)} min {'after' if minutes > 0 else 'before'} {self.sun}"


@dataclass(frozen=True, slots=True)
class HoursRule:
    """Hours within which the whole haul lies, net in the water to net on the beach, ends included."""

    start: ClockTime
    end: ClockTime


@dataclass(frozen=True, slots=True)
class PeopleRule:
    """Who has to be there: one of these, and so many in all."""

    any_of: tuple[str, ...] = ()
    min_present: int = 0


@dataclass(frozen=True, slots=True)
class NoticeRule:
    """Word sent so many elapsed hours before the first set; ``receipt``: an answer has to come back."""

    lead_h: Fraction
    to: str | None = None
    receipt: bool = False


@dataclass(frozen=True, slots=True)
class ReportRule:
    """When the report is due: so many days after the end of the period, or on a date of the year after it."""

    days_after_end: int | None = None
    month_day: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class HoldingRule:
    """Until when animals may be held, and whether what was held may be let go again (as a rule: not)."""

    until: Literal["end"] | date = "end"
    warn_days: tuple[int, ...] = (30, 14, 7)
    release: bool = False


@dataclass(frozen=True, slots=True)
class BiosecurityRule:
    """What is done to gear before a new site or before a release; ``dry_h`` hours dry."""

    do: str
    before: Literal["site", "release"] = "site"
    dry_h: Fraction | None = None


@dataclass(frozen=True, slots=True)
class StopRule:
    """A stop that the permit puts in words only."""

    when: str
    notify: str | None = None


CARRIED = ("permit", "amendments", "people_list", "photo_id", "receipt", "signed_member_copy")
"""Papers that a permit may ask to be carried."""


@dataclass(frozen=True, slots=True)
class CarryRule:
    """Papers on the beach: names among ``CARRIED``."""

    papers: tuple[str, ...]


Detail = (
    GearRule
    | AreaRule
    | HoursRule
    | PeopleRule
    | NoticeRule
    | ReportRule
    | HoldingRule
    | BiosecurityRule
    | StopRule
    | CarryRule
)
