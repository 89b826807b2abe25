"""Papers that went to the agency or came from it, and the dates that hang on them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from haulbook.custody.facts import Paper
from haulbook.permit.detail import HoldingRule, ReportRule
from haulbook.permit.model import Clause, Period, Permit
from haulbook.permit.period import Key, key_of_day, span


def about(paper: Paper, permit: Permit, clause: str) -> bool:
    """Whether a paper belongs to a clause: it names it, or names the permit alone."""
    return paper.permit == permit.no and paper.clause in (None, clause)


def moment(paper: Paper, permit: Permit) -> datetime:
    """Return when a paper counts, in UTC: the end of its local day where no clock time is known."""
    return span(paper.at, permit.tz)[1]


def latest(papers: Iterable[Paper], act: str, permit: Permit, clause: str) -> datetime | None:
    """Return when the last paper of a kind that belongs to a clause was sent or came; None without one."""
    found = [moment(paper, permit) for paper in papers if paper.act == act and about(paper, permit, clause)]
    return max(found, default=None)


def report_due(permit: Permit, clause: Clause, on: date) -> tuple[Key, date]:
    """Return the reporting period in which a day lies, and the last day on which its report may be sent.

    With ``days_after_end`` the days run from the last day of the period, the permit's own last day where that
    comes first; with ``month_day`` it is the first such date after that end.
    """
    assert isinstance(clause.detail, ReportRule)  # noqa: S101 (the reader pairs kind and detail)
    key = key_of_day(clause.period, permit, on)
    end = permit.ends_on
    if clause.period is not Period.PERMIT_LIFE:
        end = min(end, (key.end.astimezone(permit.tz) - timedelta(days=1)).date())
    if clause.detail.days_after_end is not None:
        return key, end + timedelta(days=clause.detail.days_after_end)
    month, day = clause.detail.month_day or (12, 31)
    due = date(end.year, month, day)
    return key, due if due > end else date(end.year + 1, month, day)


def holding_ends(permit: Permit, clause: Clause) -> date:
    """Return the last day on which animals may be held under a holding clause."""
    assert isinstance(clause.detail, HoldingRule)  # noqa: S101
    return permit.ends_on if clause.detail.until == "end" else clause.detail.until
