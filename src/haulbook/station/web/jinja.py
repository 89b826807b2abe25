"""Templates: Jinja2 with what every page uses."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from django.http import HttpRequest
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language, gettext, ngettext
from jinja2 import Environment, StrictUndefined, pass_context
from jinja2.runtime import Context

from haulbook.station.models import EntryRow, Settings
from haulbook.station.web import display
from haulbook.station.web.route import person_of

THEMES = ("paper", "dawn", "sun")
TOKENS = Path(str(files("haulbook.publish") / "templates" / "tokens.css"))
"""Colours and voices, the same file for papers, station and phone."""
_STATIC = Path(__file__).resolve().parent.parent / "static"


def environment(**options: Any) -> Environment:
    """Return the environment that Django renders with."""
    options |= {"undefined": StrictUndefined, "trim_blocks": True, "lstrip_blocks": True}
    options["extensions"] = ["jinja2.ext.i18n", "jinja2.ext.do"]
    options["autoescape"] = True
    made = Environment(**options)  # noqa: S701 - autoescape is on, one line above
    made.install_gettext_callables(gettext, ngettext, newstyle=True)  # type: ignore[attr-defined]
    made.globals.update(url=url, asset=asset, here="", **display.MARKS)
    made.filters["sentence"] = sentence
    made.filters.update({name: _shown(function) for name, function in display.FILTERS.items()})
    return made


def sentence(words: str) -> str:
    """Return words with their first letter large, the rest as it was."""
    return words[:1].upper() + words[1:]


def url(name: str, **words: Any) -> str:
    """Return the address of a route."""
    return reverse(name, kwargs=words or None)


def asset(name: str) -> str:
    """Return the address of a static file, which changes when the file does."""
    return f"{static(name)}?{_digest(name)}"


@cache
def _digest(name: str) -> str:
    file = TOKENS if name == TOKENS.name else _STATIC / name
    return hashlib.sha256(file.read_bytes()).hexdigest()[:8]


def _shown(function: Any) -> Any:
    """Return a filter that is told how this page shows dates, numbers and units."""

    @pass_context
    def shown(context: Context, value: Any, *words: Any, **named: Any) -> Any:
        return function(value, context.resolve("display"), *words, **named)

    return shown


def of_request(request: HttpRequest) -> dict[str, Any]:
    """Return what every page is given: who asks, which station, how it shows things. Two queries at most."""
    own = Settings.objects.first()
    person = person_of(request)
    theme = request.COOKIES.get("theme", "")
    return {
        "me": person,
        "station": own,
        "theme": theme if theme in THEMES else "",
        "received": _received() if person is not None else "",
        "display": display_of(own),
    }


def display_of(own: Settings | None) -> display.Display:
    """Return how a station shows dates, numbers and units."""
    return display.Display(
        language=get_language() or "en",
        zone=own.zone if own else "UTC",
        feet=own.feet if own else False,
        fahrenheit=own.fahrenheit if own else False,
    )


def _received() -> str:
    """Return when the last line of a phone or the desk came in, as an instant; empty before the first."""
    at = EntryRow.objects.order_by("-position").values_list("received_at", flat=True).first()
    return at.isoformat() if at else ""
