"""Typings as they are stored: a sheet's first, its second, and what settled the two. Each belongs to one person.

The second is begun without the first: no page shows one typing to whoever types the other. A save names the revision
that it goes on from, so that nothing is overwritten unseen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.utils.translation import gettext as _

from haulbook.office.typed_sheet import TypedSheet, sheet_of_json
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import EntryRow, PlanVersion, Typing
from haulbook.station.store.writing import writing

FIRST, SECOND, SETTLED = 1, 2, 3
"""Numbers of a sheet's rows; the third holds the answers of whoever settles."""
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class SavedElsewhere(Exception):
    """Something was saved since the page was opened that goes on from it. ``row``: as it stands now."""

    def __init__(self, row: Typing) -> None:
        self.row = row
        super().__init__()


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of one haul's sheet.

    Attributes
    ----------
    outing : str
    haul : int
        Number called on the beach.
    rows : mapping of number to Typing
    """

    outing: str
    haul: int
    rows: Mapping[int, Typing]

    @property
    def key(self) -> str:
        """Key of the haul in the book."""
        return f"{self.outing}/{self.haul}"

    @property
    def typed(self) -> tuple[Typing, ...]:
        """The typings begun so far, first and second."""
        return tuple(self.rows[number] for number in (FIRST, SECOND) if number in self.rows)

    @property
    def both_done(self) -> bool:
        """Whether both typings are done and can be compared."""
        return sum(row.done for row in self.typed) == SECOND

    @property
    def entered(self) -> Typing | None:
        """The row that says when it was entered and by whom; None before."""
        row = self.rows.get(SETTLED)
        return row if row is not None and row.entered_at is not None else None

    def going_on(self, person: str) -> Typing | None:
        """Return the typing of this person that is not done."""
        return next((row for row in self.typed if row.by == person and not row.done), None)

    def may_begin(self, person: str) -> bool:
        """Say whether this person can begin a typing: none of theirs is under way, and one of the two is free."""
        return self.going_on(person) is None and len(self.typed) < SECOND

    def to_take_over(self, person: str) -> Typing | None:
        """Return a typing that somebody else left undone and this person may go on with."""
        return next((row for row in self.typed if row.by != person and not row.done), None)


def sheets_of(outing: str) -> dict[int, Sheet]:
    """Return the sheets of an outing by haul: one query."""
    return {sheet.haul: sheet for sheet in _gathered(Typing.objects.filter(outing=outing))}


def all_sheets() -> list[Sheet]:
    """Return every sheet that was begun, newest outing first; what was typed is not loaded."""
    return sorted(
        _gathered(Typing.objects.defer("body")), key=lambda one: (one.outing, one.haul), reverse=True
    )


def _gathered(rows: QuerySet[Typing]) -> list[Sheet]:
    found: dict[tuple[str, int], dict[int, Typing]] = {}
    for row in rows.order_by("outing", "number"):
        found.setdefault((row.outing, int(row.sheet)), {})[row.number] = row
    return [Sheet(outing, haul, numbers) for (outing, haul), numbers in sorted(found.items())]


def sheet_of(outing: str, haul: int, *, lock: bool = False) -> Sheet:
    """Return a haul's sheet, begun or not. ``lock``: while :func:`writing`, nobody else changes it."""
    rows = Typing.objects.filter(outing=outing, sheet=str(haul))
    if lock:
        rows = rows.select_for_update()
    return Sheet(outing, haul, {row.number: row for row in rows})


def begin(outing: str, haul: int, person: str, head: Mapping[str, str] | None = None) -> Typing:
    """Begin a typing, or go on with one's own.

    Raises
    ------
    Refusal
        Both typings of the sheet are somebody's already.
    """
    with writing():
        sheet = sheet_of(outing, haul, lock=True)
        if own := sheet.going_on(person):
            return own
        if not sheet.may_begin(person):
            raise Refusal(_("Haul {haul} is typed twice already.").format(haul=haul))
        body = {**TypedSheet(head or {}).as_json(), "revision": 0}
        number = FIRST if FIRST not in sheet.rows else SECOND
        return Typing.objects.create(
            outing=outing, sheet=str(haul), number=number, by=person, at=clock.now(), body=body
        )


def take_over(outing: str, haul: int, person: str) -> Typing:
    """Go on with a typing that somebody else left undone.

    Raises
    ------
    Refusal
        There is none, or the other typing of the sheet is this person's and not done.
    """
    with writing():
        sheet = sheet_of(outing, haul, lock=True)
        row = sheet.to_take_over(person)
        if row is None or sheet.going_on(person):
            raise Refusal(_("There is no typing of haul {haul} to take over.").format(haul=haul))
        row.body = {**row.body, "typists": [*row.body.get("typists", []), row.by]}
        row.by = person
        row.save(update_fields=["by", "body"])
        return row


