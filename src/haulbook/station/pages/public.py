"""The public face: the story of the bed, for everyone, where the lead opened it."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.custody.canonical import sha256_of
from haulbook.estimate import UNDERCOUNT
from haulbook.office.bed import BIN_MM, as_json, from_json, held_against
from haulbook.office.densities import Density
from haulbook.office.say import said, scientific
from haulbook.office.story import Found, Story, story_of, where
from haulbook.publish.silhouettes import silhouette_of
from haulbook.station.models import Settings, Site
from haulbook.station.pages.bed import densities_of
from haulbook.station.pages.bed_charts import MOST_YEARS, charts_of, most
from haulbook.station.people.roles import ANYONE
from haulbook.station.store import readings, reference
from haulbook.station.web.route import route
from haulbook.taxa import Pack

CLOSED = later("This station keeps no public page. Who has an account here signs in.")


def story_page(request: HttpRequest) -> HttpResponse:
    """Show what everyone may know of the bed."""
    own = Settings.objects.first()
    if own is None or not own.public:
        raise Http404(CLOSED)
    pack = reference.pack_of_station()
    nets = reference.station().nets
    made = readings.derived(
        "story",
        sha256_of(f"1\n{pack.key}\n{pack.version}\n{sorted(nets.items())!r}")[:24],
        lambda: told(story_of(readings.account(), pack), densities_of()[0], pack),
    )
    sites = Site.objects.filter(retired=False).values_list("lat", "lon", "coarsen_km")
    return render(request, "public/story.html", context_of(made.value, sites, pack))


def told(story: Story, some: tuple[Density, ...], pack: Pack) -> dict[str, Any]:
    """Return all that the page needs of the book, as JSON takes it: nothing else reaches the page.

    Parameters
    ----------
    story : Story
    some : tuple of Density
        Of every kind; those that are protected or not settled are left out here.
    pack : Pack
    """
    open_kinds = {one.taxon for one in story.kinds if not one.protected}
    shown = [one for one in some if one.taxon in open_kinds]
    years = sorted({one.period for one in shown})
    finding = held_against(shown, years[-1], years[-2], pack) if len(years) > 1 else None
    return {
        "story": story.as_json(),
        "picture": as_json(one for one in most(shown) if one.period in years[-MOST_YEARS:]),
        "picture_years": years[-MOST_YEARS:],
        "finding": asdict(finding) if finding else None,
        "looked_for": sorted({(one.taxon, one.period) for one in some if one.estimate.n_hauls}),
    }


def context_of(value: dict[str, Any], sites: Any, pack: Pack) -> dict[str, Any]:
    """Return what the page shows of :func:`told` and of sites as (lat, lon, coarsen_km)."""
    story = Story.from_json(value["story"])
    years = story.years[-MOST_YEARS:]
    looked_for = {(taxon, year) for taxon, year in value["looked_for"]}
    lines = [_line(one, years, looked_for, pack) for one in story.kinds]
    return {
        "here": "open",
        "story": story,
        "years": years,
        "outings": sum(story.outings.values()),
        "hauls": sum(story.hauls.values()),
        "kinds": [line for line in lines if not line["protected"]],
        "protected": [line for line in lines if line["protected"]],
        "places": [_place(*cell) for cell in where(sites, story)],
        "charts": charts_of(from_json(value["picture"]), value["picture_years"], pack),
        "finding": value["finding"],
        "lengths": [(said(taxon, pack), of_years) for taxon, of_years in story.lengths.items()],
        "bin_mm": BIN_MM,
        "undercount": UNDERCOUNT,
    }


def _line(one: Found, years: list[str], looked_for: set[tuple[str, str]], pack: Pack) -> dict[str, Any]:
    """Return a kind with a cell for each year: animals and outings; none where it was not looked for."""
    cells: list[tuple[int, int] | None] = []
    for year in years:
        if year in one.outings:
            cells.append((one.animals.get(year, 0), one.outings[year]))
        else:
            cells.append((0, 0) if (one.taxon, year) in looked_for else None)
    return {
        "name": said(one.taxon, pack),
        "latin": scientific(one.taxon, pack) or "",
        "plan": silhouette_of(one.taxon, pack) or "",
        "protected": one.protected,
        "years": list(one.outings),
        "cells": cells,
        "outings": sum(one.outings.values()),
    }


def _place(lat: str, lon: str, km: float) -> tuple[str, str, int]:
    """Return a cell in words: degrees with their side of the Earth, and kilometres across."""
    north = _("%(degrees)s° south") if lat.startswith("-") else _("%(degrees)s° north")
    east = _("%(degrees)s° west") if lon.startswith("-") else _("%(degrees)s° east")
    return north % {"degrees": lat.lstrip("-")}, east % {"degrees": lon.lstrip("-")}, max(1, round(km))


ROUTES = [route("open/", story_page, "open", get=ANYONE)]
