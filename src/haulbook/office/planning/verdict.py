"""Go, go with limits, or no-go: one window judged by tide, permits, people and past hauls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

from haulbook.custody.facts import Paper
from haulbook.office.planning.asked import Asked
from haulbook.office.planning.chances import Chance, Forecast, chance_reasons
from haulbook.office.planning.water import SiteWater
from haulbook.permit.conditions import Sun
from haulbook.permit.detail import Corner, NoticeRule
from haulbook.permit.going import before_going
from haulbook.permit.headroom import Headroom
from haulbook.permit.model import Clause, Permit
from haulbook.permit.plan import Going, PlannedHaul, Reason
from haulbook.permit.take import Take
from haulbook.tide import Ranked, Window, Work, daylight
from haulbook.tide.windows import WEATHER_M

Verdict = Literal["go", "go with limits", "no-go"]
ORDER: tuple[Verdict, ...] = ("go", "go with limits", "no-go")

FEWEST_PEOPLE = 4
"""Two on the net, one on the buckets, one to write; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One window, judged.

    Attributes
    ----------
    rank : int
        1 is the best of all: by what it can become once the notice is sent, then by the tide.
    window : Window
    why : str
        Why it stands where it stands among the windows.
    day : date
        Local day of its low.
    verdict : {"go", "go with limits", "no-go"}
        As things stand.
    then : {"go", "go with limits", "no-go"}
        Once the notices are sent and answered that can still be sent in time.
    reasons : tuple of Reason
        Weightiest first; of those that forbid, the ones that can't be mended come first.
    hauls : tuple of PlannedHaul
        As they fit, at most as many as are wanted.
    headroom : tuple of Headroom
        What is left of each counting clause on that day.
    chances : tuple of Chance
        Empty where there are too few comparable hauls.
    """

    rank: int
    window: Window
    why: str
    day: date
    verdict: Verdict
    then: Verdict
    reasons: tuple[Reason, ...]
    hauls: tuple[PlannedHaul, ...] = ()
    headroom: tuple[Headroom, ...] = ()
    chances: tuple[Chance, ...] = ()

    @property
    def worst(self) -> Reason | None:
        """The weightiest reason against it; None where nothing stands against it."""
        return next((reason for reason in self.reasons if reason.weight != "ok"), None)


@dataclass(frozen=True, slots=True, eq=False)
class Judge:
    """Everything that windows are judged by.

    ``papers`` are those in the book; ``last_haul`` the instant of its last haul; ``standing`` are reasons that
    hold on whatever day; ``forecasts`` go by month.
    """

    asked: Asked
    place: SiteWater
    take: Take
    papers: tuple[Paper, ...]
    last_haul: datetime | None
    standing: tuple[Reason, ...]
    forecasts: dict[int, Forecast]

    def choices(self, ranked: Iterable[Ranked]) -> tuple[Choice, ...]:
        """Return the windows judged, best first."""
        judged = [self.judge(one) for one in ranked]
        judged.sort(key=lambda one: (ORDER.index(one.then), one.rank))
        return tuple(replace(one, rank=place) for place, one in enumerate(judged, start=1))

    def judge(self, ranked: Ranked) -> Choice:
        """Return one window judged; its rank is still that of the tide."""
        window = ranked.window
        day = window.low.time.astimezone(self.asked.zone).date()
        hauls = planned_hauls(window, self.place.terms.work)
        reasons = [*self._tide(window, hauls), *self.standing]
        if not hauls:
            return self._choice(ranked, day, reasons)
        going = self._going(day, hauls)
        answer = before_going(self.take, going, self.asked.now, self._sun)
        chances = self.forecasts[day.month].chances(answer.headroom, going.permits, going.first_set)
        reasons += [*answer.reasons, *chance_reasons(chances, self.take, len(hauls))]
        return self._choice(ranked, day, reasons, hauls, answer.headroom, chances)

    def _choice(
        self,
        ranked: Ranked,
        day: date,
        reasons: list[Reason],
        hauls: tuple[PlannedHaul, ...] = (),
        headroom: tuple[Headroom, ...] = (),
        chances: tuple[Chance, ...] = (),
    ) -> Choice:
        mended = [reason for reason in reasons if not self._can_be_mended(reason, hauls)]
        order = ("no-go", "limit", "check", "ok")
        reasons.sort(key=lambda one: (order.index(one.weight), one not in mended))
        numbers = [haul.number for haul in hauls]
        return Choice(
            ranked.rank, ranked.window, ranked.why, day, verdict_of(reasons, numbers),
            verdict_of(mended, numbers), tuple(reasons), hauls, headroom, chances,
        )  # fmt: skip

    def _tide(self, window: Window, hauls: tuple[PlannedHaul, ...]) -> Iterator[Reason]:
        wanted, work = self.asked.hauls, self.place.terms.work
        if window.start <= self.asked.now:
            yield Reason("no-go", "the window has begun or is past")
        if not hauls:
            needed = work.setup_min + work.haul_min + work.packout_min
            yield Reason(
                "no-go",
                f"no haul fits: the window has {window.minutes:.0f} minutes, one haul takes {needed:g}",
            )
            return
        if len(hauls) < wanted:
            fit = "1 haul fits" if len(hauls) == 1 else f"{len(hauls)} hauls fit"
            yield Reason("limit", f"{fit} of {wanted} wanted")
        rough = work.fit(window.rough_minutes)
        if not rough:
            yield Reason(
                "limit",
                f"with {WEATHER_M:g} m of weather {window.rough_minutes:.0f} minutes may be left, and no haul fits",
            )
        people = self.asked.people_present
        if people is not None and people < FEWEST_PEOPLE:
            yield Reason(
                "check",
                f"{people} people come; two on the net, one on the buckets and one to write make "
                f"{FEWEST_PEOPLE} (common practice, no source)",
            )

    def _going(self, day: date, hauls: tuple[PlannedHaul, ...]) -> Going:
        asked = self.asked
        return Going(
            outing=asked.outing_on(day),
            hauls=hauls,
            permits=asked.relied,
            site=asked.site.key,
            position=asked.site.position,
            crew=asked.crew,
            people_present=asked.people_present,
            nets=asked.nets,
            papers=asked.papers_on(day, self.papers, self.last_haul),
            looked_for=asked.plan.looked_for if asked.plan else (),
        )

    @property
    def _sun(self) -> Sun:
        def sun(day: date, position: Corner | None) -> tuple[datetime, datetime] | None:
            light = daylight(*(position or self.asked.site.position), day, self.asked.zone)
            return (light.sunrise, light.sunset) if light.sunrise and light.sunset else None

        return sun

    def _can_be_mended(self, reason: Reason, hauls: tuple[PlannedHaul, ...]) -> bool:
        """Say whether a reason is a notice, or its receipt, for which there still is time."""
        clause = self.clause_of(reason, hauls[0].set_at) if hauls and reason.weight == "no-go" else None
        if clause is None or not isinstance(clause.detail, NoticeRule):
            return False
        lead = timedelta(seconds=float(clause.detail.lead_h * 3600))
        return reason.until is None and self.asked.now + lead <= hauls[0].set_at

    def clause_of(self, reason: Reason, at: datetime) -> Clause | None:
        """Return the clause that a reason speaks of, in the version of an instant."""
        permit = self.permit(reason.permit)
        ruling = permit.ruling(at) if permit else ()
        return next((clause for clause in ruling if clause.id == reason.clause), None)

    def permit(self, no: str | None) -> Permit | None:
        """Return a permit by its number."""
        return next((permit for permit in self.asked.permits if permit.no == no), None)


def planned_hauls(window: Window, work: Work) -> tuple[PlannedHaul, ...]:
    """Return the hauls that fit, at most those wanted: set-up first, each landed by the end of its time."""
    first, each = window.start + timedelta(minutes=work.setup_min), timedelta(minutes=work.haul_min)
    return tuple(
        PlannedHaul(i + 1, first + i * each, first + (i + 1) * each)
        for i in range(min(window.hauls, work.hauls))
    )


def verdict_of(reasons: Iterable[Reason], hauls: Iterable[int]) -> Verdict:
    """Return the word for an outing: no-go where no haul may be made, limits where one may not.

    What a person has to check is a limit, as in the check of the permits (A4.4).
    """
    reasons = tuple(reasons)
    words = {_of_haul(reasons, number) for number in hauls} or {_of_haul(reasons, None)}
    if len(words) == 1:
        return words.pop()
    return "go with limits"


def _of_haul(reasons: tuple[Reason, ...], haul: int | None) -> Verdict:
    weights = {reason.weight for reason in reasons if reason.haul in (None, haul)}
    if "no-go" in weights:
        return "no-go"
    return "go with limits" if weights & {"limit", "check"} else "go"
