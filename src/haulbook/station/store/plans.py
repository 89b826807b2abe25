"""Plans of outings: every version is kept, the newest counts."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import transaction

from haulbook.exchange.plan_toml import Plan, plan_of
from haulbook.station import clock
from haulbook.station.models import PlanVersion


def newest() -> list[PlanVersion]:
    """Return the newest version of each outing's plan, in order of outings; dropped ones are left out."""
    found: dict[str, PlanVersion] = {}
    for row in PlanVersion.objects.order_by("outing", "number"):
        found[row.outing] = row
    return [row for row in found.values() if not row.dropped]


def of_outing(outing: str) -> PlanVersion | None:
    """Return the newest version of an outing's plan; None without one."""
    row = PlanVersion.objects.filter(outing=outing).order_by("-number").first()
    return None if row is None or row.dropped else row


def read(row: PlanVersion) -> Plan:
    """Return a stored plan as the domain knows it."""
    return plan_of(_with_dates(row.body), f"plan of {row.outing}")


def keep(body: dict[str, Any], by: str, note: str = "", *, dropped: bool = False) -> PlanVersion:
    """Keep a plan as its outing's newest version.

    Parameters
    ----------
    body : dict
        Keys of a plan file; dates and instants as text (``2027-05-14``).

    Raises
    ------
    Refusal
        With everything that is off in the plan.
    """
    plan = plan_of(_with_dates(body), "the plan")
    with transaction.atomic():
        last = PlanVersion.objects.filter(outing=plan.outing).order_by("-number").first()
        return PlanVersion.objects.create(
            outing=plan.outing,
            number=last.number + 1 if last else 1,
            body=body,
            note=note,
            dropped=dropped,
            at=clock.now(),
            by=by,
        )


def _with_dates(body: dict[str, Any]) -> dict[str, Any]:
    """Return a plan's keys with its date and instants as a TOML file would give them."""
    made = dict(body)
    if isinstance(made.get("date"), str):
        made["date"] = date.fromisoformat(made["date"])
    if "paper" in made:
        made["paper"] = [
            {**one, "at": datetime.fromisoformat(one["at"])} if isinstance(one.get("at"), str) else one
            for one in made["paper"]
        ]
    return made
