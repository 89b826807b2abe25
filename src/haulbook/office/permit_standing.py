"""Where every permit stands in its current year: each clause with what is left of it and on what that hangs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from haulbook.custody.facts import Account, Paper
from haulbook.permit.conditions import Sun
from haulbook.permit.filing import Filing, for_report
from haulbook.permit.finding import Finding
from haulbook.permit.grounds import Grounds, Span
from haulbook.permit.measure import plain
from haulbook.permit.model import Clause, Period, Permit
from haulbook.permit.period import INSTANT, Key, key_of_day
from haulbook.permit.scope import Meant
from haulbook.permit.state import State, States, entries_of
from haulbook.permit.status import FULL
from haulbook.permit.take import Take
from haulbook.permit.words import day_words
from haulbook.taxa import Pack


@dataclass(frozen=True, slots=True)
class HaulShare:
    """What one haul adds to a count, certainly and possibly."""

    haul: str
    n: int
    possible: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodStanding:
    """One clause in one of its periods.

    Attributes
    ----------
    label : str
        Haul, outing, day as YYYY-MM-DD, year; empty before the first haul or outing.
    words : str
        The period as people say it.
    first, last : date
        Its days, local to the permit.
    n, possible : int
        What counts certainly, and what may count on top of it.
    d : int or None
        Of a percentage, what it is a percentage of.
    left, left_at_worst : int or None
        What may still be added, also if all that is possible counts. None without a number.
    over : int
        How many are too many.
    status, worst : str
        As ``permit.status`` names them: now, and if all that is possible counts.
    unquantified, estimated : bool
        Something was seen that nobody put a number to; some of it was not counted one by one.
    hauls : tuple of HaulShare
        The hauls that count, in order of time.
    hangs_on : tuple of str
        Ids of the entries behind ``possible``: settle those, and it is certain.
    """

    label: str
    words: str
    first: date
    last: date
    n: int
    possible: int
    d: int | None
    left: int | None
    left_at_worst: int | None
    over: int
    status: str
    worst: str
    unquantified: bool
    estimated: bool
    hauls: tuple[HaulShare, ...]
    hangs_on: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseStanding:
    """One counting clause, in the version in force.

    Attributes
    ----------
    clause : str
        Its id.
    version : int
    kind, basis, unit, period : str
        As in the permit file: limit, prohibit or percent; what is counted, in which unit, over which span.
    of, percent : str or None
        Of a percentage.
    limit : int or None
    text, quote : str
        The clause in the permit's own words; the same in quotation marks, with where it stands.
    periods : tuple of PeriodStanding
        Those of the permit year in which something counted, in order of time.
    now : PeriodStanding
        The one that runs; of hauls and outings, the last in which something counted.
    """

    clause: str
    version: int
    kind: str
    basis: str
    unit: str
    period: str
    of: str | None
    percent: str | None
    limit: int | None
    text: str
    quote: str
    periods: tuple[PeriodStanding, ...]
    now: PeriodStanding


@dataclass(frozen=True, slots=True, kw_only=True)
class PermitStanding:
    """One permit in one permit year.

    Attributes
    ----------
    permit : str
    first, last : date
        Days of the permit year: the one at ``as_of``, or else the permit's first or last.
    as_of : datetime
        What was landed later is left out; amendments known by then rule.
    in_force : bool
        Whether the permit holds at ``as_of``.
    clauses : tuple of ClauseStanding
        The counting ones, in the permit's order.
    findings : tuple of Finding
        As a report of that year would have them, findings first.
    blockers : tuple of str
        Why a report of that year could not be signed yet.
    due : date or None
        Last day for sending it.
    """

    permit: str
    first: date
    last: date
    as_of: datetime
    in_force: bool
    clauses: tuple[ClauseStanding, ...]
    findings: tuple[Finding, ...]
    blockers: tuple[str, ...]
    due: date | None

    def as_json(self) -> dict[str, Any]:
        """Return the JSON shape: every attribute by name, days and instants as text."""
        shape: dict[str, Any] = _plain(asdict(self))
        return shape

    @staticmethod
    def from_json(shape: dict[str, Any]) -> PermitStanding:
        """Return what :meth:`as_json` wrote down."""
        return PermitStanding(
            **shape
            | {
                "first": date.fromisoformat(shape["first"]),
                "last": date.fromisoformat(shape["last"]),
                "as_of": datetime.fromisoformat(shape["as_of"]),
                "clauses": tuple(_clause_from(one) for one in shape["clauses"]),
                "findings": tuple(_finding_from(one) for one in shape["findings"]),
                "blockers": tuple(shape["blockers"]),
                "due": _day(shape["due"]),
            }
        )


def permit_standings(
    account: Account,
    permits: Sequence[Permit],
    pack: Pack,
    as_of: datetime,
    *,
    papers: Iterable[Paper] = (),
    grounds: Grounds | None = None,
    sun: Sun | None = None,
) -> tuple[PermitStanding, ...]:
    """Return where permits stand.

    Parameters
    ----------
    account : Account
        Of all outings: a limit may count what was taken in an earlier year.
    permits : sequence of Permit
        All that are relied on together.
    pack : Pack
    as_of : datetime
        With its zone.
    papers, grounds, sun
        As in :func:`haulbook.permit.filing.for_report`.
    """
    take, papers = Take(account, permits, pack), tuple(papers)
    found = []
    for permit in permits:
        at = min(max(as_of, permit.valid_from), permit.valid_to - INSTANT)
        year = key_of_day(Period.PERMIT_YEAR, permit, at.astimezone(permit.tz).date())
        first, last = _days(year, permit)
        filing = for_report(take, permit, Span(first, last), as_of, grounds=grounds, papers=papers, sun=sun)
        found.append(
            PermitStanding(
                permit=permit.no,
                first=first,
                last=last,
                as_of=as_of,
                in_force=permit.in_force(as_of),
                clauses=tuple(_clauses(States(take), permit, filing, at, as_of)),
                findings=filing.findings,
                blockers=filing.blockers,
                due=filing.due,
            )
        )
    return tuple(found)


def _clauses(
    states: States, permit: Permit, filing: Filing, at: datetime, as_of: datetime
) -> Iterable[ClauseStanding]:
    for clause in permit.ruling(at):
        if not clause.counts:
            continue
        mattered = [
            state
            for state in filing.states
            if (state.clause.id, state.clause.version) == (clause.id, clause.version)
        ]
        yield ClauseStanding(
            clause=clause.id,
            version=clause.version,
            kind=clause.kind,
            basis=str(clause.basis),
            unit=clause.scope.unit,
            period=str(clause.period),
            of=str(clause.of) if clause.of else None,
            percent=plain(clause.percent) if clause.percent is not None else None,
            limit=clause.limit,
            text=clause.source.text,
            quote=str(clause.source),
            periods=tuple(_period(state, permit) for state in mattered),
            now=_period(_running(states, permit, clause, mattered, at, as_of), permit),
        )


def _running(
    states: States, permit: Permit, clause: Clause, mattered: list[State], at: datetime, as_of: datetime
) -> State:
    if clause.period in (Period.HAUL, Period.OUTING):
        if mattered:
            return max(mattered, key=lambda state: state.key.start)
        return states.state(permit, clause, Key(clause.period, "", at, at), as_of)
    key = key_of_day(clause.period, permit, at.astimezone(permit.tz).date())
    return next((state for state in mattered if state.key == key), None) or states.state(
        permit, clause, key, as_of
    )


def _period(state: State, permit: Permit) -> PeriodStanding:
    first, last = _days(state.key, permit)
    worst_left = None if state.clause.limit is None else max(0, state.clause.limit - state.worst_n)
    return PeriodStanding(
        label=state.key.label,
        words=_words(state.key, first, last),
        first=first,
        last=last,
        n=state.n,
        possible=state.possible,
        d=state.d,
        left=0 if state.status in FULL else state.remaining,
        left_at_worst=0 if state.worst in FULL else worst_left,
        over=state.over,
        status=str(state.status),
        worst=str(state.worst),
        unquantified=state.unquantified,
        estimated=state.estimated,
        hauls=_shares(state),
        hangs_on=entries_of(state.counted, Meant.POSSIBLY),
    )


def _shares(state: State) -> tuple[HaulShare, ...]:
    certain: dict[str, int] = {}
    possible: dict[str, int] = {}
    for charge in state.counted:
        haul = charge.animals.haul
        sums = certain if charge.meant is Meant.CERTAINLY else possible
        sums[haul] = sums.get(haul, 0) + charge.n
    order = dict.fromkeys(charge.animals.haul for charge in state.counted)
    return tuple(HaulShare(haul, certain.get(haul, 0), possible.get(haul, 0)) for haul in order)


def _days(key: Key, permit: Permit) -> tuple[date, date]:
    """Return the first and the last day of a period, local to the permit."""
    return key.start.astimezone(permit.tz).date(), (key.end - INSTANT).astimezone(permit.tz).date()


def _words(key: Key, first: date, last: date) -> str:
    match key.period:
        case Period.HAUL | Period.OUTING if not key.label:
            return f"no {key.period} yet"
        case Period.HAUL:
            outing, _, number = key.label.rpartition("/")
            return f"haul {number} of {outing}"
        case Period.OUTING:
            return f"outing {key.label}"
        case Period.DAY:
            return day_words(first)
        case Period.CALENDAR_YEAR:
            return f"calendar year {key.label}"
    year = "permit year" if key.period is Period.PERMIT_YEAR else "all of the permit"
    return f"{year}, {day_words(first)} to {day_words(last)}"


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value


def _clause_from(shape: dict[str, Any]) -> ClauseStanding:
    periods = tuple(_period_from(one) for one in shape["periods"])
    return ClauseStanding(**shape | {"periods": periods, "now": _period_from(shape["now"])})


def _period_from(shape: dict[str, Any]) -> PeriodStanding:
    return PeriodStanding(
        **shape
        | {
            "first": date.fromisoformat(shape["first"]),
            "last": date.fromisoformat(shape["last"]),
            "hauls": tuple(HaulShare(**one) for one in shape["hauls"]),
            "hangs_on": tuple(shape["hangs_on"]),
        }
    )


def _finding_from(shape: dict[str, Any]) -> Finding:
    by = shape["by"] and datetime.fromisoformat(shape["by"])
    more = {"entries": tuple(shape["entries"]), "by": by, "written_by": _day(shape["written_by"])}
    return Finding(**shape | more)


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
