"""The plan on paper: the page's words and drawings as PDF, one colour, to tick with a pencil."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from haulbook.problems import Refusal, unknown
from haulbook.publish import month_strip, words
from haulbook.publish.plan_page import SHOWN_HAULS
from haulbook.publish.plan_parts import DayStrip, PlanPage, in_per_cent
from haulbook.publish.tide_chart import metres, tide_chart

PAPERS = {"a4": "a4", "letter": "us-letter"}
MISSING = "the plan on paper needs the extra 'reports': pip install 'haulbook[reports]'"


def plan_paper(page: PlanPage, *, paper: str = "a4") -> bytes:
    """Return the plan as PDF.

    Parameters
    ----------
    page : PlanPage
    paper : {"a4", "letter"}

    Raises
    ------
    Refusal
        Another paper, or the extra ``reports`` is not installed.
    """
    if paper not in PAPERS:
        raise Refusal(unknown("paper", paper, PAPERS))
    try:
        import typst
    except ImportError:
        raise Refusal(MISSING) from None
    template = files("haulbook.publish").joinpath("templates/plan.typ").read_bytes()
    content = paper_content(page) | {"paper": PAPERS[paper]}
    pdf: bytes = typst.compile(template, sys_inputs={"plan": json.dumps(content)}, ignore_system_fonts=True)
    return pdf


def paper_content(page: PlanPage) -> dict[str, Any]:
    """Return what stands on the paper, as plain words, shares and one drawing."""
    zone = page.tide.zone
    hours = month_strip.hours_of(page.days, zone)
    return {
        "title": f"{page.title}, {page.site}",
        "station": page.station,
        "made": f"plan made {words.day(page.made_at.date())}, {page.made_at:%H:%M}; times are {page.zone}",
        "invented": page.invented,
        "headline": page.headline,
        "then": "" if page.then == page.verdict else f"Then: {page.then}.",
        "sentence": page.sentence,
        "findings": [
            {
                "said": list(one.said),
                "quoted": one.quoted or "",
                "where": one.where or "",
                "weight": one.weight,
            }
            for one in page.findings
        ],
        "chart": str(tide_chart(page.tide, paper=True)),
        "alt": f"Tide on {words.day(page.tide.day)}; the same in numbers stands beside it",
        "turns": [
            [one.kind, month_strip.local_clock(one.time, zone), metres(one.height_m)]
            for one in page.tide.extremes
        ],
        "ticks_at": [[at, label] for at, label in hours.ticks],
        "months": [
            {"heading": heading, "days": [_day(day, hours) for day in days]}
            for heading, days in month_strip.months(page.days)
        ],
        "windows": [_window(page, i) for i in range(len(page.windows))],
        "limits": [[one.clause, one.sentence, one.status] for one in page.limits],
        "chances_head": ["clause", "counts", "left", *(str(n) for n in range(1, SHOWN_HAULS + 1))],
        "chances": [
            [
                one.clause,
                f"{one.animals}, {one.counted_as}{' (a choice)' if one.of_choice else ''}",
                "" if one.left is None else str(one.left),
                *(in_per_cent(chance) for chance in one.by_hauls[:SHOWN_HAULS]),
            ]
            for one in page.chances
        ],
        "chances_note": f"Chance in per cent that so many hauls overstep a clause; bound {100 * page.unlikely:g}.",
        "chances_said": list(page.chances_said),
        "crew": list(page.crew),
        "gear": list(page.gear),
        "buckets": list(page.buckets),
        "ticks": [
            {"heading": group.heading, "lines": [list(line) for line in group.lines]} for group in page.ticks
        ],
        "cautions": list(page.cautions),
        "facts": [f"{term}: {value}" for term, value in page.facts],
    }


def _day(day: DayStrip, hours: month_strip.Hours) -> dict[str, Any]:
    def inside(*moments: Any) -> list[float]:
        return [min(100.0, max(0.0, hours.across(at, day.day))) for at in moments]

    low = month_strip.low_to_name(day)
    lows = [hours.across(one.time, day.day) for one in day.lows]
    place = f"{day.rank}." if day.rank and day.rank <= 3 else ""
    return {
        "label": f"{day.day.day} {words.weekday(day.day)[:2]}",
        "low": month_strip.local_clock(low.time, hours.zone) if low else "",
        "height": metres(low.height_m)[:-2] if low else "",
        "light": inside(*day.light) if day.light else [],
        "windows": [inside(*span) for span in day.windows],
        "lows": [at for at in lows if 0 <= at <= 100],
        "minutes": f"{day.minutes:.0f}" if day.windows else "none",
        "hauls": str(day.hauls) if day.windows else "",
        "note": " ".join(part for part in (place, "chosen" if day.chosen else "") if part),
    }


def _window(page: PlanPage, i: int) -> list[str]:
    one, zone = page.windows[i], page.tide.zone
    minutes = (one.end - one.start).total_seconds() / 60
    word = one.verdict if one.then == one.verdict else f"{one.verdict}, then {one.then}"
    return [
        str(one.rank),
        f"{words.weekday(one.day)[:3]} {words.day(one.day)}",
        f"{month_strip.local_clock(one.start, zone)} to {month_strip.local_clock(one.end, zone)}",
        f"{minutes:.0f}",
        f"{min(one.hauls, one.wanted)} of {one.wanted}",
        word,
    ]
