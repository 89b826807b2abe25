"""Addresses of permits and their clauses, whatever their numbers are made of."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.http import urlencode


def permit_url(no: str, **more: Any) -> str:
    """Return the page of a permit; ``clause`` chooses one, and is where the page opens."""
    address = reverse("permit", kwargs={"no": no})
    if "clause" not in more:
        return address
    return f"{address}?{urlencode(more)}#clause-{more['clause']}"


def clause_url(no: str, clause: str, version: int | None = None, **more: Any) -> str:
    """Return the page of one clause; ``period`` and ``haul`` choose what stands open on it."""
    said = {"id": clause, **({"version": version} if version else {}), **more}
    return f"{reverse('permit-clause', kwargs={'no': no})}?{urlencode(said)}"


def report_url(no: str, **more: Any) -> str:
    """Return the page of a permit's report; ``first``, ``last`` and ``layout`` say which."""
    address = reverse("report", kwargs={"no": no})
    return f"{address}?{urlencode(more, doseq=True)}" if more else address
