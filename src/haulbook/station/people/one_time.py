"""Codes and links that work once: the first sign-in, an invitation, a device's enrolment."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction

from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import OneTime, Person

SIGN_IN, SET_UP, DEVICE = "sign-in", "set-up", "device"
_HOLDS = {SIGN_IN: timedelta(minutes=30), SET_UP: timedelta(days=1), DEVICE: timedelta(minutes=30)}
_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"  # without those that are read for one another


def digest(code: str) -> str:
    """Return what is stored of a code."""
    return hashlib.sha256(code.encode()).hexdigest()


def make(use: str, *, person: Person | None = None, label: str = "", device: str = "", by: str = "") -> str:
    """Return a new code. A device's is short enough to type; the others travel in links."""
    code = (
        "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))
        if use == DEVICE
        else secrets.token_urlsafe(32)
    )
    now = clock.now()
    OneTime.objects.create(
        digest=digest(code),
        use=use,
        person=person,
        label=label,
        device=device,
        made_at=now,
        made_by=by,
        ends_at=now + _HOLDS[use],
    )
    return code


def take(code: str, use: str) -> OneTime:
    """Use up a code.

    Raises
    ------
    Refusal
        Where there is no such code, it was used, or its time is over.
    """
    now = clock.now()
    with transaction.atomic():
        found = OneTime.objects.select_for_update().filter(digest=digest(code.strip()), use=use).first()
        if found is None:
            raise Refusal("this code is not known here; ask the lead for a new one")
        if found.used_at is not None:
            raise Refusal("this code was used already; it works once. Ask the lead for a new one")
        if found.ends_at < now:
            raise Refusal("the time of this code is over; ask the lead for a new one")
        found.used_at = now
        found.save(update_fields=["used_at"])
    return found
