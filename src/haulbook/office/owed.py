"""What a station owes today: to settle, reports, notices, looks at new animals, limits and permits near their end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal, Protocol

from haulbook.care.tank.checks import checks_of
from haulbook.custody.book import Book
from haulbook.custody.facts import Paper
from haulbook.office.permit_standing import PermitStanding
from haulbook.permit.detail import HoldingRule, NoticeRule, ReportRule
from haulbook.permit.model import Clause, Permit
from haulbook.permit.papers import holding_ends, latest, report_due
from haulbook.publish.words import day as said_day
from haulbook.publish.words import several

Kind = Literal[
    "settle", "close", "sign", "amend", "report", "notice", "check", "limit", "permit", "holding", "confirm"
]
WARN_DAYS = 30
"""Days before the end of a permit, or before a report is due, from which it is said."""
NEAR = ("near", "reached", "exceeded")


class OutingLine(Protocol):
    """What this needs of an outing: a line of a list."""

    @property
    def outing(self) -> str: ...  # noqa: D102
    @property
    def state(self) -> str: ...  # noqa: D102
    @property
    def blocking(self) -> int: ...  # noqa: D102
    @property
    def printed(self) -> int: ...  # noqa: D102


class Planned(Protocol):
    """What this needs of a plan."""

    @property
    def outing(self) -> str: ...  # noqa: D102
    @property
    def date(self) -> date: ...  # noqa: D102
    @property
    def permits(self) -> tuple[str, ...]: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Owed:
    """One thing that somebody has to do, or to know.

    Attributes
    ----------
    kind : str
    subject : str
        Key of the outing, number of the permit, or ``tank KEY``.
    words : str
        What, and what to do.
    due : datetime or None
        Last moment; None where there is none.
    late : bool
        That moment has passed.
    clause : str or None
    """

    kind: Kind
    subject: str
    words: str
    due: datetime | None = None
    late: bool = False
    clause: str | None = None


def owed(
    now: datetime,
    *,
    outings: Sequence[OutingLine] = (),
    plans: Sequence[Planned] = (),
    permits: Sequence[Permit] = (),
    standings: Sequence[PermitStanding] = (),
    papers: Sequence[Paper] = (),
    tanks: Sequence[str] = (),
    tank_book: Book | None = None,
) -> tuple[Owed, ...]:
    """Return everything that is owed: what is late first, then by its last moment, then what has none.

    Parameters
    ----------
    now : datetime
        With its zone.
    outings, plans
        Of the season; plans of outings that were opened are passed over.
    permits, standings, papers
        Standings as of ``now``.
    tanks, tank_book
        Keys of tanks, and the book they are read from.
    """
    opened = {line.outing for line in outings if line.state != "planned"}
    found = [
        *_outings(outings),
        *_notices_before(now, [plan for plan in plans if plan.outing not in opened], permits, papers),
        *_reports(now, permits, papers),
        *_standings(now, standings),
        *_permits(now, permits),
        *_checks(now, tanks, tank_book or Book()),
    ]
    return tuple(sorted(found, key=lambda one: (not one.late, one.due is None, one.due or now, one.subject)))


def _outings(outings: Iterable[OutingLine]) -> Iterator[Owed]:
    for line in outings:
        if line.state == "open":
            if line.blocking:
                words = f"{several(line.blocking, 'thing stands', 'things stand')} open: settle, then close"
                yield Owed("settle", line.outing, words)
            else:
                yield Owed("close", line.outing, "everything is accounted for: close the outing")
        elif line.state == "closed":
            yield Owed("sign", line.outing, "closed, not signed yet: read it and sign")
        elif line.state == "changed since signing":
            yield Owed(
                "amend", line.outing, "changed since it was signed: look at the difference and sign anew"
            )


def _notices_before(
    now: datetime, plans: Iterable[Planned], permits: Sequence[Permit], papers: Sequence[Paper]
) -> Iterator[Owed]:
    by_no = {permit.no: permit for permit in permits}
    for plan in plans:
        for permit in filter(None, map(by_no.get, plan.permits)):
            start = datetime.combine(plan.date, time(0), permit.tz)
            for clause in permit.ruling(now):
                rule = clause.detail
                if not isinstance(rule, NoticeRule) or start + timedelta(days=1) < now:
                    continue
                due = start - timedelta(hours=float(rule.lead_h))
                sent = latest(papers, "notice-sent", permit, clause.id)
                if sent is None or sent < due - timedelta(days=WARN_DAYS):
                    words = f"give notice to {rule.to or 'the agency'} for {plan.outing} (clause {clause.id})"
                    yield Owed("notice", plan.outing, words, due, due < now, clause.id)


def _reports(now: datetime, permits: Iterable[Permit], papers: Sequence[Paper]) -> Iterator[Owed]:
    for permit in permits:
        today = now.astimezone(permit.tz).date()
        for clause in _ever(permit, ReportRule):
            for day in _days_to_ask(permit, today):
                key, due = report_due(permit, clause, day)
                ended = key.end.astimezone(permit.tz).date() <= today
                sent = latest(papers, "report-sent", permit, clause.id)
                done = sent is not None and sent >= key.end
                if done or not (ended or due - timedelta(days=WARN_DAYS) <= today):
                    continue
                end = datetime.combine(due, time(23, 59), permit.tz)
                words = f"report of {key.start.astimezone(permit.tz).year} due {said_day(due)} (clause {clause.id})"
                yield Owed("report", permit.no, words, end, end < now, clause.id)


def _days_to_ask(permit: Permit, today: date) -> tuple[date, ...]:
    """Return a day of the reporting period now and one of the period before, within the permit's life."""
    first, last = permit.valid_from.astimezone(permit.tz).date(), permit.ends_on
    now = min(max(today, first), last)
    before = now - timedelta(days=365)
    return (now,) if before < first else (before, now)


