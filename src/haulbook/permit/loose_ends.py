"""What a report finds still open: who has to be told, animals without a fate, names, releases."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from haulbook.custody.facts import Animals, Paper
from haulbook.custody.fates import Fate
from haulbook.permit.breaches import no_release
from haulbook.permit.detail import HoldingRule
from haulbook.permit.finding import Finding, Grade, of
from haulbook.permit.follow import duties
from haulbook.permit.model import Permit
from haulbook.permit.names import is_open
from haulbook.permit.papers import about, moment
from haulbook.permit.period import span
from haulbook.permit.state import State
from haulbook.permit.take import Take
from haulbook.permit.words import day_words, moment_words


def told(take: Take, permit: Permit, history: Iterable[State], papers: Iterable[Paper]) -> Iterator[Finding]:
    """Yield who has to be told, by when, and whether a paper says that it was done."""
    papers = tuple(papers)
    for duty in duties(take, permit, history):
        clause = next(c for c in permit.versions(duty.clause) if c.version == duty.version)
        sent = sorted(
            moment(paper, permit)
            for paper in papers
            if paper.act == "notice-sent"
            and paper.clause == duty.clause
            and about(paper, permit, duty.clause)
            if moment(paper, permit) >= duty.since
        )
        said = f"{duty.why} in haul {duty.haul}: tell {duty.to}"
        said += f" by {moment_words(duty.by)}" if duty.by else ""
        said += f", in writing by {day_words(duty.written_by)}" if duty.written_by else ""
        late = duty.by is not None and bool(sent) and sent[0] > duty.by
        if sent:
            said += f"; sent {moment_words(sent[0].astimezone(permit.tz))}{', too late' if late else ''}"
        grade: Grade = "finding" if late else "note" if sent else "question"
        yield of(
            "tell", grade, said, permit, clause, entries=duty.entries, by=duty.by, written_by=duty.written_by
        )


def loose_ends(take: Take, permit: Permit, ours: list[Animals]) -> Iterator[Finding]:
    """Yield what stands open in the account: animals without a fate, lost ones, open names, releases."""
    for animals in ours:
        about_them = f"{animals.n} {animals.taxon} of haul {animals.haul}"
        if animals.fate is Fate.UNACCOUNTED:
            said = f"{about_them} have no fate yet: they are in {animals.place}"
            yield Finding(
                kind="unaccounted",
                grade="question",
                message=said,
                n=animals.n,
                entries=animals.entries,
                permit=permit.no,
            )
        if animals.fate is Fate.FATE_UNKNOWN:
            said = f"{about_them} lost: {animals.cause or 'no cause given'}; died in the worst case"
            yield Finding(
                kind="lost",
                grade="note",
                message=said,
                n=animals.n,
                entries=animals.entries,
                permit=permit.no,
            )
        if any(event.kind == "back" for event in animals.later):
            at = span(take.landing(animals), permit.tz)[0]
            yield from _released(permit, animals, about_them, at)
    open_names: dict[str, int] = {}
    for animals in ours:
        if is_open(animals.taxon):
            open_names[animals.taxon] = open_names.get(animals.taxon, 0) + animals.n
    for taxon, n in open_names.items():
        said = (
            f"{n} under the open name {taxon.removeprefix('?')!r}: possible under every clause of their unit"
        )
        yield Finding(kind="open-name", grade="question", message=said, n=n, permit=permit.no)


def _released(permit: Permit, animals: Animals, about_them: str, at: datetime) -> Iterator[Finding]:
    rules = [clause for clause in permit.ruling(at) if isinstance(clause.detail, HoldingRule)]
    forbidding = no_release(permit, at)
    if rules and not forbidding:
        return
    said = f"{about_them} released after captivity; the permit does not say that this may be done"
    if forbidding:
        yield of(
            "released-after-captivity",
            "finding",
            said,
            permit,
            forbidding[0],
            n=animals.n,
            entries=animals.entries,
        )
    else:
        yield Finding(
            kind="released-after-captivity",
            grade="finding",
            message=said,
            permit=permit.no,
            n=animals.n,
            entries=animals.entries,
        )
