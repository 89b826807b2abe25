"""What is asked of a plan: where, when, who, with what; and what is taken where nobody said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from haulbook.custody.facts import Paper
from haulbook.custody.when import When
from haulbook.exchange.plan_toml import Bucket, Plan
from haulbook.exchange.station_toml import Site, Station
from haulbook.gear import Net
from haulbook.permit.detail import HoursRule
from haulbook.permit.model import Permit
from haulbook.problems import Problem, Refusal, unknown
from haulbook.tide import Station as TideStation
from haulbook.tide import Work
from haulbook.tide.clock import day_start, say_day

USUAL = Work()
"""Three hauls and the minutes they take where nobody says others."""

OF_ONE_OUTING = ("notice-sent", "receipt", "permission")
"""Papers that are about one outing; reports are about a period."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A question for ``plan_outing``.

    Attributes
    ----------
    station : Station
    site : Site
        One of the station's; with a tide station and the height of its bed.
    tide_station : TideStation
        The one whose tide the site has.
    tide_stations : mapping of str to TideStation
        Where a subordinate station's reference is found.
    permits : tuple of Permit
        All at hand.
    first, last : date
        Local days to look at, both included.
    now : datetime
        When the question is asked.
    plan : Plan or None
        Who goes with what. Without it permits, people and net are taken as `assumed` says.
    work : Work
        How long things take; its number of hauls counts where there is no plan.

    Raises
    ------
    Refusal
        The site has no tide station or no height of the bed; the plan's day lies outside the days asked for.
    """

    station: Station
    site: Site
    tide_station: TideStation
    tide_stations: Mapping[str, TideStation]
    permits: tuple[Permit, ...]
    first: date
    last: date
    now: datetime
    plan: Plan | None = None
    work: Work = USUAL

    def __post_init__(self) -> None:
        lacking = [] if self.site.tide else [f"site {self.site.key} names no tide station: write its tide"]
        if self.site.bed_m is None:
            lacking.append(
                f"site {self.site.key} has no bed_m: write the height of the bed above MLLW, metres"
            )
        if self.plan and not self.first <= self.plan.date <= self.last:
            days = f"{say_day(self.first)} to {say_day(self.last)}"
            lacking.append(
                f"the plan's day, {say_day(self.plan.date)}, is outside {days}: widen --from and --to"
            )
        if lacking:
            raise Refusal(Problem("refused", words) for words in lacking)

    @property
    def zone(self) -> ZoneInfo:
        """The site's zone, in which its days begin."""
        return ZoneInfo(self.site.zone)

    @property
    def hauls(self) -> int:
        """How many are wanted."""
        return self.plan.hauls if self.plan else self.work.hauls

    @property
    def relied(self) -> tuple[str, ...]:
        """Numbers of the permits the outing goes under."""
        return self.plan.permits if self.plan else tuple(permit.no for permit in self.permits)

    @property
    def crew(self) -> tuple[str, ...]:
        """Keys of the people who go."""
        if self.plan:
            return self.plan.crew
        named = {key for permit in self.permits for key in permit.people}
        return tuple(key for key in self.station.people if key in named)

    @property
    def people_present(self) -> int | None:
        """Everybody on the beach; None where nobody said."""
        return self.plan.people_present if self.plan else None

    @property
    def nets(self) -> tuple[Net, ...]:
        """The nets that go along."""
        keys = self.plan.nets if self.plan else tuple(self.station.nets)
        return tuple(self.station.nets[key] for key in keys)

    @property
    def buckets(self) -> tuple[Bucket, ...]:
        """The buckets and coolers of the plan."""
        return self.plan.buckets if self.plan else ()

    @property
    def assumed(self) -> str | None:
        """What was taken because there is no plan; None with one."""
        if self.plan:
            return None
        people, nets = ", ".join(self.crew) or "nobody", ", ".join(net.key for net in self.nets) or "none"
        return (
            f"there is no plan, so this is assumed: {self.hauls} hauls, crew {people}, net {nets}, "
            f"permits {', '.join(self.relied) or 'none'}; a plan says it exactly"
        )

    def outing_on(self, day: date) -> str:
        """Return the key of an outing on a day: the plan's on its day, else the day and a letter."""
        return self.plan.outing if self.plan and self.plan.date == day else f"{day}-a"

    def papers_on(self, day: date, known: tuple[Paper, ...], last_haul: datetime | None) -> tuple[Paper, ...]:
        """Return the papers that speak for an outing on a day.

        A report speaks for its period. A notice, a receipt or a permission speaks for one outing: the planned
        one, and only if it came after the last haul in the book, since an earlier one was about another.
        """
        reports = [paper for paper in known if paper.act not in OF_ONE_OUTING]
        if not (self.plan and self.plan.date == day):
            return tuple(reports)
        since = [
            paper
            for paper in known
            if paper.act in OF_ONE_OUTING and (last_haul is None or paper.at.sort_key() > last_haul)
        ]
        done = [
            Paper(paper.permit, paper.act, When(paper.at.isoformat()), "", "", paper.clause)
            for paper in self.plan.paper
        ]
        return (*reports, *since, *done)

    @property
    def permit_hours(self) -> tuple[time, time] | None:
        """Clock hours that every permit relied on allows, where they are the same on all days asked for.

        Hours that hang on the sun, change in between or run over midnight are left to the check of each haul.
        """
        begins = day_start(self.first, self.zone)
        spans = [
            (rule.start.clock, rule.end.clock)
            for permit in self.permits
            if permit.no in self.relied and permit.zone == self.site.zone
            for clause in permit.ruling(begins)
            if isinstance(rule := clause.detail, HoursRule)
            and (clause.effective_to is None or clause.effective_to.date() > self.last)
        ]
        clocks = [(start, end) for start, end in spans if start and end and start < end]
        if not clocks or len(clocks) < len(spans):
            return None
        opens, closes = max(start for start, _ in clocks), min(end for _, end in clocks)
        return (opens, closes) if opens < closes else None


def site_of(station: Station, key: str | None) -> Site:
    """Return the site that was named, or the only one.

    Raises
    ------
    Refusal
        An unknown name, or several sites and none named.
    """
    if key is not None:
        if key not in station.sites:
            raise Refusal(unknown("site", key, station.sites))
        return station.sites[key]
    if len(station.sites) != 1:
        raise Refusal(
            f"the station file has {len(station.sites)} sites ({', '.join(station.sites) or 'none'}): "
            "say which with --at KEY, or in the plan"
        )
    return next(iter(station.sites.values()))
