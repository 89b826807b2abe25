"""Kits of the outings that are coming or open, kept until something that they say has changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from django.db.models import Max, Q
from django.http import Http404
from django.utils.translation import gettext as _

from haulbook.custody.book import Book
from haulbook.custody.canonical import canonical, sha256_of
from haulbook.custody.facts import Account
from haulbook.office.compile_kit import compile_kit
from haulbook.problems import Refusal
from haulbook.shore.kit import Kit, kit_bytes, read_kit
from haulbook.station.models import Change, Confirmation, EntryRow, PermitFile, PlanVersion, Reading
from haulbook.station.store import book, permits, plans, readings, reference
from haulbook.station.store.noting import OUTING

OPEN = ("planned", "open")
"""States of outings that phones still go to."""
KIT = "kit"
"""Kind of reading."""
GONE = timedelta(days=14)
"""So long after its day a phone may still come home with lines of an outing."""
CALM = timedelta(minutes=10)
"""So long after other outings' lines came in phones are not yet asked to fetch a new kit: the next ones come soon."""
_COUNTS = ("move", "redetermination", "strike", "paper")
"""Kinds of entries without outing that can change what is left, or what was sent to an agency."""


@dataclass(frozen=True, slots=True)
class Offered:
    """An outing for which there is a kit. ``day`` as YYYY-MM-DD."""

    outing: str
    site: str
    day: str
    state: str


@dataclass(frozen=True, slots=True)
class Kept:
    """A kit as it is handed out: its text, and what it says of itself."""

    text: bytes
    outing: str
    site: str
    made_at: str
    digest: str


def offered(now: datetime) -> tuple[Offered, ...]:
    """Return the outings that a phone may go to or come home from, by day: three queries."""
    today = now.astimezone(ZoneInfo(reference.settings().zone)).date()
    first = (today - GONE).isoformat()
    states = dict(Reading.objects.filter(kind=OUTING).values_list("key", "brief__state"))
    rows = [row for row in plans.newest() if str(row.body.get("date", "")) >= first]
    found = [
        Offered(
            row.outing,
            str(row.body.get("site", "")),
            str(row.body["date"]),
            states.get(row.outing) or "planned",
        )
        for row in rows
    ]
    return tuple(sorted(found, key=lambda one: (one.day, one.outing)))


def next_of(every: tuple[Offered, ...], now: datetime, device: str | None = None) -> str | None:
    """Return the outing that a phone needs a kit for: the one it writes for, else the next one from today on."""
    open_ones = [one for one in every if one.state in OPEN]
    if device is not None:
        last = EntryRow.objects.filter(device=device, outing__isnull=False).order_by("-seq")
        own = last.values_list("outing", flat=True).first()
        if own in [one.outing for one in open_ones]:
            return own
    today = now.astimezone(ZoneInfo(reference.settings().zone)).date().isoformat()
    coming = [one.outing for one in open_ones if one.day >= today]
    return coming[0] if coming else None


def of_open(every: Sequence[Offered], now: datetime, first: str | None) -> tuple[Kept, ...]:
    """Return the kits of outings that are coming or open, one of them first; a plan that makes none is left out."""
    account = cache(readings.account)
    open_ones = [one.outing for one in every if one.state in OPEN]
    made = []
    for outing in sorted(open_ones, key=lambda one: one != first):
        with suppress(Refusal):  # the plan's own page says what is off
            made.append(kit_of(outing, now, account))
    return tuple(made)


def kit_of(outing: str, now: datetime, account: Callable[[], Account] = readings.account) -> Kept:
    """Return the kit of an outing, made anew where something that it says has changed.

    Parameters
    ----------
    outing : str
    now : datetime
    account : callable
        Gives the account of all outings, where a kit has to be made.

    Raises
    ------
    Http404
        Where there is no plan of that outing.
    Refusal
        With everything that the plan names and nobody knows.
    """
    row = plans.of_outing(outing)
    if row is None:
        raise Http404(_("There is no plan of {outing}.").format(outing=outing))
    inputs, position = _inputs(row), _position(outing, None)
    kept = Reading.objects.filter(kind=KIT, key=outing).first()
    if kept is not None and kept.body and (kept.brief.get("inputs"), kept.position) == (inputs, position):
        return _kept(kept)
    made = _compiled(row, now, account())
    if kept is not None and kept.body and _says(read_kit(kept.body.encode())) == _says(made):
        made = read_kit(kept.body.encode())  # nothing new: phones need not fetch it again
    kept, _created = Reading.objects.update_or_create(
        kind=KIT,
        key=outing,
        defaults={
            "wanted": position,
            "position": position,
            "brief": {
                "inputs": inputs,
                "site": str(made.plan["site"]),
                "made_at": made.made_at,
                "digest": made.digest,
            },
            "body": kit_bytes(made).decode(),
        },
    )
    return _kept(kept)


def _kept(row: Reading) -> Kept:
    said = row.brief
    return Kept(row.body.encode(), row.key, said["site"], said["made_at"], said["digest"])


def digest_now(outing: str | None, now: datetime) -> str | None:
    """Return the digest of the newest kit of an outing, without making one: few queries.

    Where the kit that was made last says something that no longer holds, a digest that no kit has: the phone then
    fetches the kit, which is made at that moment.
    """
    row = plans.of_outing(outing) if outing is not None else None
    if row is None:
        return None
    inputs, position = _inputs(row), _position(row.outing, now - CALM)
    kept = Reading.objects.filter(kind=KIT, key=row.outing).values("position", "brief").first()
    if kept is not None and kept["brief"].get("inputs") == inputs and position <= kept["position"]:
        return str(kept["brief"]["digest"])
    return sha256_of(f"{row.outing} {inputs} {position}")


def _inputs(row: PlanVersion) -> str:
    """Return what a kit is made of beside the book, as one digest."""
    newest = [
        kind._default_manager.aggregate(n=Max("pk"))["n"] for kind in (Change, PermitFile, Confirmation)
    ]
    return sha256_of(f"{row.outing} {row.number} {newest} {reference.pack_of_station().version}")


def _position(outing: str, until: datetime | None) -> int:
    """Return the last entry, come in until an instant, that can change a kit beside the outing's own lines."""
    others = Q(outing__isnull=False) & ~Q(outing=outing)
    rows = EntryRow.objects.filter(others | Q(outing__isnull=True, kind__in=_COUNTS))
    if until is not None:
        rows = rows.filter(received_at__lte=until)
    return rows.order_by("-position").values_list("position", flat=True).first() or 0


def _compiled(row: PlanVersion, now: datetime, account: Account) -> Kit:
    station = reference.station()
    plan = plans.read(row)
    site = station.sites.get(plan.site)
    zone = ZoneInfo(site.zone if site else reference.settings().zone)
    rows = EntryRow.objects.filter(Q(outing=row.outing) | Q(kind__in=("paper", "reading", "strike")))
    return compile_kit(
        plan,
        station,
        permits.permits(),
        reference.pack_of_station(),
        Book.of(book.entries_of(rows.order_by("position"))),
        now.astimezone(zone),
        account=account,
        plan_file=f"plan of {row.outing}",
    )


def _says(kit: Kit) -> str:
    """Return what a kit says beside when it was made and what was written since."""
    return canonical(
        kit.model_dump(mode="json", exclude_defaults=True, exclude={"made_at", "digest", "entries"})
    )
