"""Puts a plan on a page: words and rows, ready to be printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from haulbook.office.plan_outing import Planned
from haulbook.office.planning.bucket_words import words_of
from haulbook.office.planning.chances import UNLIKELY
from haulbook.office.planning.page_permit import (
    chance_line,
    chances_said,
    findings_of,
    is_limit,
    limit_line,
    what_holds,
)
from haulbook.office.planning.verdict import Choice
from haulbook.office.planning.water import DayWater
from haulbook.publish.plan_parts import (
    DayStrip,
    PlanPage,
    TickGroup,
    TideDay,
    WindowLine,
)
from haulbook.publish.words import day as say_day
from haulbook.publish.words import several, weekday
from haulbook.taxa import Pack
from haulbook.tide.clock import say_clock
from haulbook.tide.windows import WEATHER_M

MOST_WINDOWS = 8
"""Windows in the list beside the month; the month shows all."""


def plan_page(planned: Planned, pack: Pack, facts: Sequence[tuple[str, str]], *, invented: bool) -> PlanPage:
    """Return the plan as a page.

    Parameters
    ----------
    planned : Planned
    pack : Pack
    facts : sequence of (term, value)
        Files and their digests, program version, seed.
    invented : bool
        Says on the page that the station is invented.
    """
    asked, chosen, zone = planned.asked, planned.chosen, planned.asked.zone
    findings = tuple(findings_of(planned, pack))
    chances = chosen.chances if chosen else ()
    return PlanPage(
        title=f"{weekday(planned.day.day)} {say_day(planned.day.day)}",
        station=asked.station.name,
        site=asked.site.key,
        zone=planned.day.light.noon.astimezone(zone).tzname() or asked.site.zone,
        made_at=asked.now.astimezone(zone),
        verdict=planned.verdict,
        then=planned.then,
        headline=headline(planned),
        sentence=_sentence(planned),
        findings=findings,
        holds=tuple(what_holds(chosen)),
        limits=tuple(
            limit_line(room, planned, pack) for room in (chosen.headroom if chosen else ()) if is_limit(room)
        ),
        tide=_tide_day(planned),
        days=tuple(_strip(day, planned) for day in planned.days),
        windows=tuple(_window(choice, planned) for choice in planned.choices[:MOST_WINDOWS]),
        windows_in_all=len(planned.choices),
        crew=tuple(_crew(planned)),
        gear=planned.gear,
        buckets=words_of(planned.buckets),
        chances=tuple(chance_line(chance, planned, pack) for chance in chances),
        chances_said=tuple(chances_said(planned, chances)),
        planned=asked.hauls,
        unlikely=UNLIKELY,
        ticks=tuple(_ticks(planned)),
        cautions=planned.cautions,
        facts=tuple(facts),
        invented=invented,
    )


def headline(planned: Planned) -> str:
    """Return the word, with what it waits for where a notice in time can mend it."""
    if planned.chosen is None:
        return "No-go: no window"
    if planned.verdict == "no-go" and planned.then != "no-go":
        return "No-go until notice is given"
    return planned.verdict.capitalize()


def _sentence(planned: Planned) -> str:
    chosen, zone, work = planned.chosen, planned.asked.zone, planned.place.terms.work
    if chosen is None:
        return "Nothing to plan on these days."
    window, n = chosen.window, len(chosen.hauls)
    start, end = (say_clock(at, zone).split()[0] for at in (window.start, window.end))
    parts = [f"Usable {start} to {end}, {window.minutes:.0f} min."]
    if n:
        taken = work.setup_min + n * work.haul_min + work.packout_min
        parts.append(f"Set-up, {several(n, 'haul')} and pack-out take {taken:g}.")
    rough = min(work.fit(window.rough_minutes), planned.asked.hauls)
    still = "still " if rough == n else ""
    parts.append(
        f"If the water stands {WEATHER_M:g} m higher or lower, {window.rough_minutes:.0f} min: {still}"
        f"{several(rough, 'haul') if rough else 'no haul'}."
    )
    return " ".join(parts)


def _tide_day(planned: Planned) -> TideDay:
    chosen, day, curve = planned.chosen, planned.day, planned.curve
    spans = [(choice.window.start, choice.window.end) for choice in planned.choices if choice.day == day.day]
    return TideDay(
        day=day.day,
        zone=planned.asked.zone,
        begins=day.begins,
        ends=day.ends,
        heights_m=curve.heights_m,
        step=curve.step,
        interpolated=curve.interpolated,
        extremes=day.extremes,
        band=planned.place.band,
        bed_m=planned.asked.site.bed_m or 0.0,
        light=day.light,
        windows=tuple(sorted(spans)),
        chosen=(chosen.window.start, chosen.window.end) if chosen else None,
        hauls=tuple((haul.set_at, haul.landed_at or haul.set_at) for haul in chosen.hauls) if chosen else (),
    )


def _strip(day: DayWater, planned: Planned) -> DayStrip:
    choices = [choice for choice in planned.choices if choice.day == day.day]
    best = choices[0] if choices else None
    return DayStrip(
        day=day.day,
        light=day.light.span(),
        lows=day.lows,
        windows=tuple(sorted((choice.window.start, choice.window.end) for choice in choices)),
        minutes=sum(choice.window.minutes for choice in choices),
        hauls=max((choice.window.hauls for choice in choices), default=0),
        verdict=best.verdict if best else "no-go",
        rank=best.rank if best else None,
        chosen=planned.chosen is not None and planned.chosen.day == day.day,
        today=planned.asked.now.astimezone(planned.asked.zone).date() == day.day,
    )


def _window(choice: Choice, planned: Planned) -> WindowLine:
    against = [
        reason
        for reason in choice.reasons
        if reason.weight != "ok" and reason.message != planned.asked.assumed
    ]
    return WindowLine(
        choice.rank, choice.day, choice.window.start, choice.window.end, choice.window.hauls,
        planned.asked.hauls, choice.verdict, choice.then, choice.why,
        tuple(dict.fromkeys(reason.message for reason in against)), choice is planned.chosen,
    )  # fmt: skip


def _crew(planned: Planned) -> Iterator[str]:
    asked = planned.asked
    for key in asked.crew:
        yield f"{key}, {asked.station.people[key].role}"
    if asked.people_present is not None:
        yield f"{asked.people_present} people on the beach, crew included"
    if asked.plan and asked.plan.keep_device:
        yield f"device {asked.plan.keep_device} says what may still be kept"


def _ticks(planned: Planned) -> Iterator[TickGroup]:
    headings = dict.fromkeys(tick.when for tick in planned.checklist)
    for heading in headings:
        yield TickGroup(
            heading,
            tuple((tick.text, tick.source) for tick in planned.checklist if tick.when == heading),
        )
