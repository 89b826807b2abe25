"""The plan as JSON for the phone and for ``--json``; keys are documented in ``docs/reference/plan.md``."""

from __future__ import annotations

from typing import Any

from haulbook.office.plan_outing import Planned
from haulbook.office.planning.bucket_words import words_of
from haulbook.office.planning.chances import UNLIKELY, Chance, most_overall
from haulbook.office.planning.verdict import Choice
from haulbook.office.planning.water import DayWater
from haulbook.permit.headroom import Headroom
from haulbook.permit.plan import Reason
from haulbook.tide.clock import utc_text

FORM = 1
"""Number of the form; it rises when a key changes its meaning or goes."""


def plan_json(planned: Planned) -> dict[str, Any]:
    """Return the plan with stable keys: instants in UTC with Z, heights in metres above MLLW."""
    asked, chosen, place = planned.asked, planned.chosen, planned.place
    worst = chosen.worst if chosen else planned.nothing
    return {
        "plan": FORM,
        "made_at": utc_text(asked.now),
        "station": asked.station.name,
        "site": asked.site.key,
        "zone": asked.site.zone,
        "from": asked.first.isoformat(),
        "to": asked.last.isoformat(),
        "verdict": planned.verdict,
        "then": planned.then,
        "worst": _reason(worst) if worst else None,
        "assumed": asked.assumed,
        "chosen": _choice(chosen, planned) if chosen else None,
        "windows": [_window(choice) for choice in planned.choices],
        "days": [_day(day, planned) for day in planned.days],
        "tide": {
            "station": place.station.title,
            "interpolated": planned.curve.interpolated,
            "band_m": [place.band.least_m, place.band.most_m],
            "bed_m": asked.site.bed_m,
            "start": utc_text(planned.curve.start),
            "step_min": planned.curve.step.total_seconds() / 60,
            "height_cm": [round(height * 100) for height in planned.curve.heights_m],
            "extremes": [
                _extreme(one.time, one.height_m) | {"kind": one.kind} for one in planned.day.extremes
            ],
        },
        "sun": _light(planned.day),
        "crew": [{"person": key, "role": asked.station.people[key].role} for key in asked.crew],
        "people_present": asked.people_present,
        "gear": list(planned.gear),
        "buckets": _buckets(planned),
        "chances": _chances(planned),
        "checklist": [
            {"when": tick.when, "text": tick.text, "source": tick.source} for tick in planned.checklist
        ],
        "cautions": list(planned.cautions),
    }


def _window(choice: Choice) -> dict[str, Any]:
    window = choice.window
    return {
        "rank": choice.rank,
        "date": choice.day.isoformat(),
        "start": utc_text(window.start),
        "end": utc_text(window.end),
        "leg": window.leg,
        "low_time": utc_text(window.low.time),
        "low_m": round(window.low.height_m, 3),
        "minutes": round(window.minutes, 1),
        "daylight_minutes": round(window.daylight_minutes, 1),
        "minutes_in_weather": round(window.rough_minutes, 1),
        "hauls": window.hauls,
        "verdict": choice.verdict,
        "then": choice.then,
        "why": choice.why,
        "reasons": [_reason(reason) for reason in choice.reasons if reason.weight != "ok"],
    }


def _choice(choice: Choice, planned: Planned) -> dict[str, Any]:
    work = planned.place.terms.work
    return _window(choice) | {
        "reasons": [_reason(reason) for reason in choice.reasons],
        "outing": planned.asked.outing_on(choice.day),
        "set_up_min": work.setup_min,
        "haul_min": work.haul_min,
        "pack_out_min": work.packout_min,
        "wanted": planned.asked.hauls,
        "planned_hauls": [
            {
                "haul": haul.number,
                "set_at": utc_text(haul.set_at),
                "landed_by": utc_text(haul.landed_at or haul.set_at),
            }
            for haul in choice.hauls
        ],
        "headroom": [_headroom(room) for room in choice.headroom],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "weight": reason.weight,
        "message": reason.message,
        "permit": reason.permit,
        "clause": reason.clause,
        "quote": reason.quote,
        "haul": reason.haul,
        "until": utc_text(reason.until) if reason.until else None,
    }


def _headroom(room: Headroom) -> dict[str, Any]:
    clause = room.state.clause
    return {
        "permit": room.state.permit,
        "clause": clause.id,
        "version": clause.version,
        "basis": clause.basis.value if clause.basis else None,
        "period": clause.period.value,
        "limit": clause.limit,
        "used": room.state.n,
        "possible": room.state.possible,
        "left": room.left,
        "status": room.state.status.value,
        "text": clause.source.text,
    }


def _day(day: DayWater, planned: Planned) -> dict[str, Any]:
    choices = [choice for choice in planned.choices if choice.day == day.day]
    return {
        "date": day.day.isoformat(),
        **_light(day),
        "lows": [_extreme(low.time, low.height_m) for low in day.lows],
        "minutes": round(sum(choice.window.minutes for choice in choices), 1),
        "hauls": max((choice.window.hauls for choice in choices), default=0),
        "ranks": [choice.rank for choice in choices],
        "verdict": choices[0].verdict if choices else "no-go",
    }


def _light(day: DayWater) -> dict[str, Any]:
    light = day.light
    return {
        name: utc_text(at) if at else None
        for name, at in (
            ("dawn", light.dawn),
            ("sunrise", light.sunrise),
            ("sunset", light.sunset),
            ("dusk", light.dusk),
        )
    } | {"moon_phase": light.moon_phase}


def _extreme(time: Any, height_m: float) -> dict[str, Any]:
    return {"time": utc_text(time), "height_m": round(height_m, 3)}


def _buckets(planned: Planned) -> dict[str, Any]:
    needed = planned.buckets
    return {
        "keep": needed.keep,
        "keep_at_worst": needed.keep_at_worst,
        "keep_with_air": needed.keep_with_air,
        "all": needed.all,
        "litres": needed.litres,
        "air_per_h": needed.air_per_h,
        "temperature_c": round(needed.temperature_c, 1),
        "salinity": round(needed.salinity, 1),
        "carry_min": needed.carry_min,
        "past_hauls": needed.past,
        "suffices": needed.suffices,
        "words": list(words_of(needed)),
    }


def _chances(planned: Planned) -> dict[str, Any]:
    chances = planned.chosen.chances if planned.chosen else ()
    return {
        "comparable_hauls": len(planned.forecast.hauls),
        "given": planned.forecast.enough,
        "below": UNLIKELY,
        "most_hauls": most_overall(chances),
        "clauses": [_chance(chance) for chance in chances],
    }


def _chance(chance: Chance) -> dict[str, Any]:
    return {
        "permit": chance.permit,
        "clause": chance.clause.id,
        "version": chance.clause.version,
        "basis": chance.clause.basis.value if chance.clause.basis else None,
        "left": chance.left,
        "of_choice": chance.of_choice,
        "by_hauls": [round(share, 4) for share in chance.by_hauls],
        "most_hauls": chance.most,
        "animals_seen": chance.seen,
    }
