"""The check for the report: everything recomputed from the account, what was found, and whether it adds up.

Source: A4.1 (identity), A4.3, A4.4 (at the report).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from haulbook.custody.facts import Animals, Haul, Paper
from haulbook.custody.fates import REPORT_COLUMN, Basis, Fate
from haulbook.permit import breaches, circumstances, loose_ends
from haulbook.permit.conditions import Sun
from haulbook.permit.detail import ReportRule
from haulbook.permit.fields import CAPTURED_PARTS, Value
from haulbook.permit.finding import Finding
from haulbook.permit.follow import Duty, duties
from haulbook.permit.grounds import Grounds, Span
from haulbook.permit.model import Permit
from haulbook.permit.papers import report_due
from haulbook.permit.period import INSTANT, clock, midnight
from haulbook.permit.rows import report_rows
from haulbook.permit.state import State, States
from haulbook.permit.take import Take


@dataclass(frozen=True, slots=True)
class Identity:
    """One line of the reconciliation: what came up in a haul, and where it went.

    ``captured`` counts the animals; ``by_column`` counts them again by the columns of the report.
    """

    haul: str
    taxon: str
    stage: str | None
    unit: str
    encountered: int
    captured: int
    by_column: Mapping[str, int]

    @property
    def adds_up(self) -> bool:
        """Whether the columns together are what was captured."""
        return self.captured == sum(self.by_column.get(name, 0) for name in CAPTURED_PARTS)


@dataclass(frozen=True, slots=True)
class Filing:
    """A permit's report before it is laid out.

    Attributes
    ----------
    permit : str
    days : Span
    as_of : datetime
    rows : tuple of dict
        Of the report model.
    findings : tuple of Finding
        Findings first, then questions, then notes.
    states : tuple of State
        Every clause in every version and period that mattered.
    duties : tuple of Duty
        Who has to be told.
    identity : tuple of Identity
        Per haul, taxon, stage and unit.
    blockers : tuple of str
        Why it can't be signed yet; empty when it can.
    due : date or None
        Last day for sending it, where a clause says so.
    """

    permit: str
    days: Span
    as_of: datetime
    rows: tuple[dict[str, Value], ...]
    findings: tuple[Finding, ...]
    states: tuple[State, ...]
    duties: tuple[Duty, ...]
    identity: tuple[Identity, ...]
    blockers: tuple[str, ...]
    due: date | None = None

    @property
    def nil(self) -> bool:
        """Whether nothing was caught: a nil return is signed and sent all the same."""
        return not any(row["n_encountered"] for row in self.rows)

    @property
    def captured(self) -> dict[str, int]:
        """Captured by unit."""
        totals: dict[str, int] = defaultdict(int)
        for line in self.identity:
            totals[line.unit] += line.captured
        return dict(totals)


def for_report(
    take: Take,
    permit: Permit,
    days: Span,
    as_of: datetime,
    *,
    grounds: Grounds | None = None,
    papers: Iterable[Paper] = (),
    sun: Sun | None = None,
    corrected: frozenset[str] = frozenset(),
) -> Filing:
    """Recompute everything that a permit's report says.

    Parameters
    ----------
    take : Take
        The whole account (a limit may count what was taken before the report's first day) and all permits
        relied on together.
    permit : Permit
        The one reported under.
    days : Span
    as_of : datetime
        Decides which amendments are known; the account handed in decides which entries are.
    grounds, papers, sun, corrected
        As in ``report_rows`` and ``before_going``.
    """
    grounds, papers = grounds or Grounds(), tuple(papers)
    states = States(take)
    history = tuple(states.history(permit, as_of))
    hauls = [haul for haul in take.account.hauls if (when := clock(haul)) and days.holds(when, permit)]
    ours = _ours(take, permit, days)
    within = [state for state in history if _touches(state, days, permit)]
    findings = [
        *circumstances.without_permit(take, permit, hauls),
        *breaches.limits(take, permit, within),
        *breaches.percentages(permit, within),
        *breaches.not_allowed(take, permit, ours),
        *circumstances.conditions(take, permit, _under(take, permit, hauls), grounds, sun),
        *loose_ends.told(take, permit, within, papers),
        *loose_ends.loose_ends(take, permit, ours),
        *circumstances.unconfirmed(permit, as_of),
    ]
    order = {"finding": 0, "question": 1, "note": 2}
    findings.sort(key=lambda finding: order[finding.grade])
    identity = _identity(ours)
    rows = report_rows(take, permit, days, as_of, grounds, corrected, history)
    return Filing(
        permit.no,
        days,
        as_of,
        rows,
        tuple(findings),
        tuple(within),
        tuple(duties(take, permit, within)),
        identity,
        tuple(_blockers(take, ours, findings, identity, rows)),
        _due(permit, days),
    )


def _due(permit: Permit, days: Span) -> date | None:
    ruling = permit.ruling(min(midnight(days.last, permit.tz), permit.valid_to - INSTANT))
    dates = [report_due(permit, c, days.last)[1] for c in ruling if isinstance(c.detail, ReportRule)]
    return min(dates, default=None)


def _ours(take: Take, permit: Permit, days: Span) -> list[Animals]:
    """Return the animals a report is about: under the permit, or under none."""
    return [
        animals
        for animals in take.account.animals
        if days.holds(when := take.landing(animals), permit)
        and (take.held(permit, haul := take.haul_of(animals), when) or not take.covered(haul, when))
    ]


def _under(take: Take, permit: Permit, hauls: Iterable[Haul]) -> list[Haul]:
    return [haul for haul in hauls if (when := clock(haul)) and take.held(permit, haul, when)]


def _touches(state: State, days: Span, permit: Permit) -> bool:
    first, last = (at.astimezone(permit.tz).date() for at in (state.key.start, state.key.end - INSTANT))
    return first <= days.last and last >= days.first


def _identity(ours: Iterable[Animals]) -> tuple[Identity, ...]:
    groups: dict[tuple[str, str, str | None, str], list[Animals]] = defaultdict(list)
    for animals in ours:
        groups[animals.haul, animals.taxon, animals.stage, animals.unit].append(animals)
    lines = []
    for key, rows in groups.items():
        by_column: dict[str, int] = defaultdict(int)
        for animals in rows:
            if animals.fate is not Fate.SEEN_ESCAPED:
                by_column[REPORT_COLUMN[animals.fate]] += animals.n
        captured = sum(animals.n for animals in rows if Basis.CAPTURED in animals.bases)
        lines.append(Identity(*key, sum(animals.n for animals in rows), captured, dict(by_column)))
    return tuple(lines)


def _blockers(
    take: Take,
    ours: Iterable[Animals],
    findings: Iterable[Finding],
    identity: Sequence[Identity],
    rows: Iterable[dict[str, Value]],
) -> Iterable[str]:
    """Yield why a report can't be signed: open fates, sightings without a number, sums that differ."""
    waiting = sum(animals.n for animals in ours if animals.fate is Fate.UNACCOUNTED)
    if waiting:
        yield f"{waiting} animals have no fate yet"
    if any(finding.kind == "unquantified" for finding in findings):
        yield "something was seen that nobody put a number to"
    short = sum(short.n for short in take.account.short)
    if short:
        yield f"{short} animals were taken from places where they had never arrived"
    for line in identity:
        if not line.adds_up:
            yield f"{line.taxon} of haul {line.haul}: the columns do not add up to what was captured"
    captured = sum(line.captured for line in identity)
    reported = sum(n for row in rows if isinstance(n := row["n_captured"], int))
    if captured != reported:
        yield f"{captured} captured in the account, {reported} in the rows of the report"
