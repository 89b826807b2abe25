"""One thing a permit report has to say beside its numbers, with the clause quoted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

from haulbook.permit.model import Clause, Permit

Grade = Literal["finding", "question", "note"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was found.

    Attributes
    ----------
    kind : str
        One word or two, stable for scripts: exceeded, reached, limit-lowered, not-allowed, no-permit ...
    grade : {"finding", "question", "note"}
        ``question``: a person has to settle it; ``note``: worth knowing.
    message : str
    permit : str
    clause : str or None
    version : int or None
    period : str or None
    quote : str or None
        The clause in the permit's own words.
    n, limit : int or None
    entries : tuple of str
        Entries of the book behind it.
    advice : str or None
        What to do.
    by : datetime or None
        Last moment for doing it.
    written_by : date or None
    provisional : bool
        A later line of the same haul cleared it; it stays in the history.
    """

    kind: str
    grade: Grade
    message: str
    permit: str
    clause: str | None = None
    version: int | None = None
    period: str | None = None
    quote: str | None = None
    n: int | None = None
    limit: int | None = None
    entries: tuple[str, ...] = ()
    advice: str | None = None
    by: datetime | None = None
    written_by: date | None = None
    provisional: bool = False

    def __str__(self) -> str:
        parts = [self.message, self.advice or "", self.quote or ""]
        return " ".join(part if part.endswith((".", "”", ")")) else f"{part}." for part in parts if part)

    def as_json(self) -> dict[str, Any]:
        """Return the JSON shape: every attribute by name, times as text."""
        return {
            "kind": self.kind,
            "grade": self.grade,
            "message": self.message,
            "permit": self.permit,
            "clause": self.clause,
            "version": self.version,
            "period": self.period,
            "quote": self.quote,
            "n": self.n,
            "limit": self.limit,
            "entries": list(self.entries),
            "advice": self.advice,
            "by": self.by.isoformat() if self.by else None,
            "written_by": self.written_by.isoformat() if self.written_by else None,
            "provisional": self.provisional,
        }


def of(kind: str, grade: Grade, message: str, permit: Permit, clause: Clause, **more: Any) -> Finding:
    """Return a finding about a clause, quoting it."""
    return Finding(
        kind=kind,
        grade=grade,
        message=f"clause {clause.id}: {message}",
        permit=permit.no,
        clause=clause.id,
        version=clause.version,
        quote=str(clause.source),
        **more,
    )
