"""Makes one permit's report of any days, as it would be sent: in the agency's tables, in a form that keeps."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from haulbook.custody.canonical import sha256_of
from haulbook.custody.facts import Paper
from haulbook.office.report_to_agency import LaidOut, Report, laid_out
from haulbook.permit.conditions import Sun
from haulbook.permit.fields import Row
from haulbook.permit.filing import for_report
from haulbook.permit.grounds import Grounds, Span
from haulbook.permit.layout import Layout
from haulbook.permit.model import Permit
from haulbook.permit.take import Take
from haulbook.publish import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeTable:
    """One of the agency's tables beside its cells, which are the sheet of the same place.

    Attributes
    ----------
    name, title, file_kind : str
        Of the layout; the kind of file that the agency wants.
    version : int
        Of the layout.
    parts : tuple of (heading, number)
        What together is everything captured, without subtotals.
    missing, notes : tuple of str
        Cells that the agency requires and that are empty; what stands under the table.
    certificate : str
    subtotals : tuple of int
        Rows, from 0, that repeat others.
    """

    name: str
    version: int
    title: str
    file_kind: str
    parts: tuple[tuple[str, int], ...]
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    certificate: str
    subtotals: tuple[int, ...]

    @property
    def reported(self) -> int:
        """Animals in all parts together."""
        return sum(n for _, n in self.parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeReport:
    """A report as it would be sent. Its text is the same whenever it says the same.

    Attributes
    ----------
    permit, holder : str
    first, last : date
        Days it is about, both included.
    permit_file : int
        Version of the permit's file that it was made by.
    captured : int
        Individuals captured, from the book.
    hauls : int
    nil : bool
        Nothing was caught: such a return is signed and sent all the same.
    due : date or None
    blockers : tuple of str
        Why it can't be signed.
    findings : tuple of dict
        As ``Finding.as_json``.
    tables : tuple of MadeTable
    sheets : tuple of Sheet
        One for each table, and the findings last.
    rows : tuple of Row
        Of the report model, days and instants as text; for comparing with another version.
    """

    permit: str
    holder: str
    first: date
    last: date
    permit_file: int
    captured: int
    hauls: int
    nil: bool
    due: date | None
    blockers: tuple[str, ...]
    findings: tuple[Mapping[str, Any], ...]
    tables: tuple[MadeTable, ...]
    sheets: tuple[Sheet, ...]
    rows: tuple[Row, ...]

    def text(self) -> str:
        """Return the report as JSON, keys in order: the same report, the same text."""
        return json.dumps(
            {name: _plain(getattr(self, name)) for name in self.__dataclass_fields__},
            ensure_ascii=False,
            sort_keys=True,
            separators=(",", ":"),
        )

    @property
    def digest(self) -> str:
        """SHA-256 of the text."""
        return sha256_of(self.text())

    @staticmethod
    def of_text(text: str) -> MadeReport:
        """Return what :meth:`text` wrote down."""
        said = json.loads(text)
        return MadeReport(
            **said
            | {
                "first": date.fromisoformat(said["first"]),
                "last": date.fromisoformat(said["last"]),
                "due": date.fromisoformat(said["due"]) if said["due"] else None,
                "blockers": tuple(said["blockers"]),
                "findings": tuple(said["findings"]),
                "tables": tuple(_table_of(one) for one in said["tables"]),
                "sheets": tuple(_sheet_of(one) for one in said["sheets"]),
                "rows": tuple(said["rows"]),
            }
        )


def make_report(
    take: Take,
    permit: Permit,
    days: Span,
    layouts: Sequence[Layout],
    as_of: datetime,
    *,
    permit_file: int = 1,
    grounds: Grounds | None = None,
    papers: Iterable[Paper] = (),
    sun: Sun | None = None,
    corrected: frozenset[str] = frozenset(),
) -> MadeReport:
    """Make a permit's report; days without a haul make a nil return.

    Parameters
    ----------
    take : Take
        The whole account and all permits relied on together.
    permit : Permit
        The one reported under.
    days : Span
    layouts : sequence of Layout
    as_of : datetime
        Decides which amendments of the permit are known.
    permit_file : int
        Version of the permit's file.
    grounds, papers, sun, corrected
        As in :func:`haulbook.permit.filing.for_report`.

    Raises
    ------
    Refusal
        A layout's code map does not know a word that the rows hold.
    """
    filing = for_report(
        take, permit, days, as_of, grounds=grounds, papers=papers, sun=sun, corrected=corrected
    )
    report = Report(permit, filing, tuple(laid_out(layout, filing) for layout in layouts))
    tables = tuple(_table(laid) for laid in report.tables)
    return MadeReport(
        permit=permit.no,
        holder=permit.holder,
        first=days.first,
        last=days.last,
        permit_file=permit_file,
        captured=report.captured,
        hauls=len({(row["outing_id"], row["haul_no"]) for row in filing.rows}),
        nil=filing.nil,
        due=filing.due,
        blockers=(*filing.blockers, *_in_tables(tables, report.captured)),
        findings=tuple(finding.as_json() for finding in filing.findings),
        tables=tables,
        sheets=report.sheets(),
        rows=tuple(_plain(row) for row in filing.rows),
    )


def _table(laid: LaidOut) -> MadeTable:
    return MadeTable(
        name=laid.layout.name,
        version=laid.layout.version,
        title=laid.layout.title,
        file_kind=laid.layout.file_kind,
        parts=laid.parts,
        missing=laid.table.missing,
        notes=laid.table.notes,
        certificate=laid.table.certificate,
        subtotals=laid.table.subtotals,
    )


def _in_tables(tables: Iterable[MadeTable], captured: int) -> Iterable[str]:
    """Yield what stops a table from being sent: empty cells that the agency requires, animals that vanished."""
    for table in tables:
        if table.missing:
            yield (
                f"{table.title}: {len(table.missing)} required cells are empty, the first: {table.missing[0]}"
            )
        if table.reported != captured and not table.notes:
            yield f"{table.title}: its parts add up to {table.reported}, and {captured} were captured"


def _table_of(said: dict[str, Any]) -> MadeTable:
    lists = {name: tuple(said[name]) for name in ("missing", "notes", "subtotals")}
    return MadeTable(**said | lists | {"parts": tuple((head, n) for head, n in said["parts"])})


def _sheet_of(said: dict[str, Any]) -> Sheet:
    return Sheet(
        said["name"],
        tuple(said["headers"]),
        tuple(map(tuple, said["rows"])),
        tuple((term, meaning) for term, meaning in said["notes"]),
    )


def _plain(value: Any) -> Any:
    """Return a value as JSON takes it: every dataclass by its fields, days and instants as text."""
    if isinstance(value, (MadeTable, Sheet)):
        return {name: _plain(getattr(value, name)) for name in value.__dataclass_fields__}
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value
