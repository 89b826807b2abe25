"""TEMPORARY: stands in for page groups that colleagues build right now, so that links and base.html work. Deleted at the end."""

from django.http import HttpResponse

from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.web.route import route

NAMES = {
    "plan": "",
    "outings": "",
    "permits": "",
    "kept": "",
    "bed": "",
    "transcribe": "",
    "bring-in": "",
    "gear": "",
    "which-one": "",
    "station": "",
    "outing": "<str:outing>/",
    "tank": "<str:tank>/",
    "plan-outing": "<str:outing>/",
    "permit": "<str:no>/",
    "tally-sheets": "",
    "tally-sheet": "<str:outing>/",
    "devices": "",
    "reports": "",
    "patterns": "",
}


def routes(known):
    return [
        route(f"coming/{name}/{rest}", lambda request, **words: HttpResponse("coming"), name, get=SIGNED_IN)
        for name, rest in NAMES.items()
        if name not in known
    ]


def there(groups):
    """Page groups whose module exists and has ROUTES (so that nobody waits for anybody)."""
    from importlib import import_module
    from pathlib import Path

    here = Path(__file__).parent
    found = []
    for group in groups:
        if (here / f"{group}.py").exists() or (here / group).is_dir():
            module = import_module(f"haulbook.station.pages.{group}")
            if hasattr(module, "ROUTES"):
                found.append(group)
    return found
