"""Reports to agencies: made once and kept until something changes them; signed and sent as papers of the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from haulbook.custody.canonical import sha256_of
from haulbook.custody.facts import Paper
from haulbook.exchange.layouts import layout_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.make_report import MadeReport, make_report
from haulbook.office.report_versions import (
    Cover,
    Line,
    Version,
    clause_of,
    cover_of,
    delta,
    of_days,
    versions_of,
)
from haulbook.permit.grounds import Span
from haulbook.permit.layout import Layout
from haulbook.permit.model import Permit
from haulbook.permit.take import Take
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import EntryRow, LayoutFile, PlanVersion, StoredFile
from haulbook.station.store import book, permits, proofs, readings, reference, standings
from haulbook.station.store.writing import writing


@dataclass(frozen=True, slots=True)
class Shown:
    """A report as it would be sent now. ``made`` is without its rows.

    Attributes
    ----------
    made : MadeReport
    digest : str
        Of the report with its rows.
    changes : tuple of Line
        Since the last version that was sent, or else signed.
    behind : int
        Entries that came in since and are not in it yet.
    """

    made: MadeReport
    digest: str
    changes: tuple[Line, ...]
    behind: int


def versions() -> tuple[Version, ...]:
    """Return every signed version of every report: two queries."""
    papers = standings.papers()
    digests = [paper.digest for paper in papers if paper.act == "report-signed" and paper.digest]
    rows = StoredFile.objects.filter(sha256__in=digests).values_list("sha256", "content")
    return versions_of(papers, {sha256: Cover.of_text(bytes(content).decode()) for sha256, content in rows})


def without_text(known: Sequence[Version]) -> list[Paper]:
    """Return papers that say a report was signed or sent whose text is not kept here, newest first."""
    digests = {one.cover.digest for one in known}
    return [
        paper
        for paper in reversed(standings.papers())
        if paper.act in ("report-signed", "report-sent") and paper.digest not in digests
    ]


def content_of(cover: Cover) -> MadeReport:
    """Return a signed report as it was."""
    row = StoredFile.objects.filter(sha256=cover.content).first()
    if row is None:
        raise Refusal(
            _("The text of this report is not in this station; bring it back from a backup or export.")
        )
    return MadeReport.of_text(bytes(row.content).decode())


def shown(permit: Permit, days: Span, layouts: Sequence[Layout]) -> Shown:
    """Return a report as it would be sent now, made anew only where something changed since it was last shown."""
    zone = ZoneInfo(reference.settings().zone)
    before = of_days(versions(), permit.no, days.first, days.last)
    inputs = [
        permit.no,
        f"{days.first} {days.last}",
        *(f"{one.name}:{one.version}:{sha256_of(repr(one))[:12]}" for one in layouts),
        *(f"{one.cover.digest}:{one.state}" for one in before),
        str(clock.now().astimezone(zone).date()),
        standings.marks(),
        str(PlanVersion.objects.aggregate(n=Max("pk"))["n"]),
    ]

    def make() -> dict[str, Any]:
        made = _make(permit, days, layouts, before)
        base = _base(before)
        changes = delta(content_of(base.cover), made) if base else ()
        short = replace(made, rows=())
        return {"report": short.text(), "digest": made.digest, "changes": [asdict(one) for one in changes]}

    found = readings.derived("report", sha256_of("|".join(inputs))[:32], make)
    changes = tuple(
        Line(**{**one, "changes": tuple(map(tuple, one["changes"]))}) for one in found.value["changes"]
    )
    made = MadeReport.of_text(found.value["report"])
    return Shown(made, found.value["digest"], changes, found.behind)


def sign(permit: Permit, days: Span, layouts: Sequence[Layout], seen: str, by: str) -> Version:
    """Sign a report: its text and cover are kept, and the book gets the cover's digest.

    Parameters
    ----------
    seen : str
        Digest of the report that the signer looked at.

    Raises
    ------
    Refusal
        It changed meanwhile, something stands in its way, or the version before says exactly this.
    """
    before = of_days(versions(), permit.no, days.first, days.last)
    made = _make(permit, days, layouts, before)
    zone = reference.settings().zone
    cover = cover_of(made, before, clock.instant(clock.now(), zone), by)
    body = {"permit": permit.no, "act": "report-signed", "digest": cover.digest, "sha256": cover.digest}
    with writing():
        now = of_days(versions(), permit.no, days.first, days.last)
        if made.digest != seen or len(now) != len(before):
            raise Refusal(_("The report changed while you looked at it; look at it again, then sign."))
        stem = f"report-{days.first}-{days.last}-{cover.number}"
        proofs.keep(f"{stem}-content.json", made.text().encode(), by)
        proofs.keep(f"{stem}.json", cover.text().encode(), by)
        _write(body | {"clause": clause_of(permit)}, by)
    return version_of(cover.digest)


def sent(version: Version, permit: Permit, name: str, content: bytes, by: str, at: str | None = None) -> None:
    """Write down that a version was sent, with the file that proves it.

    Parameters
    ----------
    at : str or None
        When, with offset; now without it.
    """
    _with_proof(version, permit, "report-sent", name, content, by, at)


def received(
    version: Version, permit: Permit, name: str, content: bytes, by: str, at: str | None = None
) -> None:
    """Write down that the agency's receipt came, with the file that proves it."""
    if not version.sent:
        raise Refusal(_("This version was not marked as sent yet; do that first, then the receipt."))
    _with_proof(version, permit, "receipt", name, content, by, at)


