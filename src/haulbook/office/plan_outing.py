"""Plans an outing: which days and windows go, go with limits, or do not, and what each needs.

The word says what tide, daylight, permits, people and past hauls say. It never says that a day holds no danger:
that is for the lead to see.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from haulbook.care.cautions import NO_RELEASE, PEOPLE, PERMIT, PUMPS
from haulbook.custody.facts import Haul, Paper
from haulbook.office.planning.asked import Asked
from haulbook.office.planning.bucket_words import bucket_reasons
from haulbook.office.planning.buckets import Buckets, buckets_needed
from haulbook.office.planning.catch import comparable
from haulbook.office.planning.chances import Forecast
from haulbook.office.planning.checklist import Tick, checklist, gear_lines
from haulbook.office.planning.past import Past
from haulbook.office.planning.verdict import Choice, Judge, Verdict
from haulbook.office.planning.water import Curve, DayWater, SiteWater, curve_of, day_of, days_of, site_water
from haulbook.permit.period import clock
from haulbook.permit.plan import Reason
from haulbook.permit.take import Take
from haulbook.taxa import Pack
from haulbook.tide import Ranked
from haulbook.tide.clock import say_day

THE_LEAD = "The lead decides, on the beach, by what is seen there; a plan can't."


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """The answer.

    Attributes
    ----------
    asked : Asked
    place : SiteWater
    choices : tuple of Choice
        Every window, best first.
    chosen : Choice or None
        The best on the plan's day; without a plan, the best of all. None: there is no window.
    nothing : Reason or None
        Why there is none.
    days : tuple of DayWater
        Each day asked for.
    day : DayWater
        The day of what was chosen, or the plan's.
    curve : Curve
        The water of that day.
    forecast : Forecast
        What past hauls say of that day's.
    buckets : Buckets
    gear : tuple of str
    checklist : tuple of Tick
    cautions : tuple of str
    """

    asked: Asked
    place: SiteWater
    choices: tuple[Choice, ...]
    chosen: Choice | None
    nothing: Reason | None
    days: tuple[DayWater, ...]
    day: DayWater
    curve: Curve
    forecast: Forecast
    buckets: Buckets
    gear: tuple[str, ...]
    checklist: tuple[Tick, ...]
    cautions: tuple[str, ...]

    @property
    def verdict(self) -> Verdict:
        """The word, as things stand."""
        return self.chosen.verdict if self.chosen else "no-go"

    @property
    def then(self) -> Verdict:
        """The word once the notices that can still be sent are sent and answered."""
        return self.chosen.then if self.chosen else "no-go"


def plan_outing(asked: Asked, past: Past, pack: Pack, rng: np.random.Generator) -> Planned:
    """Judge every window of the days asked for, and say what the chosen one needs.

    Parameters
    ----------
    asked : Asked
    past : Past
        What was taken, sent and read so far; ``past_of`` a book gives it.
    pack : Pack
        The station's.
    rng : numpy.random.Generator
        Handed in, seeded: the same question gets the same answer.

    Raises
    ------
    Refusal
        Days the wrong way round or outside the years that can be trusted; a station without constants.
    """
    place = site_water(asked)
    take = Take(past.account, asked.permits, pack)
    ranked = place.windows()
    forecasts = _forecasts(asked, take, ranked, rng)

    def needed(month: int) -> Buckets:
        return buckets_needed(
            past,
            forecasts[month].hauls,
            asked.hauls,
            asked.buckets,
            asked.work.haul_min,
            pack,
            rng,
        )

    planned_buckets = needed(asked.plan.date.month) if asked.plan else None
    judge = Judge(
        asked, place, take, _papers(past, asked.now), _last_haul(take.account.hauls, asked),
        (*_assumed(asked), *(bucket_reasons(planned_buckets) if planned_buckets else ())), forecasts,
    )  # fmt: skip
    choices = judge.choices(ranked)
    chosen = _chosen(asked, choices)
    day = day_of(place, chosen.day if chosen else asked.plan.date if asked.plan else asked.first)
    return Planned(
        asked=asked,
        place=place,
        choices=choices,
        chosen=chosen,
        nothing=None if chosen else _nothing(asked, place),
        days=days_of(place),
        day=day,
        curve=curve_of(place, day),
        forecast=forecasts[day.day.month],
        buckets=planned_buckets or needed(day.day.month),
        gear=gear_lines(asked),
        checklist=checklist(asked, chosen.window if chosen else None, place.terms.work),
        cautions=(THE_LEAD, *place.cautions, PERMIT, NO_RELEASE, *PEOPLE, PUMPS),
    )


def _forecasts(
    asked: Asked, take: Take, ranked: Iterable[Ranked], rng: np.random.Generator
) -> dict[int, Forecast]:
    """Return a forecast for each month in which there is a window, and for the one asked about."""
    months = {one.window.low.time.astimezone(asked.zone).month for one in ranked}
    months.add(asked.plan.date.month if asked.plan else asked.first.month)
    nets = {net.key for net in asked.nets}
    found: dict[tuple[str, ...], Forecast] = {}
    by_month = {}
    for month in sorted(months):
        hauls = comparable(take.account.hauls, asked.site.key, nets, month)
        keys = tuple(haul.key for haul in hauls)
        if keys not in found:
            found[keys] = Forecast(take, hauls, rng)
        by_month[month] = found[keys]
    return by_month


def _papers(past: Past, now: datetime) -> tuple[Paper, ...]:
    return tuple(paper for paper in past.papers if paper.at.sort_key() <= now)


def _last_haul(hauls: Iterable[Haul], asked: Asked) -> datetime | None:
    outing = asked.plan.outing if asked.plan else None
    found = [when.sort_key() for haul in hauls if haul.outing != outing and (when := clock(haul))]
    return max((at for at in found if at <= asked.now), default=None)


def _assumed(asked: Asked) -> tuple[Reason, ...]:
    return (Reason("check", asked.assumed),) if asked.assumed else ()


def _chosen(asked: Asked, choices: tuple[Choice, ...]) -> Choice | None:
    if asked.plan:
        choices = tuple(one for one in choices if one.day == asked.plan.date)
    return choices[0] if choices else None


def _nothing(asked: Asked, place: SiteWater) -> Reason:
    days = (
        f"on {say_day(asked.plan.date)}"
        if asked.plan
        else f"from {say_day(asked.first)} to {say_day(asked.last)}"
    )
    hours = (
        f" and the permit's hours, {asked.permit_hours[0]:%H:%M} to {asked.permit_hours[1]:%H:%M},"
        if asked.permit_hours
        else ""
    )
    return Reason("no-go", f"{days} the water is never {place.band} in daylight{hours}")
