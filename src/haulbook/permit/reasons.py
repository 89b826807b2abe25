"""What one permit says to a plan, clause by clause."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from haulbook.custody.facts import Haul
from haulbook.custody.fates import Basis
from haulbook.permit.conditions import OneSet, Sun, check_number, check_set
from haulbook.permit.detail import (
    BiosecurityRule,
    CarryRule,
    GearRule,
    HoldingRule,
    NoticeRule,
    PeopleRule,
    ReportRule,
    StopRule,
)
from haulbook.permit.follow import stops
from haulbook.permit.measure import plain
from haulbook.permit.model import CONFIRMING, Clause, Permit, Stop
from haulbook.permit.papers import about, holding_ends, latest, moment, report_due
from haulbook.permit.period import Key, clock, span
from haulbook.permit.plan import Going, Reason, Weight, of_clause
from haulbook.permit.scope import Meant
from haulbook.permit.state import State, States
from haulbook.permit.status import FULL, Status
from haulbook.permit.take import Take
from haulbook.permit.words import day_words, moment_words, span_words


def reasons_for(take: Take, going: Going, permit: Permit, now: datetime, sun: Sun | None) -> Iterator[Reason]:
    """Yield every reason a permit gives for or against a plan."""
    states = States(take)
    for clause in permit.ruling(going.first_set):
        yield from _unconfirmed(permit, clause)
        yield from _notice(going, permit, clause)
        yield from _reports(take, going, permit, clause, now)
        yield from _people(going, permit, clause)
        yield from _holding(going, permit, clause)
        yield from _by_hand(take, going, permit, clause)
    yield from _sets(take, going, permit, sun)
    yield from _authorised(going, permit)
    yield from _carried(going, permit)
    for state in states.current(permit, going.first_set, going.outing, None):
        yield from _left(take, going, permit, state)
    for stop in stops(states, permit, going.first_set, going.outing, None, going.papers):
        weight: Weight = "limit" if stop.stop is Stop.TAXON else "no-go"
        yield of_clause(weight, f"{stop.why}: {stop.words}", permit, stop.state.clause)


def _unconfirmed(permit: Permit, clause: Clause) -> Iterator[Reason]:
    people = len(set(clause.confirmed_by))
    if people < CONFIRMING:
        said = f"{people} of {CONFIRMING} people have compared version {clause.version} with the paper"
        yield of_clause("check", said, permit, clause)


def _sets(take: Take, going: Going, permit: Permit, sun: Sun | None) -> Iterator[Reason]:
    """Judge gear, area, hours and the number of sets for each planned haul, by the version of its instant."""
    weights: dict[str, Weight] = {"kept": "ok", "broken": "no-go", "unknown": "check"}
    for number, one in zip(sorted(going.hauls, key=lambda haul: haul.set_at), going.sets(), strict=True):
        for clause in permit.ruling(number.set_at):
            made = _made_before(take, going, permit, clause)
            planned = [other for other in going.sets() if other.set_at and other.set_at <= number.set_at]
            checks = check_set(permit, clause, one, sun)
            checks += [
                check for other, check in check_number(permit, clause, [*made, *planned]) if other == one
            ]
            for check in checks:
                said = f"haul {number.number}: {check.message}"
                yield of_clause(weights[check.verdict], said, permit, clause, haul=number.number)


def _made_before(take: Take, going: Going, permit: Permit, clause: Clause) -> list[OneSet]:
    """Return the sets already made that count against the same maximum of hauls."""
    per_day = isinstance(clause.detail, GearRule) and clause.detail.per == "day"

    def counts(haul: Haul) -> bool:
        return per_day or haul.outing == going.outing

    return [
        OneSet(haul.key, span(began, permit.tz)[0], None)
        for haul in take.account.hauls
        if (began := haul.started or clock(haul)) and counts(haul)
    ]


def _authorised(going: Going, permit: Permit) -> Iterator[Reason]:
    if not permit.people:
        yield Reason(
            "check",
            f"permit {permit.no} names no people: see that somebody may act for the holder",
            permit.no,
        )
    elif not set(permit.people) & set(going.crew):
        said = f"nobody of the crew is named in permit {permit.no}: {', '.join(permit.people)}"
        yield Reason("no-go", said, permit.no)


def _people(going: Going, permit: Permit, clause: Clause) -> Iterator[Reason]:
    rule = clause.detail
    if not isinstance(rule, PeopleRule):
        return
    if rule.any_of and not set(rule.any_of) & set(going.crew):
        yield of_clause("no-go", f"one of {', '.join(rule.any_of)} has to be there", permit, clause)
    if not rule.min_present:
        return
    present = going.people_present if going.people_present is not None else len(going.crew) or None
    if present is None:
        yield of_clause(
            "check", f"at least {rule.min_present} people; nobody said how many come", permit, clause
        )
    else:
        weight: Weight = "ok" if present >= rule.min_present else "no-go"
        yield of_clause(weight, f"{present} people of at least {rule.min_present}", permit, clause)


def _notice(going: Going, permit: Permit, clause: Clause) -> Iterator[Reason]:
    """Judge the lead time in elapsed hours before the first set, and the receipt."""
    rule = clause.detail
    if not isinstance(rule, NoticeRule):
        return
    lead = timedelta(seconds=float(rule.lead_h * 3600))
    sent = latest(going.papers, "notice-sent", permit, clause.id)
    to = f" to {rule.to}" if rule.to else ""
    if sent is None:
        by = moment_words((going.first_set - lead).astimezone(permit.tz))
        yield of_clause("no-go", f"no notice sent{to}; it has to go by {by}", permit, clause)
    elif going.first_set - sent < lead:
        until = (sent + lead).astimezone(permit.tz)
        had = (
            f"notice {span_words(going.first_set - sent)} before the first set, {plain(rule.lead_h)} h asked"
        )
        yield of_clause("no-go", f"{had}: no set before {moment_words(until)}", permit, clause, until=until)
    else:
        yield of_clause(
            "ok", f"notice {span_words(going.first_set - sent)} before the first set", permit, clause
        )
    if rule.receipt and latest(going.papers, "receipt", permit, clause.id) is None:
        yield of_clause("no-go", "the receipt of the notice is not attached", permit, clause)


def _reports(take: Take, going: Going, permit: Permit, clause: Clause, now: datetime) -> Iterator[Reason]:
    """Say which report is overdue: that of each period that ended, if anything was hauled in it."""
    if not isinstance(clause.detail, ReportRule):
        return
    today = now.astimezone(permit.tz).date()
    last_work: dict[tuple[Key, date], datetime] = {}
    for haul in take.account.hauls:
        when = clock(haul)
        if when and take.held(permit, haul, when):
            ended = report_due(permit, clause, when.days_in(permit.tz)[0])
            at = span(when, permit.tz)[0]
            last_work[ended] = max(at, last_work.get(ended, at))
    sent = [moment(p, permit) for p in going.papers if p.act == "report-sent" and about(p, permit, clause.id)]
    for (key, due), worked in sorted(last_work.items()):
        if due < today and not any(worked <= at for at in sent):
            said = f"the report on {key.label} was due {day_words(due)} and is not sent"
            yield of_clause("limit", said, permit, clause)


def _carried(going: Going, permit: Permit) -> Iterator[Reason]:
    for paper in permit.papers:
        yield from _paper(going, paper, Reason("check", f"take along: {paper}", permit.no))
    for clause in permit.ruling(going.first_set):
        if isinstance(clause.detail, CarryRule):
            for paper in clause.detail.papers:
                words = f"take along: {paper.replace('_', ' ')}"
                yield from _paper(going, paper, of_clause("check", words, permit, clause))


def _paper(going: Going, paper: str, reason: Reason) -> Iterator[Reason]:
    """Yield the reminder unless the paper is known to be there; known to be missing is a no-go."""
    if going.carried is None:
        yield reason
    elif paper not in going.carried:
        yield Reason(
            "no-go",
            f"{reason.message}: it is not with the outing",
            reason.permit,
            reason.clause,
            reason.quote,
        )


def _holding(going: Going, permit: Permit, clause: Clause) -> Iterator[Reason]:
    rule = clause.detail
    if not isinstance(rule, HoldingRule):
        return
    ends = holding_ends(permit, clause)
    left = (ends - going.first_set.astimezone(permit.tz).date()).days
    if left < 0:
        yield of_clause("limit", f"the right to hold ended {day_words(ends)}: keep nothing", permit, clause)
    elif rule.warn_days and left <= max(rule.warn_days):
        yield of_clause("limit", f"the right to hold ends in {left} days, {day_words(ends)}", permit, clause)
    if going.holding_room is None:
        yield of_clause("check", "nobody said how many animals the holding room can take", permit, clause)
    elif going.holding_room <= 0:
        yield of_clause("limit", "the holding room is full: keep nothing", permit, clause)


def _by_hand(take: Take, going: Going, permit: Permit, clause: Clause) -> Iterator[Reason]:
    """List what only a person can see to: cleaning and drying of gear, stops in words."""
    match clause.detail:
        case StopRule() as rule:
            yield of_clause("check", f"stop when {rule.when}", permit, clause)
        case BiosecurityRule() as rule:
            yield of_clause("check", f"before {rule.before}: {rule.do}", permit, clause)
            wet = _last_wet(take, going, permit)
            if rule.dry_h is None or rule.before != "site" or wet is None:
                return
            until = (wet + timedelta(seconds=float(rule.dry_h * 3600))).astimezone(permit.tz)
            if going.first_set < until:
                dry = span_words(going.first_set - wet)
                said = f"{dry} since gear was wet at another site, {plain(rule.dry_h)} h dry asked"
                yield of_clause("no-go", said, permit, clause, until=until)


def _last_wet(take: Take, going: Going, permit: Permit) -> datetime | None:
    """Return when gear last left the water at another site before this outing."""
    ended = (
        span(when, permit.tz)[1]
        for haul in take.account.hauls
        if (when := haul.ended or clock(haul)) and _elsewhere(haul, going)
    )
    return max((at for at in ended if at <= going.first_set), default=None)


def _elsewhere(haul: Haul, going: Going) -> bool:
    return haul.outing != going.outing and (haul.site is None or haul.site != going.site)


def _left(take: Take, going: Going, permit: Permit, state: State) -> Iterator[Reason]:
    """Say what is left of each limit that is not open, and what that means for the plan."""
    clause = state.clause
    if state.unquantified:
        yield of_clause("check", "something was seen here that nobody put a number to", permit, clause)
    if clause.limit is None:
        return
    if state.status is Status.OPEN or state.status is Status.PENDING:
        if state.worst in FULL:
            said = f"{state.n} certain and {state.possible} possible of {clause.limit}: settle the names"
            yield of_clause("limit", said, permit, clause)
        return
    on_capture = clause.basis in (Basis.CAPTURED, Basis.ENCOUNTERED, Basis.HANDLED)
    if clause.limit == 0 and state.status is Status.CLOSED and not on_capture:
        yield of_clause("ok", f"none may be {clause.basis}", permit, clause)
        return
    count = (
        f"{state.n} of {clause.limit} {clause.basis} per {clause.period.replace('_', ' ')}: {state.status}"
    )
    if state.status in FULL and on_capture:
        expected = clause.scope.everything or any(
            take.scoper.by_taxon(clause.scope, taxon) is not Meant.NOT for taxon in going.looked_for
        )
        advice = "no set where it is expected"
        weight: Weight = "no-go" if clause.scope.everything else "limit"
        yield of_clause(weight, f"{count}, {advice if expected else 'release at once'}", permit, clause)
    else:
        yield of_clause("limit", count, permit, clause)
