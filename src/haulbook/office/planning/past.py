"""What a plan is told of the past: the account, the papers, and the water that was read at hauls."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from haulbook.custody.book import Book
from haulbook.custody.facts import Account, Paper
from haulbook.custody.ledger import account_of
from haulbook.custody.papers import papers
from haulbook.taxa import Pack

TEMPERATURE_C, SALINITY = 18.0, 30.0
"""Taken where no past haul has a reading: warm, because warm water holds less; planning default."""


@dataclass(frozen=True, slots=True)
class WaterRead:
    """The water at one haul, as somebody read it: degrees C and practical salinity; None where not read."""

    haul: str
    temperature_c: float | None
    salinity: float | None


@dataclass(frozen=True, slots=True)
class Past:
    """Everything a plan asks of the book. A store that keeps readings can hand it in without replaying."""

    account: Account
    papers: tuple[Paper, ...] = ()
    waters: tuple[WaterRead, ...] = ()


def past_of(book: Book, pack: Pack) -> Past:
    """Return what a book says of the past."""
    return Past(account_of(book, within=pack.is_within), papers(book), waters_of(book))


def waters_of(book: Book) -> tuple[WaterRead, ...]:
    """Return the readings of a book that were taken at a haul."""
    return tuple(
        WaterRead(one.body["haul"], one.body.get("temperature_c"), one.body.get("salinity"))
        for one in book.standing()
        if one.kind == "reading" and "haul" in one.body
    )


def usual_water(waters: Iterable[WaterRead], hauls: Iterable[str]) -> tuple[float, float, int]:
    """Return median temperature (°C) and salinity of the readings of past hauls, and of how many.

    Without a reading the planning default: warm and salt water holds less oxygen.
    """
    keys = set(hauls)
    read = [one for one in waters if one.haul in keys]
    warm = [one.temperature_c for one in read if one.temperature_c is not None]
    salt = [one.salinity for one in read if one.salinity is not None]
    return (
        min(30.0, max(0.0, median(warm))) if warm else TEMPERATURE_C,
        min(40.0, max(0.0, median(salt))) if salt else SALINITY,
        len(warm),
    )
