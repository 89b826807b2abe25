"""What is written about the animals of a tank: moves and ends, arrivals, births and stock, counts, better names."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.office.kept_lines import Lot, arriving, carrying, leaving, renaming
from haulbook.office.say import said
from haulbook.station.pages.outing.forms import NUMBER, WHY, NameField
from haulbook.station.pages.tank_form import TankForm
from haulbook.station.pages.tank_room import following
from haulbook.station.store.book import Wanted

END_WORDS = {
    "dead-kept": later("found dead, kept"),
    "dead-back": later("found dead, not kept"),
    "killed-kept": later("killed, kept"),
    "killed-back": later("killed, not kept"),
    "given": later("given to another institution"),
    "back": later("let go into the sea"),
    "lost": later("missing"),
}


def _how_many(label: Any = None, least: int = 1, **more: Any) -> forms.IntegerField:
    return forms.IntegerField(
        label=label or later("How many"), min_value=least, widget=forms.NumberInput(attrs=NUMBER), **more
    )


class Lots(TankForm):
    """A line about animals that are in the tank."""

    lot = forms.ChoiceField(label=later("Which"))

    def begin(self) -> None:
        """Offer what is in the tank, and the hauls that it came from."""
        self.fields["lot"].choices = self.about.lots  # type: ignore[attr-defined]
        if "haul" in self.fields:
            hauls = {haul: haul for kind in self.about.kinds for haul, _n in kind.hauls if "/" in haul}
            self.fields["haul"].choices = [("", _("nobody can tell")), *hauls.items()]  # type: ignore[attr-defined]

    @property
    def chosen(self) -> Lot:
        """The animals that the line is about."""
        kind = self.about.kind(self.cleaned_data["lot"])
        return Lot(self.about.place, kind.taxon, kind.stage, kind.unit)


def _of_haul() -> forms.ChoiceField:
    return forms.ChoiceField(
        label=later("Of which haul"),
        required=False,
        help_text=later(
            "Where nobody can tell, the last landed is taken, and the permit counts the worst case."
        ),
    )


class Leave(Lots):
    """Animals go to another tank, or for good."""

    what, kind = "leave", "move"
    n = _how_many()
    to = forms.ChoiceField(label=later("What became of them"))
    cause = forms.CharField(
        label=later("Cause, or to whom"),
        max_length=WHY,
        required=False,
        help_text=later(
            "What killed them, as far as it was seen. Needed for missing, killed and given animals."
        ),
    )
    haul = _of_haul()

    def begin(self) -> None:
        """Offer the other tanks, and the ends that a permit allows."""
        super().begin()
        ends = [(key, words) for key, words in END_WORDS.items() if key != "back" or self.about.back]
        others = [
            (place, _("to %(tank)s") % {"tank": place})
            for place in self.about.tanks
            if place != self.about.place
        ]
        self.fields["to"].choices = [*ends, *others]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        """Return the body of a move."""
        data = self.cleaned_data
        return leaving(
            self.about.held, self.chosen, data["n"], data["to"], data["cause"] or None, data["haul"] or ""
        )

    def lines(self) -> list[Wanted]:
        """Return the move; who was given animals is remarked too, so that it stands in the diary."""
        lines = super().lines()
        if self.cleaned_data["to"] == "given":
            text = _("%(n)s %(name)s given to %(whom)s") % {
                "n": self.cleaned_data["n"], "name": said(self.chosen.taxon, self.about.pack),
                "whom": self.cleaned_data["cause"],
            }  # fmt: skip
            remark = {"text": text, "place": self.about.place}
            lines.append(Wanted("remark", remark, at=self.instant(), id=following(self.shown, 1)))
        return lines


class Carry(TankForm):
    """Animals come from a bucket or cooler of an outing that is not closed yet."""

    what, kind = "carry", "move"
    lot = forms.ChoiceField(label=later("From the beach"))
    n = _how_many(required=False, help_text=later("Empty for all of them."))

    def begin(self) -> None:
        """Offer what stands in buckets and coolers."""
        self.fields["lot"].choices = [(key, words) for key, (words, _rows) in self.about.carried.items()]  # type: ignore[attr-defined]

    def lines(self) -> list[Wanted]:
        """Return the move, in the outing that the bucket belongs to."""
        rows = self.about.carried[self.cleaned_data["lot"]][1]
        body = carrying(rows, self.cleaned_data["n"], self.about.place)
        return [Wanted("move", body, rows[0].outing, self.instant(), self.shown)]


class Arrive(TankForm):
    """Animals that came out of no haul: opening stock, another institution, births."""

    what, kind = "arrive", "move"
    name = NameField()
    n = _how_many()
    source = forms.ChoiceField(
        label=later("From"),
        choices=[
            ("brought", later("there already, or another institution")),
            ("born", later("born in holding")),
        ],
    )

    def begin(self) -> None:
        """Let the name be read with the station's pack."""
        self.fields["name"].pack = self.about.pack  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        """Return the body of a move."""
        taxon, stage = self.cleaned_data["name"]
        return arriving(
            self.shown, self.about.place, taxon, stage, self.cleaned_data["n"], self.cleaned_data["source"]
        )


class Rename(Lots):
    """A better name for animals in the tank."""

    what, kind = "rename", "redetermination"
    n = _how_many()
    name = NameField(label=later("They are"))
    cause = forms.CharField(label=later("What showed it"), max_length=WHY)
    haul = _of_haul()

    def begin(self) -> None:
        """Let the name be read with the station's pack."""
        super().begin()
        self.fields["name"].pack = self.about.pack  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        """Return the body of a redetermination."""
        data = self.cleaned_data
        return renaming(
            self.about.held, self.chosen, data["n"], data["name"], data["cause"], data["haul"] or ""
        )


class Recount(Lots):
    """How many somebody found."""

    what, kind = "recount", "counted-again"
    n = _how_many(later("Found"), 0)

    def body(self) -> dict[str, Any]:
        """Return the body of a count."""
        lot = self.chosen
        body = {"place": self.about.place, "taxon": lot.taxon, "n": self.cleaned_data["n"]}
        if lot.stage:
            body["stage"] = lot.stage
        return body | ({"unit": lot.unit} if lot.unit not in ("individual", "egg_mass") else {})
