"""Search across taxa, outings, and everything that was called, remarked or given as a reason."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from haulbook.office.say import said as printed
from haulbook.station.models import Said
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import readings
from haulbook.station.store.reference import pack_of_station
from haulbook.station.web.route import route
from haulbook.taxa import Pack
from haulbook.taxa.names import resolve

MOST_TAXA = 8
A_PAGE = 50


@dataclass(frozen=True, slots=True)
class FoundTaxon:
    """A taxon that was asked for, and the outings that brought it or something within it."""

    taxon: str
    name: str
    scientific_name: str
    outings: tuple[str, ...]


def search(request: HttpRequest) -> HttpResponse:
    """Show what stands under the words asked for."""
    words = " ".join(request.GET.get("q", "").split())[:200]
    wanted = request.GET.get("page", "")
    page = max(1, int(wanted)) if wanted.isdecimal() and len(wanted) <= 4 else 1
    taxa: list[FoundTaxon] = []
    outings: list[readings.Brief] = []
    said: list[Said] = []
    if words:
        pack, briefs = pack_of_station(), readings.briefs()
        taxa = _taxa(words, pack, briefs)
        low = words.casefold()
        outings = [
            one for one in briefs if low in one.outing.casefold() or low in (one.site or "").casefold()
        ]
        rows = Said.objects.filter(text__icontains=words).order_by("-position")
        said = list(rows[(page - 1) * A_PAGE : page * A_PAGE + 1])
    return render(
        request,
        "search/search.html",
        {
            "here": "search",
            "words": words,
            "taxa": taxa,
            "outings": outings[-A_PAGE:][::-1],
            "said": said[:A_PAGE],
            "page": page,
            "more": len(said) > A_PAGE,
        },
    )


def _taxa(words: str, pack: Pack, briefs: tuple[readings.Brief, ...]) -> list[FoundTaxon]:
    match = resolve(words, pack)
    keys = [match.taxon] if match.taxon else [one.taxon for one in match.candidates]
    low = words.casefold()
    keys += [
        key
        for key, taxon in pack.taxa.items()
        if any(
            low in name.casefold() for name in (taxon.scientific_name, *taxon.common_names, *taxon.synonyms)
        )
    ]
    found = []
    for key in list(dict.fromkeys(keys))[:MOST_TAXA]:
        within = pack.below(key)
        brought = tuple(one.outing for one in briefs if within.intersection(one.taxa))
        found.append(FoundTaxon(key, printed(key, pack), pack[key].scientific_name, brought))
    return found


ROUTES = [route("search/", search, "search", get=SIGNED_IN)]
