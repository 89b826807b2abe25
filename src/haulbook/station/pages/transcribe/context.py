"""What reading a sheet needs of the station: taxa, places, plan, zone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.http import Http404
from django.utils.translation import gettext as _

from haulbook.custody.canonical import admitted, canonical, sha256_of
from haulbook.custody.when import When
from haulbook.exchange.plan_toml import Plan
from haulbook.exchange.station_toml import Station
from haulbook.office.read_typing import read_typing
from haulbook.office.sheet_read import SheetRead
from haulbook.office.typed_sheet import TypedSheet
from haulbook.problems import Refusal
from haulbook.station.store import permits, plans, reference
from haulbook.taxa import Pack


@dataclass(frozen=True, slots=True)
class OutingAtDesk:
    """An outing whose sheets are typed.

    Attributes
    ----------
    outing, day : str
        Key, and local day as ``2027-05-14``.
    zone : str
        Of the planned site, else the station's.
    plan : Plan or None
    plan_body : dict or None
        As stored.
    """

    outing: str
    day: str
    zone: str
    station: Station
    pack: Pack
    plan: Plan | None
    plan_body: dict[str, Any] | None

    @property
    def keep(self) -> str | None:
        """The plan's bucket to keep."""
        buckets = self.plan.buckets if self.plan else ()
        return next((bucket.place for bucket in buckets if bucket.purpose == "keep"), None)

    def read(self, sheet: TypedSheet, names: dict[str, str] | None = None) -> SheetRead:
        """Read a sheet of this outing."""
        return read_typing(
            sheet, pack=self.pack, station=self.station, day=self.day, zone=self.zone, answers=names or {}
        )

    def opening(self) -> dict[str, Any]:
        """Return the body with which the outing is opened, where the book does not have it yet."""
        body = admitted(self.plan_body) if self.plan_body else None
        relied = self.plan.permits if self.plan else ()
        noon = datetime.combine(date.fromisoformat(self.day), time(12), ZoneInfo(self.zone))
        return {
            "plan": body,
            "digest": sha256_of(canonical(body)) if body else None,
            "pack": self.pack.key,
            "version": self.pack.version,
            "permits": [
                {"permit": permit.no, "version": permit.version_at(noon) or "-"}
                for permit in (permits.permits() if relied else ())
                if permit.no in relied
            ],
            "looked_for": list(self.plan.looked_for) if self.plan else [],
        }


def at_desk(outing: str) -> OutingAtDesk:
    """Return what reading an outing's sheets needs.

    Raises
    ------
    Http404
        The key names no day.
    """
    day = outing[:10]
    try:
        named = len(day) == len("2027-05-14") and When(day).first_day is not None
    except Refusal:
        named = False
    if not named:
        raise Http404(_("{outing} is no outing with a day of its own.").format(outing=outing))
    row = plans.of_outing(outing)
    plan = plans.read(row) if row else None
    station = reference.station()
    site = station.sites.get(plan.site) if plan else None
    return OutingAtDesk(
        outing=outing,
        day=day,
        zone=site.zone if site else reference.settings().zone,
        station=station,
        pack=reference.pack_of_station(),
        plan=plan,
        plan_body=row.body if row else None,
    )