def own(outing: str, haul: int, number: int, person: str, *, lock: bool = False) -> Typing:
    """Return somebody's own typing.

    Raises
    ------
    Http404
        There is no such typing.
    Refusal
        It is somebody else's: the second typing is done without the first.
    """
    row = sheet_of(outing, haul, lock=lock).rows.get(number) if number in (FIRST, SECOND) else None
    if row is None:
        raise Http404(_("Nobody began this typing of haul {haul}.").format(haul=haul))
    if row.by != person:
        raise Refusal(
            _("This typing is {person}'s. The sheet is typed twice, and neither sees the other's.").format(
                person=row.by
            )
        )
    return row


def save(row: Typing, sheet: TypedSheet, revision: int, *, done: bool = False) -> Typing:
    """Keep what was typed.

    Raises
    ------
    SavedElsewhere
        The row was saved since the page was opened.
    Refusal
        It is done already.
    """
    with writing():
        row = own(row.outing, int(row.sheet), row.number, row.by, lock=True)
        if row.done:
            raise Refusal(_("This typing is done already; what is stored stays as it is."))
        now = row.body.get("revision", 0)
        if now != revision and typed(row).as_json() != sheet.as_json():
            raise SavedElsewhere(row)
        row.body = {**row.body, **sheet.as_json(), "revision": now + 1}
        row.at, row.done = clock.now(), done
        row.save(update_fields=["body", "at", "done"])
        return row


def reopen(row: Typing) -> None:
    """Go on with a typing that was said to be done, as long as nothing of the two was settled.

    Raises
    ------
    Refusal
        Somebody has begun to settle the two.
    """
    with writing():
        sheet = sheet_of(row.outing, int(row.sheet), lock=True)
        if SETTLED in sheet.rows:
            raise Refusal(_("The two typings are being settled; change the place there."))
        if any(other.by == row.by for other in sheet.typed if other.number != row.number):
            raise Refusal(
                _("You are typing it a second time: the first stays out of sight until both are done.")
            )
        Typing.objects.filter(pk=row.pk).update(done=False)


def typed(row: Typing) -> TypedSheet:
    """Return what was typed."""
    return sheet_of_json(row.body)


def settling(sheet: Sheet) -> dict[str, Any]:
    """Return the answers so far, with their revision."""
    row = sheet.rows.get(SETTLED)
    return dict(row.body) if row is not None else {"revision": 0}


def keep_answers(outing: str, haul: int, person: str, body: dict[str, Any], revision: int) -> None:
    """Keep the answers of whoever settles.

    Raises
    ------
    SavedElsewhere
        Somebody else settled something since the page was opened.
    Refusal
        The sheet was entered.
    """
    with writing():
        row = sheet_of(outing, haul, lock=True).rows.get(SETTLED)
        if row is None:
            row = Typing(outing=outing, sheet=str(haul), number=SETTLED, body={"revision": 0})
        if row.entered_at is not None:
            raise Refusal(_("Haul {haul} was entered already; nothing more was written.").format(haul=haul))
        if row.body.get("revision", 0) != revision:
            raise SavedElsewhere(row)
        row.body = {**body, "revision": revision + 1}
        row.by, row.at = person, clock.now()
        row.save()


def of_day(day: date) -> list[str]:
    """Return the outings of a day: in the book, planned, or being typed."""
    begins = f"{day.isoformat()}-"
    sources = (
        EntryRow.objects.filter(outing__startswith=begins).order_by(),
        PlanVersion.objects.filter(outing__startswith=begins),
        Typing.objects.filter(outing__startswith=begins),
    )
    found = (key for rows in sources for key in rows.values_list("outing", flat=True).distinct())
    return sorted({str(key) for key in found})


def begin_day(day: date, site: str, person: str) -> Typing:
    """Begin the first haul's sheet of an outing that nobody planned, under the next free letter of its day.

    Raises
    ------
    Refusal
        The day has more outings than the alphabet letters.
    """
    with writing():
        known = of_day(day)
        free = next((letter for letter in _LETTERS if f"{day.isoformat()}-{letter}" not in known), None)
        if free is None:
            raise Refusal(_("That day has 26 outings already."))
        return begin(f"{day.isoformat()}-{free}", 1, person, {"site": site} if site else None)
