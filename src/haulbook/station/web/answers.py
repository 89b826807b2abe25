"""What comes back when something can't be done: one place, one page and one JSON shape for each case."""

from __future__ import annotations

import logging
import secrets
import sys
from collections.abc import Callable, Iterable
from typing import Any

from django.core.exceptions import (
    DisallowedHost,
    PermissionDenied,
    RequestDataTooBig,
    SuspiciousOperation,
    TooManyFieldsSent,
)
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, JsonResponse, QueryDict
from django.shortcuts import render
from django.utils.translation import gettext as _

from haulbook.problems import Problem, Refusal
from haulbook.station.people.roles import Role
from haulbook.station.store.aside import BeingMade

_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
log = logging.getLogger("haulbook.station")


class NotYours(Exception):
    """Somebody signed in asked for what is not theirs to do. ``who``: the roles that may."""

    def __init__(self, who: frozenset[Role]) -> None:
        self.who = who
        super().__init__(", ".join(sorted(who)))


class NotAllowed(Exception):
    """An address was asked in a way that it does not answer."""

    def __init__(self, method: str, known: tuple[str, ...]) -> None:
        self.known = known
        super().__init__(method)


class SlowDown(Exception):
    """Somebody tried too often."""


class Answers:
    """Middleware that turns every exception of a page into its answer."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer a request."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: object, args: object, words: dict[str, Any]
    ) -> HttpResponseBase | None:
        """Turn away words that no database takes for text: those with the character U+0000."""
        reads_body = getattr(view, "csrf_exempt", False)  # phones' lines, which are no form
        typed = request.POST if request.content_type in _FORMS and not reads_body else {}
        said = [*words.values(), *_flat(request.GET), *_flat(typed)]
        if any("\x00" in one for one in said if isinstance(one, str)):
            return answer_to(request, SuspiciousOperation())
        return None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponseBase | None:
        """Answer an exception that a page raised."""
        return answer_to(request, error)


def _flat(said: QueryDict | dict[str, Any]) -> list[Any]:
    """Return names and values of a query or a form."""
    lists = said.lists() if isinstance(said, QueryDict) else ()
    return [one for name, values in lists for one in (name, *values)]


def answer_to(request: HttpRequest, error: Exception) -> HttpResponseBase:
    """Return the answer to an exception."""
    if isinstance(error, Refusal):
        return _page(request, 400, "refused", error.problems)
    if isinstance(error, NotYours):
        roles = ", ".join(sorted(error.who))
        words = _("This is for: {roles}.").format(roles=roles)
        return _page(request, 403, "not_yours", [Problem("refused", words)], roles=sorted(error.who))
    if isinstance(error, PermissionDenied):
        return _page(request, 403, "not_yours", [Problem("refused", _("This is not yours to do."))])
    if isinstance(error, NotAllowed):
        words = _("This address does not take {method}.").format(method=str(error))
        response = _page(request, 405, "not_here", [Problem("refused", words)])
        response["Allow"] = ", ".join(error.known)
        return response
    if isinstance(error, Http404):
        return _page(request, 404, "not_here", [Problem("refused", str(error) or _("Nothing stands here."))])
    if isinstance(error, SlowDown):
        response = _page(request, 429, "slow_down", [Problem("refused", str(error))])
        response["Retry-After"] = "900"
        return response
    if isinstance(error, BeingMade):
        words = _("This is added up from every line of the book, and was not asked for before: some seconds.")
        response = _page(request, 503, "being_made", [Problem("refused", words)])
        response["Retry-After"] = response["Refresh"] = "3"
        response._has_been_logged = True  # type: ignore[attr-defined]  # nothing failed: Django would log an error
        return response
    if isinstance(error, (RequestDataTooBig, TooManyFieldsSent)):
        words = _("What was sent is too large; send it in parts.")
        return _page(request, 413, "refused", [Problem("refused", words)])
    if isinstance(error, (SuspiciousOperation, DisallowedHost)):
        return _page(request, 400, "refused", [Problem("refused", _("The request was not understood."))])
    mark = secrets.token_hex(4)
    log.error("%s %s went wrong [%s]", request.method, request.path, mark, exc_info=error)
    words = _("Something went wrong here. It is written down under {mark}.").format(mark=mark)
    try:
        return _page(request, 500, "went_wrong", [Problem("refused", words)], mark=mark)
    except Exception:  # the page of last resort must not hang on what went wrong
        log.exception("the page that says so went wrong too [%s]", mark)
        return HttpResponse(words, status=500, content_type="text/plain; charset=utf-8")


def json_problems(status: int, problems: str | Iterable[Problem]) -> JsonResponse:
    """Return the one JSON shape of everything that can't be done."""
    if isinstance(problems, str):
        problems = [Problem("refused", problems)]
    return JsonResponse({"problems": [problem.as_json() for problem in problems]}, status=status)


def wants_json(request: HttpRequest) -> bool:
    """Say whether somebody asks for JSON: a phone or a script, not a person in a browser."""
    return (
        request.content_type == "application/json"
        or "Authorization" in request.headers
        or not request.accepts("text/html")
    )


def _page(
    request: HttpRequest, status: int, name: str, problems: Iterable[Problem], **more: Any
) -> HttpResponse:
    problems = list(problems)
    if wants_json(request):
        return json_problems(status, problems)
    return render(request, f"answers/{name}.html", {"problems": problems, **more}, status=status)


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose safety token does not match: opened long ago, or sent from elsewhere."""
    words = _(
        "This form was opened too long ago, or not here. Go back, load the page again, and send it once more."
    )
    return _page(request, 403, "refused", [Problem("refused", words)])


def not_here(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    """Answer an address that leads nowhere."""
    return answer_to(request, Http404(_("No page has this address.")))


def went_wrong(request: HttpRequest) -> HttpResponseBase:
    """Answer what went wrong outside any page."""
    return answer_to(request, _at_hand())


def _at_hand() -> Exception:
    error = sys.exc_info()[1]
    return error if isinstance(error, Exception) else RuntimeError("outside any page")


def not_understood(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    """Answer a request that Django itself refused."""
    return answer_to(
        request, exception if isinstance(exception, SuspiciousOperation) else SuspiciousOperation()
    )


def not_yours(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    """Answer what Django itself keeps from somebody."""
    return answer_to(request, PermissionDenied())
