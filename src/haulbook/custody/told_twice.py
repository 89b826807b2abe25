"""Discrepancies between devices: the same thing told twice, told too late, or a piece of a chain not here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import timedelta
from typing import Any

from haulbook.custody.bodies import GEOMETRY
from haulbook.custody.book import Book
from haulbook.custody.chains import Link, chain_faults
from haulbook.custody.discrepancy import Discrepancy
from haulbook.custody.entry import Entry

STARTS_APART = timedelta(minutes=5)
CHANGES_AN_ACCOUNT = (
    "haul-started",
    "haul-landed",
    "haul-ended",
    "move",
    "redetermination",
    "lengths",
    "present",
    "searched-and-none",
    "place",
)


def double_count(standing: Iterable[Entry]) -> Iterator[Discrepancy]:
    """Yield what two devices called of one haul, taxon and stage: the same animals twice, or two lots."""
    calls: dict[tuple[str, str, str | None], dict[str, list[tuple[int, str]]]] = {}
    for entry in standing:
        if entry.kind == "move":
            for line in entry.body["lines"]:
                if line["from"] == "sea":
                    called = calls.setdefault((line["haul"], line["taxon"], line.get("stage")), {})
                    called.setdefault(entry.device, []).append((line["n"], entry.id))
    for (haul, taxon, stage), devices in calls.items():
        if len(devices) < 2:
            continue
        counts = {device: sum(n for n, _ in lines) for device, lines in sorted(devices.items())}
        said = " and ".join(f"{device} called {n}" for device, n in counts.items())
        yield Discrepancy(
            "double-count",
            " ".join([haul, taxon, stage or "-", *counts]),
            f"{said} {taxon}{f' ({stage})' if stage else ''} of {haul}: "
            f"{sum(counts.values())} if both stand, "
            f"at most {max(counts.values())} if they are the same. Strike one, or settle that both stand",
            haul.rpartition("/")[0],
            tuple(dict.fromkeys(one for lines in devices.values() for _, one in lines)),
            expected=max(counts.values()),
            found=sum(counts.values()),
        )


def started_twice(standing: Iterable[Entry]) -> Iterator[Discrepancy]:
    """Yield hauls that were told of twice with starts more than 5 minutes apart, or with another geometry."""
    told: dict[str, list[Entry]] = {}
    for entry in standing:
        if entry.kind in ("haul-started", "haul-landed"):
            told.setdefault(entry.body["haul"], []).append(entry)
    for haul, entries in told.items():
        differs = [*_starts_apart(entries), *_geometry_differs(entries)]
        if differs:
            yield Discrepancy(
                "started-twice",
                haul,
                f"{haul} was told of twice, and the two differ in {', '.join(differs)}: "
                "strike the wrong one; if they were two hauls, strike one with its lines and enter it under "
                "its own number",
                haul.rpartition("/")[0],
                tuple(entry.id for entry in entries),
            )


def _starts_apart(entries: Iterable[Entry]) -> list[str]:
    starts = sorted(
        (entry.when for entry in entries if entry.kind == "haul-started"), key=lambda at: at.sort_key()
    )
    if not starts or starts[-1].sort_key() - starts[0].sort_key() <= STARTS_APART:
        return []
    return [f"when it started ({starts[0].text}, {starts[-1].text})"]


def _geometry_differs(entries: Iterable[Entry]) -> Iterator[str]:
    for name in ("net", "set_type", *GEOMETRY, "area", "condition"):
        said: list[Any] = []
        for entry in entries:
            if name in entry.body and entry.body[name] not in said:
                said.append(entry.body[name])
        if len(said) > 1:
            yield f"{name} ({', '.join(_measure_in_words(one) for one in said)})"


def _measure_in_words(said: Any) -> str:
    if not isinstance(said, dict):
        return str(said)
    return f"{said['m']} m" if "m" in said else f"{said['m2']} m²"


def late_lines(book: Book, standing: Iterable[Entry]) -> Iterator[Discrepancy]:
    """Yield what changes an account that was signed without it, and calls of a haul that had ended."""
    standing = list(standing)
    for entry, outing in signed_without(book, standing):
        yield Discrepancy(
            "late-line",
            f"{entry.id} {outing}",
            f"{entry.kind} {entry.seq} of {entry.device} changes {outing}, which was signed without it: "
            "sign again, or strike it",
            outing,
            (entry.id,),
        )
    ended = {entry.body["haul"]: entry for entry in standing if entry.kind == "haul-ended"}
    for entry in standing:
        end = _called_after_end(entry, ended)
        if end is not None:
            yield Discrepancy(
                "late-line",
                f"{entry.id} {end.body['haul']}",
                f"{entry.device} called animals of {end.body['haul']} at {entry.at}; "
                f"it had ended at {end.at}: strike the end and enter it again, or settle the line",
                entry.outing,
                (entry.id, end.id),
            )


def signed_without(book: Book, standing: Iterable[Entry]) -> Iterator[tuple[Entry, str]]:
    """Yield what changes the account of a signed outing and is covered by no sign-off, with that outing."""
    standing = list(standing)
    covers = covered(standing)
    by_id = book.by_id() if covers else {}
    for entry in standing if covers else ():
        for outing in sorted(_changed_by(entry, by_id, covers)):
            yield entry, outing


def covered(standing: Iterable[Entry]) -> dict[str, dict[str, int]]:
    """Return for each signed outing the last number of each device that a sign-off covers."""
    found: dict[str, dict[str, int]] = {}
    for entry in standing:
        if entry.kind == "outing-signed" and entry.outing is not None:
            last = found.setdefault(entry.outing, {})
            for device, seq in entry.body["covers"].items():
                last[device] = max(seq, last.get(device, 0))
    return found


def _changed_by(
    entry: Entry, by_id: dict[str, tuple[Entry, ...]], covers: dict[str, dict[str, int]]
) -> set[str]:
    """Return the signed outings whose account an entry changes without being covered."""
    touched: set[str] = set()
    if entry.kind in CHANGES_AN_ACCOUNT and entry.outing is not None:
        touched = {entry.outing}
    elif entry.kind == "strike":
        struck = [one for named in entry.body["entries"] for one in by_id.get(named, ())]
        touched = {
            one.outing for one in struck if one.outing is not None and _is_covered(one, one.outing, covers)
        }
    return {outing for outing in touched if outing in covers and not _is_covered(entry, outing, covers)}


def _is_covered(entry: Entry, outing: str, covers: dict[str, dict[str, int]]) -> bool:
    return entry.seq <= covers.get(outing, {}).get(entry.device, 0)


def _called_after_end(entry: Entry, ended: dict[str, Entry]) -> Entry | None:
    if entry.kind != "move" or entry.when.instant is None:
        return None
    for line in entry.body["lines"]:
        end = ended.get(line["haul"]) if line["from"] == "sea" else None
        if end is not None and end.when.instant is not None and end.when.instant < entry.when.instant:
            return end
    return None


def loose_chains(links: Iterable[Link], standing: Iterable[Entry]) -> Iterator[Discrepancy]:
    """Yield gaps and forks, also where a sign-off among ``standing`` speaks of entries that are not here."""
    last: dict[str, int] = {}
    for devices in covered(standing).values():
        for device, seq in devices.items():
            last[device] = max(seq, last.get(device, 0))
    for fault in chain_faults(links, last):
        outings = {link.outing for link in fault.entries}
        yield Discrepancy(
            fault.kind,
            fault.subject,
            fault.words,
            outings.pop() if len(outings) == 1 else None,
            tuple(link.id for link in fault.entries),
        )
