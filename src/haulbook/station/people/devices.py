"""Phones and tablets that may send entries: enrolled by a code, known by a token, turned away when revoked."""

from __future__ import annotations

import hashlib
import re
import secrets
from datetime import timedelta

from django.http import HttpRequest

from haulbook.station import clock
from haulbook.station.models import Device, EntryRow, Person
from haulbook.station.people import one_time
from haulbook.station.store.writing import writing

_SEEN_EVERY = timedelta(minutes=1)
_KEY = re.compile(r"d[1-9][0-9]{0,8}")


def invite(person: Person | None, label: str, by: str, device: str = "") -> str:
    """Return a code that enrols one device; ``device`` gives back the key that it had before."""
    return one_time.make(one_time.DEVICE, person=person, label=label, device=device, by=by)


def enrol(code: str, had: str | None = None) -> tuple[Device, str]:
    """Enrol the device that shows a code; return it with the token that it keeps.

    A device gets a key of its own, never one that the book knows already: two chains would grow under it. Only where
    the lead invited a device to come back, and it still has that key, it goes on under it.

    Parameters
    ----------
    code : str
    had : str or None
        The key that the device says it has.

    Raises
    ------
    Refusal
        Where the code is unknown, used or over.
    """
    token = secrets.token_urlsafe(32)
    with writing():
        taken = one_time.take(code.lower(), one_time.DEVICE)
        key = taken.device if taken.device and taken.device == had else next_key()
        device, _ = Device.objects.update_or_create(
            key=key,
            defaults={
                "label": taken.label,
                "person": taken.person,
                "token": _digest(token),
                "enrolled_at": clock.now(),
                "enrolled_by": taken.made_by,
                "revoked_at": None,
            },
        )
    return device, token


def next_key() -> str:
    """Return the next key of a device, d1, d2 ..., that neither a device nor the book has."""
    known = {*Device.objects.values_list("key", flat=True), *written_by()}
    return f"d{max((int(key[1:]) for key in known if _KEY.fullmatch(key)), default=0) + 1}"


def written_by() -> set[str]:
    """Return the devices that the book has entries of, files and the desk among them."""
    return set(EntryRow.objects.order_by().values_list("device", flat=True).distinct())


def of_request(request: HttpRequest) -> Device | None:
    """Return the device whose token a request carries; None where it carries none that holds."""
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not token.strip():
        return None
    device = (
        Device.objects.select_related("person")
        .filter(token=_digest(token.strip()), revoked_at__isnull=True)
        .first()
    )
    if device is not None and (device.last_seen is None or clock.now() - device.last_seen > _SEEN_EVERY):
        device.last_seen = clock.now()
        device.save(update_fields=["last_seen"])
    return device


def revoke(device: Device) -> None:
    """Turn a device away from now on; what it wrote stays."""
    device.revoked_at = clock.now()
    device.save(update_fields=["revoked_at"])


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
