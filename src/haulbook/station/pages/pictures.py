"""Photos of animals: each as it came in, and those of an outing beside the lines that they show."""

from __future__ import annotations

import re

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext as _

from haulbook.office.entry_words import shown_words
from haulbook.shore.picture import MEDIA_TYPE
from haulbook.station.pages.outing.at_hand import at_hand
from haulbook.station.pages.outing.words import title_of
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import book, pictures
from haulbook.station.web.route import route

_SHA256 = re.compile(r"[0-9a-f]{64}")


def picture(request: HttpRequest, sha256: str) -> HttpResponseBase:
    """Give a photo that has come in. Its address is that of its bytes, so a browser may keep it, for itself alone."""
    content = pictures.find(sha256) if _SHA256.fullmatch(sha256) else None
    if content is None:
        line = pictures.naming(sha256) if _SHA256.fullmatch(sha256) else None
        if line is None:
            raise Http404(_("No line of the book names such a photo."))
        raise Http404(
            _(
                "This photo has not come in yet: it is still on %(device)s, which sends it after its lines when "
                "there is contact."
            )
            % {"device": line.device}
        )
    tag = f'"{sha256}"'
    answer: HttpResponseBase | None = get_conditional_response(request, etag=tag)
    if answer is None:
        answer = HttpResponse(content, content_type=MEDIA_TYPE)
        answer["Content-Disposition"] = f'inline; filename="{sha256[:16]}.jpg"'
    answer["ETag"] = tag
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, max-age=86400"
    return answer


def of_outing(request: HttpRequest, outing: str) -> HttpResponseBase:
    """Show the photos of an outing, small, in order of time."""
    about = at_hand(outing)
    return render(
        request,
        "outing/photos.html",
        {
            "here": "outings",
            "about": about,
            "title_words": title_of(about),
            "photos": [
                (photo, shown_words(photo.of, about.outing, about.pack))
                for photo in pictures.photos(book.book_of_outing(outing))
            ],
        },
    )


ROUTES = [
    route("picture/<str:sha256>/", picture, "picture", get=SIGNED_IN),
    route("outing/<str:outing>/photos/", of_outing, "outing-photos", get=SIGNED_IN),
]
