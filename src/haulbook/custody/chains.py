"""What is missing from the chains of a book: numbers that are not there, and numbers used twice.

A hash covers one entry; the chain covers that none was left out or put in between. What it can't show is a
tail cut off: for that there is the digest of a sign-off, which names the last numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from haulbook.custody.entry import Entry


@dataclass(frozen=True, slots=True)
class ChainFault:
    """One thing that is off in the chain of a device.

    ``subject``: the device and the numbers; ``entries``: what stands where it shows.
    """

    kind: Literal["gap", "fork"]
    subject: str
    words: str
    entries: tuple[Entry, ...]


def chain_faults(
    entries: Iterable[Entry], said_last: Mapping[str, int] | None = None
) -> tuple[ChainFault, ...]:
    """Return gaps and forks of all devices.

    Parameters
    ----------
    entries : iterable of Entry
    said_last : mapping of str to int
        Last number of each device that a sign-off speaks of, where one does.
    """
    said_last = said_last or {}
    devices: dict[str, dict[int, list[Entry]]] = {device: {} for device in said_last}
    for entry in entries:
        devices.setdefault(entry.device, {}).setdefault(entry.seq, []).append(entry)
    found: list[ChainFault] = []
    for device, numbers in sorted(devices.items()):
        found += _gaps(device, numbers, said_last.get(device, 0))
        found += _forks(device, numbers)
    return tuple(found)


def _gaps(device: str, numbers: Mapping[int, list[Entry]], said_last: int) -> Iterator[ChainFault]:
    before = 0
    for seq in sorted(numbers):
        if seq > before + 1:
            yield _gap(device, before + 1, seq - 1, numbers[seq])
        before = seq
    if said_last > before:
        yield _gap(device, before + 1, said_last, numbers.get(before, []))


def _gap(device: str, first: int, last: int, beside: Iterable[Entry]) -> ChainFault:
    span = f"{first}" if first == last else f"{first} to {last}"
    verb = "is" if first == last else "are"
    words = (
        f"{span} of {device} {verb} not here: bring in what that device still holds, or a saved copy of it"
    )
    return ChainFault("gap", f"{device} {first}-{last}", words, tuple(beside))


def _forks(device: str, numbers: Mapping[int, list[Entry]]) -> Iterator[ChainFault]:
    for seq in sorted(numbers):
        here = numbers[seq]
        if len(here) > 1:
            words = (
                f"{device} has {len(here)} different entries {seq}: it wrote on from an older copy of itself"
            )
            yield ChainFault("fork", f"{device} {seq}", words, tuple(here))
        before = {entry.hash for entry in numbers.get(seq - 1, ())}
        elsewhere = [entry for entry in here if before and entry.prev not in before]
        if elsewhere:
            words = (
                f"{seq} of {device} goes on after another entry {seq - 1} than the one that is here: "
                "one of the two was changed, or written in a second copy of the device"
            )
            yield ChainFault("fork", f"{device} {seq - 1}-{seq}", words, tuple(elsewhere))
