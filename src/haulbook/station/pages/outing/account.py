"""The account of an outing on paper: hauls, balance, what was mended, what stays open, signatures."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render

from haulbook.custody.book import in_time
from haulbook.custody.entry import Entry
from haulbook.office.entry_words import quoted, told
from haulbook.office.outing_page import outing_page
from haulbook.office.signing import versions
from haulbook.station import clock
from haulbook.station.pages.outing.at_hand import AtHand, at_hand
from haulbook.station.pages.outing.page import open_matters
from haulbook.station.pages.outing.words import column_words, title_of
from haulbook.station.store import book


def _short(one: Entry, about: AtHand) -> tuple[Entry, str]:
    return one, quoted(one) or told(one, about.pack)


def account(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show the account, made for printing."""
    about = at_hand(outing)
    own = book.book_of_outing(outing)
    by_id = own.by_id()
    strikes = sorted((one for one in own.entries if one.kind == "strike"), key=in_time)
    mended = [
        (strike, [_short(one, about) for key in strike.body["entries"] for one in by_id.get(key, ())])
        for strike in strikes
    ]
    return render(
        request,
        "outing/account.html",
        {
            "here": "outings",
            "about": about,
            "title_words": title_of(about),
            "shown": outing_page(about.reading.account, about.pack, about.station.nets),
            "heads": column_words(),
            "mended": mended,
            "renamed": [
                (one, told(one, about.pack)) for one in own.standing() if one.kind == "redetermination"
            ],
            "settled": [(one, told(one, about.pack)) for one in own.standing() if one.kind == "settled"],
            "open": open_matters(about, may_lead=True),
            "versions": versions(own, outing),
            "now": clock.now(),
        },
    )