def version_of(digest: str) -> Version:
    """Return a signed version by its digest.

    Raises
    ------
    Refusal
        There is none.
    """
    found = next((one for one in versions() if one.cover.digest == digest), None)
    if found is None:
        raise Refusal(_("No report was signed with this digest."))
    return found


def take_layout(name: str, text: str, by: str) -> LayoutFile:
    """Keep an agency's layout file as its newest version; the same text again is no new version.

    Raises
    ------
    Refusal
        With everything that is off in the file.
    """
    stem = name.removesuffix(".toml")[:80]
    layout_of(parse_toml(text, f"{stem}.toml"), f"{stem}.toml")
    with transaction.atomic():
        last = LayoutFile.objects.filter(name=stem).order_by("-number").first()
        if last is not None and last.text == text:
            return last
        number = last.number + 1 if last else 1
        return LayoutFile.objects.create(name=stem, number=number, text=text, at=clock.now(), by=by)


def _make(permit: Permit, days: Span, layouts: Sequence[Layout], before: Sequence[Version]) -> MadeReport:
    known = permits.permits()
    grounds, sun = standings.ground()
    numbers = {row.no: row.number for row in permits.newest_files()}
    return make_report(
        Take(readings.account(), known, reference.pack_of_station()),
        next(one for one in known if one.no == permit.no),
        days,
        layouts,
        clock.now(),
        permit_file=numbers[permit.no],
        grounds=grounds,
        papers=standings.papers(),
        sun=sun,
        corrected=_corrected(before),
    )


def _base(before: Sequence[Version]) -> Version | None:
    """Return what a report is compared with: the last version that was sent, or else signed."""
    was_sent = [one for one in before if one.sent]
    return was_sent[-1] if was_sent else before[-1] if before else None


def _corrected(before: Sequence[Version]) -> frozenset[str]:
    """Return the ids of entries that set something right since a version was sent."""
    was_sent = [one for one in before if one.sent]
    if not was_sent:
        return frozenset()
    at = EntryRow.objects.filter(entry=was_sent[-1].sent[0].entry).values_list("position", flat=True).first()
    rows = EntryRow.objects.filter(kind__in=("strike", "redetermination"), position__gt=at or 0)
    found: set[str] = set()
    for entry in book.entries_of(rows.order_by("position")):
        found |= {entry.id, *entry.body.get("instead", ())}
    return frozenset(found)


def _with_proof(
    version: Version, permit: Permit, act: str, name: str, content: bytes, by: str, at: str | None
) -> None:
    with transaction.atomic():
        file = proofs.keep(name, content, by)
        body = {"permit": permit.no, "clause": clause_of(permit), "act": act}
        _write(body | {"digest": version.cover.digest, "sha256": file.sha256}, by, at)


def _write(body: Mapping[str, Any], by: str, at: str | None = None) -> None:
    book.write([book.Wanted("paper", body, at=at)], by, reference.settings().zone)