def _ever(permit: Permit, rule: type) -> Iterator[Clause]:
    """Return the newest version of each clause with such a rule."""
    newest: dict[str, Clause] = {}
    for clause in permit.clauses:
        if isinstance(clause.detail, rule) and clause.version >= newest.get(clause.id, clause).version:
            newest[clause.id] = clause
    yield from newest.values()


def _standings(now: datetime, standings: Iterable[PermitStanding]) -> Iterator[Owed]:
    for standing in standings:
        for line in standing.clauses:
            if line.limit and line.now.status in NEAR and line.now.first <= now.date() <= line.now.last:
                left = line.now.left or 0
                words = f"{several(left, 'more', 'more')} under clause {line.clause}, {line.now.words}"
                yield Owed("limit", standing.permit, words, clause=line.clause)
        for finding in standing.findings:
            if finding.by is not None or finding.written_by is not None:
                due = finding.by
                if due is None and finding.written_by is not None:
                    due = datetime.combine(finding.written_by, time(23, 59), now.tzinfo)
                late = due is not None and due < now
                yield Owed("notice", standing.permit, finding.message, due, late, finding.clause)
            elif finding.kind == "unconfirmed":
                yield Owed("confirm", standing.permit, finding.message, clause=finding.clause)


def _permits(now: datetime, permits: Iterable[Permit]) -> Iterator[Owed]:
    for permit in permits:
        today = now.astimezone(permit.tz).date()
        days = (permit.ends_on - today).days
        if 0 <= days <= WARN_DAYS:
            words = f"ends on {said_day(permit.ends_on)}, in {several(days, 'day')}"
            yield Owed("permit", permit.no, words, permit.valid_to, False)
        for clause in _ever(permit, HoldingRule):
            ends = holding_ends(permit, clause)
            assert isinstance(clause.detail, HoldingRule)  # noqa: S101 - chosen by it
            left = (ends - today).days
            if 0 <= left <= max(clause.detail.warn_days, default=0):
                words = f"animals may be held until {said_day(ends)} (clause {clause.id})"
                due = datetime.combine(ends, time(23, 59), permit.tz)
                yield Owed("holding", permit.no, words, due, False, clause.id)


def _checks(now: datetime, tanks: Iterable[str], book: Book) -> Iterator[Owed]:
    for tank in tanks:
        for check in checks_of(book, f"tank {tank}", now):
            if check.done is None and check.due <= now + timedelta(days=1):
                words = f"look at the new animals, {check.after_h} h after they came"
                yield Owed("check", f"tank {tank}", words, check.due, check.late)
