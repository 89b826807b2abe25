"""Headers of every answer: where scripts, styles and pictures may come from, and what browsers may keep."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)


def asked_through_proxy(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Middleware that takes the address of who asks from the proxy: the last one of X-Forwarded-For is what it saw."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        seen = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip()
        if seen:
            request.META["REMOTE_ADDR"] = seen
        return get_response(request)

    return answer


def headers(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Middleware that adds them."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", "geolocation=(self), camera=(self), microphone=()")
        if response.headers.get("Content-Type", "").startswith(("text/html", "application/json")):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return answer
