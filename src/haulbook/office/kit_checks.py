"""What keeps a kit from being made, and what the lead has to settle before relying on one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from haulbook.custody.book import Book
from haulbook.exchange.plan_toml import Plan, check_plan
from haulbook.exchange.station_toml import Station
from haulbook.office.kit_water import Day, water_of
from haulbook.permit.model import CONFIRMING, Permit
from haulbook.permit.period import INSTANT
from haulbook.permit.words import day_words
from haulbook.problems import Problem, Refusal, unknown
from haulbook.shore import shape
from haulbook.taxa import Pack
from haulbook.tide import Station as TideStation
from haulbook.tide import check_years

BINDING = ("haul", "outing", "permit")
"""Stops that end work. One on a taxon only says that nothing more of it may be kept, which the phone shows."""


def refuse_unfit(
    plan: Plan,
    station: Station,
    permits: Sequence[Permit],
    pack: Pack,
    tide_station: TideStation | None,
    file: str,
) -> None:
    """Refuse a plan that names what is not there, all of it together.

    Raises
    ------
    Refusal
        Site, net or person outside the station file; a permit that was not handed in, or twice; a taxon outside the
        pack; a pack that is not the station's; a day or a tide station for which no tide can be predicted.
    """
    problems = [*_unknown(plan, permits, pack, file), *_other_pack(station, pack)]
    site = station.sites.get(plan.site)
    checks: list[Callable[[], object]] = [
        lambda: check_plan(plan, station, file),
        lambda: _check_day(plan, file),
        lambda: water_of(site, tide_station) if site else None,
    ]
    for check in checks:
        try:
            check()
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(problems)


def to_settle(
    plan: Plan, permits: Iterable[Permit], ruled_stops: Iterable[shape.Stop], day: Day, ours: Book, tide: bool
) -> Iterator[str]:
    """Yield, in one sentence each, what the lead has to settle: the kit is made, and says so too."""
    for permit in permits:
        yield from _in_force(permit, day)
        yield from _beside(permit, plan)
        yield from _versions(permit, day)
    for stop in ruled_stops:
        if stop.stop in BINDING:
            yield f"permit {stop.permit}, clause {stop.clause}: {stop.why}: {stop.words}"
    if not plan.permits:
        yield "the plan names no permit, so nothing may be kept"
    if any(entry.kind in ("outing-closed", "outing-signed") for entry in ours.standing()):
        yield f"outing {plan.outing} is closed in the book: give the next one another letter"
    if not tide:
        yield f"site {plan.site} names no tide station: the phone can't say when the tide turns"


def _unknown(plan: Plan, permits: Sequence[Permit], pack: Pack, file: str) -> Iterator[Problem]:
    at_hand = [permit.no for permit in permits]
    for no in plan.permits:
        if no not in at_hand:
            said = (
                unknown("permit file for", no, at_hand) if at_hand else f"there is no permit file for {no!r}"
            )
            yield Problem("refused", f"{said}; hand it in with --permit", file=file, column="permits")
    for no in sorted({no for no in at_hand if at_hand.count(no) > 1}):
        yield Problem("refused", f"permit {no} was handed in twice: its versions stand in one file")
    for taxon in plan.looked_for:
        if taxon not in pack.taxa:
            said = unknown(f"taxon of the pack {pack.key}", taxon, pack.taxa)
            yield Problem("refused", said, file=file, column="looked_for")


def _other_pack(station: Station, pack: Pack) -> Iterator[Problem]:
    if station.pack != pack.key:
        said = f"the station's pack is {station.pack}, not {pack.key}: a kit speaks the station's names"
        yield Problem("refused", said)


def _check_day(plan: Plan, file: str) -> None:
    try:
        check_years(plan.date, plan.date)
    except Refusal as refusal:
        raise Refusal(Problem("refused", str(refusal), file=file, column="date")) from None


def _in_force(permit: Permit, day: Day) -> Iterator[str]:
    if not all(permit.in_force(at) for at in day.span):
        held = f"from {day_words(permit.valid_from)} to {day_words(permit.valid_to - INSTANT)}"
        yield f"permit {permit.no} holds {held}, not on all of {day_words(day.date)}: keep nothing under it then"


def _beside(permit: Permit, plan: Plan) -> Iterator[str]:
    for other in permit.needs_also:
        if other not in plan.permits:
            yield f"permit {permit.no} holds only together with {other}, which the plan does not name"


def _versions(permit: Permit, day: Day) -> Iterator[str]:
    begins, ends = day.span
    for clause in permit.ruling(ends) if permit.in_force(ends) else ():
        where = f"permit {permit.no}, clause {clause.id}"
        if clause.effective_from > begins:
            local = clause.effective_from.astimezone(permit.tz)
            yield f"{where}: version {clause.version} begins that day at {local:%H:%M}; the kit judges all day by it"
        if (people := len(set(clause.confirmed_by))) < CONFIRMING:
            said = f"{people} of {CONFIRMING} people have compared version {clause.version} with the paper"
            yield f"{where}: {said}"
