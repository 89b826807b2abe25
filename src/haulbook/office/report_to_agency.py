"""Makes each permit's reports from the account: one for every permit year in which a net was in the water."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from haulbook.custody.facts import Haul, Paper
from haulbook.exchange.station_toml import Station
from haulbook.permit.filing import Filing, for_report
from haulbook.permit.grounds import Grounds, Span, Spot
from haulbook.permit.layout import Layout, Table, lay_out
from haulbook.permit.model import Period, Permit
from haulbook.permit.period import INSTANT, Key, clock, keys
from haulbook.permit.take import Take
from haulbook.publish import Sheet


@dataclass(frozen=True, slots=True)
class LaidOut:
    """One table of a report, with what its parts add up to."""

    layout: Layout
    table: Table
    parts: tuple[tuple[str, int], ...]

    @property
    def reported(self) -> int:
        """Animals in all parts together."""
        return sum(n for _, n in self.parts)


@dataclass(frozen=True, slots=True)
class Report:
    """One permit's report of one permit year, and its tables."""

    permit: Permit
    filing: Filing
    tables: tuple[LaidOut, ...]

    @property
    def name(self) -> str:
        """Stem of its file names: permit number and first day."""
        number = re.sub(r"[^A-Za-z0-9-]+", "-", self.permit.no).strip("-") or "permit"
        return f"report-{number}-{self.filing.days.first}"

    @property
    def words(self) -> str:
        """Permit and days, as a heading says them."""
        return f"{self.permit.no}, {self.filing.days.first} to {self.filing.days.last}"

    @property
    def captured(self) -> int:
        """Individuals captured, from the book."""
        return self.filing.captured.get("individual", 0)

    def sheets(self) -> tuple[Sheet, ...]:
        """Return the tables and the findings as worksheets."""
        return (*(_sheet(laid) for laid in self.tables), _findings_sheet(self.filing))


def grounds_of(station: Station | None) -> Grounds:
    """Return what a report asks of the station: where its sites are and what its nets measure."""
    if station is None:
        return Grounds()
    spots = {
        site.key: Spot(site.key, site.position[0], site.position[1], position_from="station file")
        for site in station.sites.values()
    }
    return Grounds(sites=spots, nets=dict(station.nets))


def report_to_agency(
    take: Take,
    layouts: Sequence[Layout],
    as_of: datetime,
    grounds: Grounds,
    papers: Iterable[Paper] = (),
    corrected: frozenset[str] = frozenset(),
) -> tuple[Report, ...]:
    """Return the reports of every permit that is relied on.

    Parameters
    ----------
    take : Take
        The account and the permits.
    layouts : sequence of Layout
        The agency's tables; each is checked to add up to what was captured.
    as_of : datetime
        Decides which amendments are known.
    grounds : Grounds
    papers : iterable of Paper
        Notices, receipts and reports already sent.
    corrected : frozenset of str
        Ids of entries that set an earlier one right; their rows are flagged.
    """
    papers = tuple(papers)
    reports = []
    for permit in take.permits:
        for days in _years(permit, take.account.hauls):
            filing = for_report(
                take, permit, days, as_of, grounds=grounds, papers=papers, corrected=corrected
            )
            reports.append(Report(permit, filing, tuple(laid_out(layout, filing) for layout in layouts)))
    return tuple(reports)


def _years(permit: Permit, hauls: Iterable[Haul]) -> list[Span]:
    """Return the permit years that hold a haul; what nobody dated surely stands in each it may belong to."""
    found: dict[Key, None] = {}
    for haul in hauls:
        when = clock(haul)
        if when:
            found.update(dict.fromkeys(keys(Period.PERMIT_YEAR, permit, haul, (haul,), when)))
    return [
        Span(key.start.astimezone(permit.tz).date(), (key.end - INSTANT).astimezone(permit.tz).date())
        for key in sorted(found, key=lambda key: key.start)
    ]


def laid_out(layout: Layout, filing: Filing) -> LaidOut:
    """Return one table of a report, with what its parts add up to."""
    table = lay_out(layout, filing.rows)
    shown = [*layout.parts, *([layout.residual] if layout.residual in table.headers else [])]
    columns = {header: table.headers.index(header) for header in shown if header}
    rows = [row for i, row in enumerate(table.rows) if i not in table.subtotals]
    parts = tuple(
        (header, sum(n for row in rows if isinstance(n := row[column], int)))
        for header, column in columns.items()
    )
    return LaidOut(layout, table, parts)


def _sheet(laid: LaidOut) -> Sheet:
    notes = [("Table", laid.layout.title), *(("Note", note) for note in laid.table.notes)]
    if laid.table.certificate:
        notes.append(("Certificate", laid.table.certificate))
    notes += [("Missing", missing) for missing in laid.table.missing]
    return Sheet(laid.layout.name[:31], laid.table.headers, laid.table.rows, tuple(notes))


_FINDING_HEADINGS: Mapping[str, str] = {
    "grade": "Weight", "kind": "Kind", "clause": "Clause", "version": "Version", "period": "Period",
    "message": "What was found", "n": "Number", "limit": "Limit", "quote": "The clause says",
    "advice": "What to do",
}  # fmt: skip


def _findings_sheet(filing: Filing) -> Sheet:
    rows = [tuple(finding.as_json()[name] for name in _FINDING_HEADINGS) for finding in filing.findings]
    return Sheet("findings", tuple(_FINDING_HEADINGS.values()), tuple(rows))
