"""What every form about a tank has: what it needs to know, its hidden id, when, and refusals on their fields."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.ledger import Holding
from haulbook.custody.reading_tanks import Held
from haulbook.exchange.station_toml import Instrument
from haulbook.office.entry_words import kind_words
from haulbook.office.kept import Kind
from haulbook.problems import Problem, Refusal
from haulbook.station import clock
from haulbook.station.store.book import Wanted
from haulbook.taxa import Pack


@dataclass(frozen=True, slots=True)
class About:
    """What the forms of a tank need to know.

    Attributes
    ----------
    place : str
        The tank's.
    kinds : tuple of Kind
        What is in it.
    held : tuple of Held
        What all tanks hold.
    tanks : tuple of str
        Places of all tanks.
    beach : sequence of Holding
        What stands in buckets and coolers of open outings.
    pack : Pack
    instruments : tuple of Instrument
    zone : str
    back : bool
        Whether a permit lets what was in captivity go.
    new_id : callable
    """

    place: str
    kinds: tuple[Kind, ...]
    held: tuple[Held, ...]
    tanks: tuple[str, ...]
    beach: Sequence[Holding]
    pack: Pack
    instruments: tuple[Instrument, ...]
    zone: str
    back: bool
    new_id: Callable[[], str]

    @property
    def lots(self) -> list[tuple[str, str]]:
        """Choices of what is in the tank; a choice stays the same one when others come or go."""
        return [(_key(kind), f"{self._name(kind)}: {kind.n}") for kind in self.kinds]

    def _name(self, kind: Kind) -> str:
        return kind_words(kind.taxon, kind.stage, self.pack, kind.unit)

    def kind(self, key: str) -> Kind:
        """Return the animals of a choice."""
        return next(kind for kind in self.kinds if _key(kind) == key)

    @property
    def carried(self) -> dict[str, tuple[str, list[Holding]]]:
        """Choices of what stands at the beach, with their words: each place whole, then kind by kind."""
        found: dict[str, tuple[str, list[Holding]]] = {}
        for row in self.beach:
            words = _("%(place)s of %(outing)s, all of it") % {"place": row.place, "outing": row.outing}
            found.setdefault(f"{row.outing} {row.place}", (words, []))[1].append(row)
        for row in self.beach:
            words = _("%(n)s %(name)s of haul %(haul)s, %(place)s") % {
                "n": row.n, "name": kind_words(row.taxon, row.stage, self.pack, row.unit), "haul": row.haul,
                "place": row.place,
            }  # fmt: skip
            key = " ".join((f"{row.outing}", row.place, row.taxon, row.stage or "-", row.unit, row.haul))
            found[key] = (words, [row])
        return found


def _key(kind: Kind) -> str:
    return " ".join((kind.taxon, kind.stage or "-", kind.unit))


class TankForm(forms.Form):
    """One line about a tank. ``made`` becomes the entry's id: sent twice, it is written once."""

    what: ClassVar[str] = ""
    kind: ClassVar[str] = ""
    made = forms.UUIDField(widget=forms.HiddenInput)
    at = forms.DateTimeField(
        label=later("When"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        help_text=later("Empty for now."),
    )

    def __init__(self, about: About, data: Any = None) -> None:
        self.about = about
        super().__init__(data, prefix=self.what, initial={"made": about.new_id()})
        self.begin()
        self.order_fields([*(name for name in self.fields if name != "at"), "at"])

    def begin(self) -> None:
        """Fill in the choices."""

    def body(self) -> dict[str, Any]:
        """Return the body of the entry; what is off is refused."""
        raise NotImplementedError

    @property
    def shown(self) -> str:
        """The id that the form was shown with, as it came back."""
        return str(self.data.get(self.add_prefix("made"), ""))

    def instant(self) -> str | None:
        """Return when it happened, as entries write it; None for now."""
        at = self.cleaned_data.get("at")
        return clock.instant(self._here(at), self.about.zone) if isinstance(at, datetime) else None

    def _here(self, at: datetime) -> datetime:
        return at.replace(tzinfo=ZoneInfo(self.about.zone))

    def wanted(self) -> list[Wanted] | None:
        """Return what is to be written, or None with everything that is off put on its field."""
        if not self.is_valid():
            return None
        try:
            return self.lines()
        except Refusal as refusal:
            self.refused(refusal.problems)
            return None

    def lines(self) -> list[Wanted]:
        """Return the lines that the form stands for."""
        return [Wanted(self.kind, self.body(), at=self.instant(), id=self.shown)]

    def refused(self, problems: Iterable[Problem]) -> None:
        """Put refusals on the fields they are about."""
        for problem in problems:
            words = f"{problem.message[:1].upper()}{problem.message[1:]}"
            self.add_error(problem.column if problem.column in self.fields else None, words)

    def clean_at(self) -> Any:
        """Refuse what has not happened yet."""
        at = self.cleaned_data.get("at")
        if isinstance(at, datetime) and self._here(at) > clock.now():
            raise forms.ValidationError(_("That has not happened yet."))
        return at
