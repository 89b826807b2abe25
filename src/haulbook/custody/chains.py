"""What is missing from the chains of a book: numbers that are not there, and numbers used twice.

A hash covers one entry; the chain covers that none was left out or put in between. What it can't show is a
tail cut off: for that there is the digest of a sign-off, which names the last numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Generic, Literal, NamedTuple, Protocol, TypeVar, cast


class Link(Protocol):
    """What a chain is made of: an entry, or what is known of one."""

    @property
    def device(self) -> str:
        """Who wrote it."""

    @property
    def seq(self) -> int:
        """As its how-manieth."""

    @property
    def hash(self) -> str:
        """Its own hash."""

    @property
    def prev(self) -> str | None:
        """Hash of the one before it."""

    @property
    def id(self) -> str:
        """Its name."""

    @property
    def outing(self) -> str | None:
        """Its outing."""


class ChainRow(NamedTuple):
    """An entry without what it says: enough to look at the chains of a long book."""

    device: str
    seq: int
    hash: str
    prev: str | None
    id: str
    outing: str | None


L = TypeVar("L", bound=Link)


@dataclass(frozen=True, slots=True)
class ChainFault(Generic[L]):
    """One thing that is off in the chain of a device.

    ``subject``: the device and the numbers; ``entries``: what stands where it shows.
    """

    kind: Literal["gap", "fork"]
    subject: str
    words: str
    entries: tuple[L, ...]


def chain_faults(links: Iterable[L], said_last: Mapping[str, int] | None = None) -> tuple[ChainFault[L], ...]:
    """Return gaps and forks of all devices.

    Parameters
    ----------
    links : iterable of Entry or ChainRow
        In any order.
    said_last : mapping of str to int
        Last number of each device that a sign-off speaks of, where one does.
    """
    said_last = said_last or {}
    devices: dict[str, list[L]] = {device: [] for device in said_last}
    for link in links:
        devices.setdefault(link.device, []).append(link)
    found: list[ChainFault[L]] = []
    for device, here in sorted(devices.items()):
        here.sort(key=lambda link: link.seq)
        found += _of_device(device, here, said_last.get(device, 0))
    return tuple(found)


def _of_device(device: str, links: Iterable[L], said_last: int) -> list[ChainFault[L]]:
    """Return gaps, then forks, of one device's links in the order of their numbers."""
    gaps: list[ChainFault[L]] = []
    forks: list[ChainFault[L]] = []
    before, there = 0, cast("tuple[L, ...]", ())
    for seq, same in groupby(links, key=lambda link: link.seq):
        here = tuple(same)
        if seq > before + 1:
            gaps.append(_gap(device, before + 1, seq - 1, here))
        beside = there if before == seq - 1 else ()
        if len(here) > 1 or (beside and here[0].prev != beside[0].hash):  # for nearly all, neither
            forks += _forks(device, seq, here, beside)
        before, there = seq, here
    if said_last > before:
        gaps.append(_gap(device, before + 1, said_last, there))
    return [*gaps, *forks]


def _gap(device: str, first: int, last: int, beside: tuple[L, ...]) -> ChainFault[L]:
    span = f"{first}" if first == last else f"{first} to {last}"
    verb = "is" if first == last else "are"
    words = (
        f"{span} of {device} {verb} not here: bring in what that device still holds, or a saved copy of it"
    )
    return ChainFault("gap", f"{device} {first}-{last}", words, beside)


def _forks(device: str, seq: int, here: tuple[L, ...], before: tuple[L, ...]) -> Iterator[ChainFault[L]]:
    if len(here) > 1:
        words = f"{device} has {len(here)} different entries {seq}: it wrote on from an older copy of itself"
        yield ChainFault("fork", f"{device} {seq}", words, here)
    hashes = {link.hash for link in before}
    elsewhere = tuple(link for link in here if hashes and link.prev not in hashes)
    if elsewhere:
        words = (
            f"{seq} of {device} goes on after another entry {seq - 1} than the one that is here: "
            "one of the two was changed, or written in a second copy of the device"
        )
        yield ChainFault("fork", f"{device} {seq - 1}-{seq}", words, elsewhere)
