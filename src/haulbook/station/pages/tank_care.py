"""What is written about the care of a tank: fed, looked at, treated; its water; anything else."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.care.tank.diary import care_body
from haulbook.exchange.station_toml import PH_SCALES
from haulbook.office.say import said
from haulbook.problems import Problem, Refusal
from haulbook.station.pages.outing.forms import WHY
from haulbook.station.pages.tank_form import TankForm
from haulbook.station.pages.tank_forms import Arrive, Carry, Leave, Recount, Rename


class Care(TankForm):
    """Fed, ate, refused, cleaned, treated, checked."""

    what, kind = "care", "care"
    act = forms.ChoiceField(
        label=later("What"),
        choices=[
            ("checked", later("looked at")), ("fed", later("fed")), ("ate", later("they ate")),
            ("refused", later("refused food")), ("cleaned", later("cleaned")), ("treated", later("treated")),
        ],
    )  # fmt: skip
    taxon = forms.ChoiceField(label=later("Whom"), required=False)
    g = forms.FloatField(label=later("Food, g"), required=False, min_value=0)
    given = forms.CharField(
        label=later("What was given or seen"), max_length=WHY, required=False,
        help_text=later("Of a treatment: what, and how much."),
    )  # fmt: skip
    prescribed_by = forms.CharField(label=later("Prescribed by"), max_length=200, required=False)

    def begin(self) -> None:
        """Offer what is in the tank."""
        names = {kind.taxon: said(kind.taxon, self.about.pack) for kind in self.about.kinds}
        self.fields["taxon"].choices = [("", _("all of them")), *names.items()]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        """Return the body of a care entry."""
        data = self.cleaned_data
        return care_body(
            self.about.place, data["act"], taxon=data["taxon"] or None, grams=data["g"], what=data["given"] or None,
            prescribed_by=data["prescribed_by"] or None,
        )  # fmt: skip


class Read(TankForm):
    """A reading of the tank's water."""

    what, kind = "read", "reading"
    instrument = forms.ChoiceField(label=later("Read with"))
    temperature_c = forms.FloatField(
        label=later("Temperature, °C"), required=False, min_value=-3, max_value=45
    )
    salinity = forms.FloatField(label=later("Salinity"), required=False, min_value=0, max_value=60)
    oxygen_mg_l = forms.FloatField(label=later("Oxygen, mg/L"), required=False, min_value=0, max_value=30)
    oxygen_percent = forms.FloatField(label=later("Oxygen, %"), required=False, min_value=0, max_value=300)
    ph = forms.FloatField(label=later("pH"), required=False, min_value=0, max_value=14)
    scale = forms.ChoiceField(
        label=later("on the scale"), required=False, choices=[("", "·"), *((one, one) for one in PH_SCALES)]
    )
    tan_mg_n_l = forms.FloatField(
        label=later("Total ammonia, mg N/L"), required=False, min_value=0, max_value=100
    )

    def begin(self) -> None:
        """Offer the station's instruments."""
        known = [(one.key, f"{one.key}: {one.kind}") for one in self.about.instruments]
        self.fields["instrument"].choices = [*known, ("unnamed", _("another"))]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        """Return the body of a reading."""
        data = self.cleaned_data
        names = ("temperature_c", "salinity", "oxygen_mg_l", "oxygen_percent", "ph", "tan_mg_n_l")
        body = {name: round(data[name], 4) for name in names if data[name] is not None}
        if not body:
            raise Refusal(_("Write at least one of the readings."))
        if "ph" in body:
            own = next((one.scale for one in self.about.instruments if one.key == data["instrument"]), None)
            scale = data["scale"] or own
            if not scale:
                raise Refusal(
                    Problem("refused", _("say on which scale: ammonia hangs on it"), column="scale")
                )
            body["scale"] = scale
        return {"place": self.about.place, "instrument": data["instrument"], **body}


class Remark(TankForm):
    """Anything else that belongs in the diary."""

    what, kind = "remark", "remark"
    text = forms.CharField(label=later("What is to be remembered"), max_length=2000, widget=forms.Textarea)

    def body(self) -> dict[str, Any]:
        """Return the body of a remark."""
        return {"text": self.cleaned_data["text"], "place": self.about.place}


FORMS: tuple[type[TankForm], ...] = (Care, Leave, Carry, Read, Recount, Arrive, Rename, Remark)
