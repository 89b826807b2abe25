"""Puts an accounted book on a page: words and rows, ready to be printed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from haulbook.custody.facts import Haul
from haulbook.exchange.station_toml import Station
from haulbook.gear import condition
from haulbook.office.account_book import Accounted
from haulbook.office.balance import animals_by_haul, balance_lines
from haulbook.office.densities import ALL, Density
from haulbook.office.digest import book_digest
from haulbook.office.report_to_agency import Report
from haulbook.office.say import said
from haulbook.permit.finding import Finding
from haulbook.permit.model import Period, Source
from haulbook.permit.period import INSTANT
from haulbook.permit.state import State
from haulbook.permit.status import Status
from haulbook.problems import Problem
from haulbook.publish import (
    AccountPage,
    EstimateLine,
    FindingLine,
    HaulLine,
    LimitLine,
    OpenLine,
    Provenance,
    ReportLine,
)
from haulbook.publish.account_parts import Weight
from haulbook.publish.words import day, several
from haulbook.taxa import Pack

MOST_TAXA = 12
"""Taxa whose catch per area the page shows; all of them stand in the table beside it."""
MOST_PLACES = 4
"""Places with animals in them that are listed one by one."""
SHORT = (Period.HAUL, Period.OUTING, Period.DAY)
OVERSTEPS = ("exceeded", "not-allowed", "no-permit", "prohibited")
_BASIS_WORDS = {"retained": "kept", "captured": "captured", "died": "died", "lethal": "died or were killed"}


def account_page(
    done: Accounted,
    *,
    station: Station | None,
    made_at: datetime,
    sources: Sequence[tuple[str, str]],
    problems: Iterable[Problem] = (),
    invented: bool = False,
) -> AccountPage:
    """Return the account as a page.

    Parameters
    ----------
    done : Accounted
    station : Station or None
    made_at : datetime
        When the page is made, with zone.
    sources : sequence of (term, value)
        Files and their digests, program version.
    problems : iterable of Problem
        What the sheets left to be asked.
    invented : bool
        Says on the page that nothing of it happened.
    """
    hauls = done.account.hauls
    out_of_sea = done.balances.of(place="sea").by("taxon", "stage", "unit")
    by_haul = animals_by_haul(done.account.animals)
    sites = list(dict.fromkeys(haul.site for haul in hauls if haul.site))
    return AccountPage(
        title=_title(hauls),
        station=station.name if station else "station not named",
        place=", ".join(sites[:4]) + (f" and {len(sites) - 4} more sites" if len(sites) > 4 else ""),
        zone=next((site.zone for site in station.sites.values()), "as written") if station else "as written",
        made_at=made_at,
        captured=done.captured,
        balance=balance_lines(done.account, {key: -n for key, n in out_of_sea.items()}, done.pack),
        hauls=tuple(_haul_line(haul, by_haul.get(haul.key, 0), done) for haul in hauls),
        provenance=Provenance(book_digest(done.book), len(done.book.entries), tuple(sources)),
        permits=tuple(dict.fromkeys(report.permit.no for report in done.reports)),
        findings=_findings(done),
        limits=tuple(_limits(done.reports, done.pack)),
        estimates=tuple(estimate_lines(done, _commonest(done.densities))),
        reports=tuple(_report_lines(done.reports)),
        open=(*_open(done), *_asked(problems)),
        invented=invented,
    )


def estimate_lines(done: Accounted, taxa: Iterable[str] | None = None) -> list[EstimateLine]:
    """Return catch per area as printed rows: of all taxa, or of those named, in their order."""
    by_taxon: dict[str, list[Density]] = {}
    for density in done.densities:
        by_taxon.setdefault(density.taxon, []).append(density)
    return [
        EstimateLine(said(taxon, done.pack), density.group.words, _period(density), density.estimate)
        for taxon in (taxa if taxa is not None else by_taxon)
        for density in by_taxon[taxon]
    ]


def _period(density: Density) -> str:
    return "all years" if density.period == ALL else density.period


def _commonest(densities: Iterable[Density]) -> list[str]:
    animals: dict[str, int] = {}
    for density in densities:
        if density.estimate.per_100_m2 is not None:
            animals[density.taxon] = max(animals.get(density.taxon, 0), density.animals)
    return sorted(animals, key=lambda taxon: -animals[taxon])[:MOST_TAXA]


def _title(hauls: Sequence[Haul]) -> str:
    outings = list(dict.fromkeys(haul.outing for haul in hauls))
    if len(outings) == 1:
        return f"Outing {outings[0]}"
    years = sorted({when.first_day.year for haul in hauls if (when := haul.landed or haul.started)})
    if not years:
        return "Account"
    return f"Season {years[0]}" if len(years) == 1 else f"Seasons {years[0]} to {years[-1]}"


def _haul_line(haul: Haul, animals: int, done: Accounted) -> HaulLine:
    went = condition(haul.condition)
    swept = done.areas[haul.key]
    remarks = tuple(text for text in (haul.why, *haul.remarks) if text)
    return HaulLine(
        label=haul.label or haul.key,
        outing=haul.outing,
        animals=animals,
        condition=went,
        for_density=went.for_density and swept.area is not None,
        landed=haul.landed,
        site=haul.site,
        set_type=haul.set_type.replace("_", " ") if haul.set_type else None,
        area=swept.area,
        no_area=swept.why_not,
        remarks=remarks,
    )


def _findings(done: Accounted) -> tuple[FindingLine, ...]:
    """Return one line a finding; notes of one kind about one clause stand together, the first in full."""
    sources = {
        (report.permit.no, clause.id, clause.version): clause.source
        for report in done.reports
        for clause in report.permit.clauses
    }
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for finding in done.findings:
        alone = () if finding.grade == "note" else (len(groups),)
        groups.setdefault((finding.permit, finding.clause, finding.kind, *alone), []).append(finding)
    return tuple(
        _finding(first, more, sources.get((first.permit, first.clause or "", first.version or 0)))
        for first, *more in groups.values()
    )


def _finding(finding: Finding, more: Sequence[Finding], source: Source | None) -> FindingLine:
    weights: Mapping[str, Weight] = {"finding": "near", "question": "near", "note": "note"}
    detail = [f"by {day(finding.by.date())}, {finding.by:%H:%M}"] if finding.by else []
    if more:
        detail.append(f"also {', '.join(other.period or other.message for other in more)}")
    stands = (("page", source.page), ("section", source.section)) if source else ()
    return FindingLine(
        weight="stop" if finding.kind in OVERSTEPS else weights[finding.grade],
        headline=finding.message,
        permit=finding.permit,
        clause=finding.clause or "",
        quoted=source.text if source else "",
        where=", ".join(f"{word} {at}" for word, at in stands if at) or None,
        detail="; ".join(detail) or None,
        do_now=finding.advice,
    )


def _limits(reports: Iterable[Report], pack: Pack) -> list[LimitLine]:
    """Return each limit of each long period, and the fullest one of each short."""
    states = [state for report in reports for state in report.filing.states if state.clause.counts]
    shown: dict[tuple[str, str, str], State] = {}
    for state in states:
        clause = state.clause
        where = "" if clause.period in SHORT else state.key.label
        other = shown.get((state.permit, clause.id, where))
        if other is None or (clause.version, state.n) > (other.clause.version, other.n):
            shown[state.permit, clause.id, where] = state
    return [_limit(state, pack) for state in shown.values()]


def _limit(state: State, pack: Pack) -> LimitLine:
    clause = state.clause
    weight: Weight | None = None
    if state.status in (Status.EXCEEDED, Status.OVER_SINCE_AMENDMENT):
        weight = "stop"
    elif state.status in (Status.NEAR, Status.REACHED):
        weight = "near"
    words = _BASIS_WORDS.get(clause.basis.value if clause.basis else "", clause.basis or "")
    span = clause.period.value.replace("_", " ")
    return LimitLine(
        permit=state.permit,
        clause=clause.id,
        sentence=f"{_left_words(state, words)}, {_when_words(state, span)}",
        animals=clause.scope.list_name
        or ", ".join(said(one, pack) for one in clause.scope.taxa)
        or "all animals",
        counted_as=f"{words}, per {span}",
        before=0,
        now=state.n,
        limit=clause.limit if clause.kind == "limit" else None,
        status=state.status.value,
        weight=weight,
    )


def _left_words(state: State, words: str) -> str:
    clause = state.clause
    if clause.kind == "percent":
        return f"{state.n} of {state.d or 0} {words}"
    if clause.limit == 0:
        return f"none may be {words}, {state.n} were"
    if clause.limit is None:
        return "no number"
    return f"{state.over} too many" if state.over else f"{state.remaining or 'none'} left"


def _when_words(state: State, span: str) -> str:
    if state.clause.period in SHORT:
        return f"fullest {span} {state.key.label}"
    return f"to {day((state.key.end - INSTANT).date())}"


def _report_lines(reports: Iterable[Report]) -> Iterable[ReportLine]:
    for report in reports:
        for laid in report.tables:
            yield ReportLine(
                name=f"{report.words}, {laid.layout.title}",
                parts=laid.parts,
                captured=report.captured,
                rows=len(laid.table.rows),
                file=f"{report.name}.xlsx",
            )


def _open(done: Accounted) -> Iterable[OpenLine]:
    yield from _still_held(done)
    for thing in done.open:
        if thing.kind != "animals":
            kind = thing.kind.replace("-", " ")
            yield OpenLine(
                thing.words, kind, do_now="before the outing can be closed" if thing.blocks else None
            )
    for report in done.reports:
        for blocker in report.filing.blockers:
            yield OpenLine(what=blocker, kind="report", where=report.name)


def _still_held(done: Accounted) -> Iterable[OpenLine]:
    """Say what net, buckets and coolers still hold: place by place where they are few, else together."""
    held = done.balances.inside.by("outing", "place")
    places = {f"{place} of {outing}": n for (outing, place), n in held.items() if outing and n > 0}
    do_now = "say where they went from there"
    if len(places) <= MOST_PLACES:
        yield from (
            OpenLine(f"{place} holds {several(n, 'animal')}", "no tank yet", do_now=do_now)
            for place, n in places.items()
        )
    else:
        outings = len({outing for (outing, _), n in held.items() if outing and n > 0})
        kept, trips = several(sum(places.values()), "animal"), several(outings, "outing")
        words = f"{kept} of {trips} stand in buckets or coolers"
        yield OpenLine(words, "no tank yet", do_now=do_now)


def _asked(problems: Iterable[Problem]) -> Iterable[OpenLine]:
    for problem in problems:
        if problem.kind in ("asked", "refused"):
            row = f", row {problem.row}" if problem.row else ""
            yield OpenLine(what=problem.message, kind="question", where=f"{problem.file or 'sheets'}{row}")
