"""The chosen window as an entry of a calendar."""

from __future__ import annotations

import hashlib
from datetime import timedelta

from haulbook.exchange.ics import Alarm, Event, Status
from haulbook.office.plan_outing import Planned
from haulbook.office.planning.checklist import turn_round
from haulbook.office.planning.verdict import Choice
from haulbook.tide.cautions import WEATHER
from haulbook.tide.clock import say_clock, say_day

EVENING_BEFORE = timedelta(hours=12)


def plan_event(planned: Planned) -> Event | None:
    """Return the event of what was chosen; None where there is no window.

    Its UID hangs on station, site and outing alone, so a later plan of the same outing updates it. A no-go that a
    notice in time can mend is tentative; any other is cancelled.
    """
    chosen, asked = planned.chosen, planned.asked
    if chosen is None:
        return None
    window, zone = chosen.window, asked.zone
    outing = asked.outing_on(chosen.day)
    key = "\n".join((asked.station.name, asked.site.key, outing))
    out_by, _ = turn_round(window, planned.place.terms.work)
    return Event(
        uid=f"{hashlib.sha256(key.encode()).hexdigest()[:32]}@haulbook",
        start=window.start,
        end=window.end,
        summary=f"Seine outing, {asked.site.key}, {say_clock(window.start, zone)}: {chosen.verdict}",
        description="\n".join(_description(planned, chosen)),
        status=_status(chosen),
        location=asked.site.key,
        position=asked.site.position if asked.site.coarsen_km == 0 else None,
        alarms=(
            Alarm(EVENING_BEFORE, f"Seine outing in 12 hours. Now: {chosen.verdict}. Look at the forecast."),
            Alarm(window.end - out_by, f"{say_clock(out_by, zone)}: out of the water, pack up.", of="end"),
        ),
    )


def _status(chosen: Choice) -> Status:
    if chosen.then == "no-go":
        return "CANCELLED"
    return "CONFIRMED" if chosen.verdict == "go" else "TENTATIVE"


def _description(planned: Planned, chosen: Choice) -> list[str]:
    window, zone = chosen.window, planned.asked.zone
    height = round(window.low.height_m, 2) + 0.0  # no minus before 0.00
    against = [reason.message for reason in chosen.reasons if reason.weight != "ok"]
    return [
        f"{say_day(chosen.day)}, {say_clock(window.start, zone)} to {say_clock(window.end, zone)}: {chosen.verdict}.",
        f"Low {height:+.2f} m at {say_clock(window.low.time, zone)}, heights above mean lower low water.",
        f"{len(chosen.hauls)} of {planned.asked.hauls} hauls fit.",
        *against,
        WEATHER,
    ]
