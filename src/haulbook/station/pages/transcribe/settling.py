"""A sheet whose two typings are done, as far as it is settled, and the answers that a form brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from haulbook.exchange.joins import OWN
from haulbook.office.compare_typings import LINE, NOT_THERE, THERE, Comparison, Difference, compare_typings
from haulbook.office.enter_sheet import HaulInBook, Unwritten, enter_sheet, haul_in_book
from haulbook.office.say import said
from haulbook.office.sheet_read import SheetRead
from haulbook.office.typed_sheet import ALL, HEAD, TypedSheet
from haulbook.station.pages.transcribe import typings
from haulbook.station.pages.transcribe.context import OutingAtDesk, at_desk
from haulbook.station.store import book
from haulbook.taxa.names import resolve

PICK, THIRD, PLACE, NAME, OTHER = "pick-", "third-", "place-", "name-", "other-"
"""How fields begin: a choice of two typings, a third reading, a place to mend, a name, another name for it."""
FLAGS = ("sums_stand", "added")
"""Ticks: the sheet was added up wrongly; its animals are not among those that the book has of the haul."""


@dataclass(frozen=True, slots=True)
class Settling:
    """Everything about a sheet whose two typings are done.

    Attributes
    ----------
    body : dict
        As stored: ``answers`` by key of the place, ``names``, ticks, ``revision``.
    settled : TypedSheet
        As it stands with the answers so far.
    in_book : HaulInBook
    """

    desk: OutingAtDesk
    sheet: typings.Sheet
    body: dict[str, Any]
    compared: Comparison
    settled: TypedSheet
    read: SheetRead
    in_book: HaulInBook

    @property
    def answers(self) -> dict[str, str]:
        """Texts that somebody chose, by key of the place."""
        return dict(self.body.get("answers", {}))

    @property
    def open(self) -> tuple[Difference, ...]:
        """Differences that nobody settled."""
        return self.compared.open(self.answers)

    @property
    def open_things(self) -> int:
        """How many things stand in the way of entering the sheet."""
        doubled = bool(self.in_book.n) and not self.body.get("added")
        sums = len(self.read.sums_off) if not self.body.get("sums_stand") else 0
        return len(self.open) + len(self.read.to_mend) + len(self.read.asked) + sums + doubled

    def text_at(self, key: str) -> str:
        """Return what stands at a place of the settled sheet: ``head.landed``, ``3.back``, ``sum.all``."""
        where, _dot, place = key.partition(".")
        if where.isdecimal():
            return self.settled.lines[int(where) - 1].get(place, "")
        return (self.settled.head if where == "head" else self.settled.sums).get(place, "")

    def has(self, key: str) -> bool:
        """Say whether the sheet has such a place."""
        where, _dot, place = key.partition(".")
        if where in ("head", "sum"):
            return place in (HEAD if where == "head" else (*self.settled.columns, ALL))
        lines = len(self.settled.lines)
        return where.isdecimal() and 1 <= int(where) <= lines and place in self.settled.places

    def lines(self) -> tuple[Unwritten, ...]:
        """Return the lines that will be written; refused while anything stands open."""
        return enter_sheet(
            self.read,
            outing=self.sheet.outing,
            haul=self.sheet.key,
            book=book.book_of_outing(self.sheet.outing),
            opening=self.desk.opening(),
            keep=self.desk.keep,
            sums_stand=bool(self.body.get("sums_stand")),
        )


def settling_of(sheet: typings.Sheet) -> Settling:
    """Return a sheet whose two typings are done, as far as it is settled."""
    desk, body = at_desk(sheet.outing), typings.settling(sheet)
    first, second = (typings.typed(row) for row in sheet.typed)
    compared = compare_typings(first, second, desk.pack)
    settled = compared.settled(body.get("answers", {}))
    read = desk.read(settled, body.get("names", {}))
    in_book = haul_in_book(book.book_of_outing(sheet.outing), sheet.key)
    return Settling(desk, sheet, body, compared, settled, read, in_book)


def with_answers(now: Settling, post: Mapping[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return what is stored of a sheet with the answers of a form, and what is off in that form by field."""
    answers, names = now.answers, dict(now.body.get("names", {}))
    wrong: dict[str, str] = {}
    for one in now.compared.differences:
        if (picked := post.get(f"{PICK}{one.key}")) is not None:
            answers.pop(one.key, None)
            chosen = _chosen(one, picked, _text(post, f"{THIRD}{one.key}"))
            if chosen is not None:
                answers[one.key] = chosen
    for field in post:
        key, text = field.removeprefix(PLACE), _text(post, field)
        if key != field and now.has(key) and text != now.text_at(key):
            answers[key] = text
    for asked in now.read.asked:
        if picked := post.get(f"{NAME}{asked.name}"):
            taxon, told = _named(picked, _text(post, f"{OTHER}{asked.name}"), now)
            if taxon:
                names[asked.name.casefold()] = taxon
            else:
                wrong[f"{NAME}{asked.name}"] = told
    ticks = {flag: post.get(flag) == "on" for flag in FLAGS if f"had-{flag}" in post}
    return {**now.body, "answers": answers, "names": names, **ticks}, wrong


def _text(post: Mapping[str, str], field: str) -> str:
    return post.get(field, "").strip()


def _chosen(one: Difference, picked: str, third: str) -> str | None:
    if one.place == LINE:
        return picked if picked in (THERE, NOT_THERE) else None
    return {"first": one.first, "second": one.second, "third": third}.get(picked)


def _named(picked: str, other: str, now: Settling) -> tuple[str, str]:
    """Return the taxon that somebody chose for a name; empty, and why, where what they wrote is none."""
    if picked == OWN or picked in now.desk.pack.taxa:
        return picked, ""
    match = resolve(other, now.desk.pack)
    if match.taxon is not None:
        return match.taxon, ""
    told = _("{name} is no certain animal of the pack either.").format(name=other or "?")
    likely = ", ".join(said(one.taxon, now.desk.pack) for one in match.candidates[:3])
    return "", f"{told} {_('Perhaps {names}.').format(names=likely)}" if likely else told
