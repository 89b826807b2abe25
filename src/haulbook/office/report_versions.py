"""The versions of a report that were signed: what each covers, whether it was sent, what changed since."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from haulbook.custody.canonical import canonical, sha256_of
from haulbook.custody.facts import Paper
from haulbook.office.make_report import MadeReport
from haulbook.permit.delta import report_delta
from haulbook.permit.detail import ReportRule
from haulbook.permit.model import Permit
from haulbook.problems import Refusal

FORM = 1
"""Written in every cover: how it is to be read."""
NO_CLAUSE = "report"
"""In the place of a clause where none speaks of reports, so that no receipt is taken for that of a notice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What is signed: a short text that names everything the report holds by its digest.

    Attributes
    ----------
    permit : str
    first, last : date
    number : int
        1, 2, 3 ... as they were signed.
    amendment : int
        0 for the report; 1, 2 ... for what was signed after a version had been sent.
    amends : str or None
        Digest of the version sent before.
    content : str
        SHA-256 of the report's own text.
    layouts : tuple of (name, version)
    captured : int
    nil : bool
    made_at, by : str
        Instant with offset; the signer's key.
    """

    permit: str
    first: date
    last: date
    number: int
    amendment: int
    amends: str | None
    content: str
    layouts: tuple[tuple[str, int], ...]
    captured: int
    nil: bool
    made_at: str
    by: str

    def text(self) -> str:
        """Return the cover as canonical JSON."""
        said = {name: getattr(self, name) for name in self.__dataclass_fields__}
        days = {"first": self.first.isoformat(), "last": self.last.isoformat()}
        return canonical(
            {**said, **days, "layouts": [list(one) for one in self.layouts], "report_cover": FORM}
        )

    @property
    def digest(self) -> str:
        """SHA-256 of the text: the digest that is signed."""
        return sha256_of(self.text())

    @staticmethod
    def of_text(text: str) -> Cover:
        """Return what :meth:`text` wrote down; another text is refused."""
        said = json.loads(text)
        if not isinstance(said, dict) or said.pop("report_cover", None) != FORM:
            raise Refusal("this is no cover of a report that this haulbook can read")
        days = {name: date.fromisoformat(said[name]) for name in ("first", "last")}
        return Cover(**said | days | {"layouts": tuple((name, n) for name, n in said["layouts"])})


@dataclass(frozen=True, slots=True)
class Version:
    """One signed version with what became of it."""

    cover: Cover
    signed: Paper
    sent: tuple[Paper, ...]
    receipts: tuple[Paper, ...]

    @property
    def state(self) -> str:
        """Return signed, sent, or received."""
        return "received" if self.receipts else "sent" if self.sent else "signed"


def versions_of(papers: Iterable[Paper], covers: Mapping[str, Cover]) -> tuple[Version, ...]:
    """Return every signed version of every report, in order of signing.

    Parameters
    ----------
    papers : iterable of Paper
        The whole correspondence.
    covers : mapping of digest to Cover
        Those at hand; a signature without its cover is passed over.
    """
    papers = tuple(papers)
    about: dict[tuple[str, str | None], list[Paper]] = {}
    for paper in papers:
        about.setdefault((paper.act, paper.digest), []).append(paper)
    return tuple(
        Version(
            covers[paper.digest],
            paper,
            tuple(about.get(("report-sent", paper.digest), ())),
            tuple(about.get(("receipt", paper.digest), ())),
        )
        for paper in papers
        if paper.act == "report-signed" and paper.digest is not None and paper.digest in covers
    )


def of_days(versions: Iterable[Version], permit: str, first: date, last: date) -> tuple[Version, ...]:
    """Return the versions of one permit's report of the same days."""
    return tuple(
        one
        for one in versions
        if (one.cover.permit, one.cover.first, one.cover.last) == (permit, first, last)
    )


def cover_of(made: MadeReport, before: Sequence[Version], made_at: str, by: str) -> Cover:
    """Return the cover of the next version of a report.

    Raises
    ------
    Refusal
        Something stands in the way of signing, or nothing changed since the version before was signed.
    """
    if made.blockers:
        raise Refusal("\n".join(f"Not to be signed yet: {words}." for words in made.blockers))
    if before and before[-1].cover.content == made.digest:
        raise Refusal(f"Version {before[-1].cover.number} says exactly this; it is signed already.")
    sent = [one for one in before if one.sent]
    return Cover(
        permit=made.permit,
        first=made.first,
        last=made.last,
        number=len(before) + 1,
        amendment=len(sent),
        amends=sent[-1].cover.digest if sent else None,
        content=made.digest,
        layouts=tuple((table.name, table.version) for table in made.tables),
        captured=made.captured,
        nil=made.nil,
        made_at=made_at,
        by=by,
    )


def clause_of(permit: Permit) -> str:
    """Return the clause that a report's papers belong to."""
    return next((one.id for one in permit.clauses if isinstance(one.detail, ReportRule)), NO_CLAUSE)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the table that goes with an amended report.

    Attributes
    ----------
    outing, haul : str
    animal, stage, unit : str
    changes : tuple of (column, was, now)
        Columns of the report model.
    """

    outing: str
    haul: str
    animal: str
    stage: str
    unit: str
    changes: tuple[tuple[str, int | str, int | str], ...]


def delta(before: MadeReport, now: MadeReport) -> tuple[Line, ...]:
    """Return what differs in the numbers of two versions; flags that only say so are left out."""
    lines = []
    for change in report_delta(before.rows, now.rows):
        changes = tuple(
            (name, _figure(was), _figure(is_))
            for name, (was, is_) in change.changed.items()
            if not (name == "flag" and {was, is_} <= {"normal", "corrected", None})
        )
        key = {name: str(value or "") for name, value in change.key.items()}
        line = Line(
            key["outing_id"],
            key["haul_no"],
            key["taxon_common"] or key["taxon_sci"],
            key["life_stage"],
            key["unit"],
            changes,
        )
        if changes:
            lines.append(line)
    return tuple(lines)


def _figure(value: object) -> int | str:
    return value if isinstance(value, int) else "" if value is None else str(value)
