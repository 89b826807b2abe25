"""The bed: catch per area and zeros by taxon and year, lengths, and the hauls behind every number."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import dates
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.canonical import sha256_of
from haulbook.estimate import UNDERCOUNT
from haulbook.office import bed as verbs
from haulbook.office.densities import Density, areas_of
from haulbook.office.say import said, scientific
from haulbook.publish import EstimateLine
from haulbook.publish.estimates_sheet import estimates_sheet
from haulbook.publish.sheet import csv_bytes
from haulbook.station.pages.bed_charts import MOST_TAXA, MOST_YEARS, charts_of, most
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import readings, reference
from haulbook.station.web.route import route

MONTHS = [(str(n), name) for n, name in dates.MONTHS.items()]


class Which(forms.Form):
    """Which part of the book is looked at."""

    site = forms.ChoiceField(label=later("Site"), required=False)
    month = forms.ChoiceField(label=later("Month"), choices=[("", later("all")), *MONTHS], required=False)
    taxon = forms.ChoiceField(label=later("Animal"), required=False)

    def __init__(self, sites: list[str], taxa: list[tuple[str, str]], *words: Any) -> None:
        super().__init__(*words)
        self.fields["site"].choices = [("", _("all")), *((key, key) for key in sites)]  # type: ignore[attr-defined]
        self.fields["taxon"].choices = [("", _("all")), *taxa]  # type: ignore[attr-defined]


def bed(request: HttpRequest) -> HttpResponse:
    """Show what the bed gave."""
    pack, station = reference.pack_of_station(), reference.station()
    caught = sorted(
        {taxon for one in readings.briefs() for taxon in one.taxa}, key=lambda key: said(key, pack)
    )
    form = Which(list(station.sites), [(key, said(key, pack)) for key in caught], request.GET)
    form.is_valid()
    site, month, taxon = (form.cleaned_data.get(name, "") for name in ("site", "month", "taxon"))
    every = "all" in request.GET
    looked = seen(site, month, taxon, every=every)
    shown, years = verbs.from_json(looked.value["shown"]), looked.value["years"]
    return render(
        request,
        "bed/bed.html",
        {
            "here": "bed",
            "form": form,
            "charts": charts_of(shown, years if taxon else years[-MOST_YEARS:], pack),
            "years": years,
            "finding": looked.value["finding"],
            "taxon": taxon,
            "name": said(taxon, pack) if taxon else "",
            "latin": scientific(taxon, pack) if taxon else None,
            "more": not taxon and not every and looked.value["kinds"] > MOST_TAXA,
            "asked": {"site": site, "month": month},
            "undercount": UNDERCOUNT,
            "warnings": [(one.period, words) for one in shown for words in one.estimate.warnings]
            if taxon
            else [],
            "behind": looked.behind,
            **(_one_taxon(site, month, taxon, shown) if taxon else {}),
        },
    )


def table(request: HttpRequest) -> HttpResponse:
    """Give the figures behind the picture."""
    pack = reference.pack_of_station()
    some, _behind = densities_of(request.GET.get("site", ""), request.GET.get("month", ""))
    lines = [EstimateLine(said(one.taxon, pack), one.group.words, one.period, one.estimate) for one in some]
    content = csv_bytes(estimates_sheet(lines))
    name = 'attachment; filename="catch-per-area.csv"'
    return HttpResponse(
        content, content_type="text/csv; charset=utf-8", headers={"Content-Disposition": name}
    )


def densities_of(site: str = "", month: str = "") -> tuple[tuple[Density, ...], int]:
    """Return catch per area of every kind and year, and how many lines came in since."""
    nets = reference.station().nets

    def make() -> list[dict[str, Any]]:
        part = _part(site, month)
        return verbs.as_json(
            verbs.bed_of(part, areas_of(part.hauls, nets), reference.pack_of_station().is_within)
        )

    inputs = sha256_of(f"{site}\n{month}\n{sorted(nets.items())!r}")[:24]
    found = readings.derived("bed", inputs, make)
    return verbs.from_json(found.value), found.behind


def seen(site: str, month: str, taxon: str, *, every: bool) -> readings.Derived:
    """Return what one look at the bed shows: the lines of the picture, all years, and the finding."""
    pack, nets = reference.pack_of_station(), reference.station().nets

    def make() -> dict[str, Any]:
        some, _behind = densities_of(site, month)
        years = sorted({one.period for one in some})
        picked = [one for one in some if one.taxon == taxon] if taxon else most(some, every)
        shown = [one for one in picked if taxon or one.period in years[-MOST_YEARS:]]
        finding = verbs.held_against(some, years[-1], years[-2], pack) if len(years) > 1 else None
        return {
            "shown": verbs.as_json(shown),
            "years": years,
            "finding": asdict(finding) if finding else None,
            "kinds": len({one.taxon for one in some}),
        }

    inputs = sha256_of(f"{site}\n{month}\n{taxon}\n{every}\n{sorted(nets.items())!r}")[:24]
    return readings.derived("bed-seen", inputs, make)


def _part(site: str, month: str) -> Any:
    months = (int(month),) if month in dict(MONTHS) else ()
    return verbs.part_of(readings.account(), (site,) if site else (), months)


def _one_taxon(site: str, month: str, taxon: str, some: tuple[Density, ...]) -> dict[str, Any]:
    """Return the hauls behind one kind, and its lengths."""
    nets = reference.station().nets

    def make() -> dict[str, Any]:
        part = _part(site, month)
        hauls = verbs.hauls_behind(part, areas_of(part.hauls, nets), taxon, some)
        lengths = verbs.lengths_by_year(part, taxon)
        return {
            "hauls": [[one.haul, one.outing, one.day, one.n, one.area_m2, one.why_not] for one in hauls],
            "lengths": {year: sorted(bins.items()) for year, bins in lengths.items()},
        }

    inputs = sha256_of(f"{site}\n{month}\n{taxon}\n{sorted(nets.items())!r}")[:24]
    value = readings.derived("bed-taxon", inputs, make).value
    hauls = [verbs.HaulCatch(*row) for row in value["hauls"]]
    return {"hauls": hauls, "lengths": value["lengths"], "bin_mm": verbs.BIN_MM}


ROUTES = [
    route("bed/", bed, "bed", get=SIGNED_IN),
    route("bed/catch-per-area.csv", table, "bed-table", get=SIGNED_IN),
]
