"""The plan page: one HTML file that stands alone, from plain values.

No script and no address outside the file, so it opens on a phone without signal; it prints on A4 and Letter.
"""

from __future__ import annotations

from functools import cache

from jinja2 import Environment

from haulbook.publish import marks, month_strip, words
from haulbook.publish.pages import environment
from haulbook.publish.plan_parts import PlanPage, in_per_cent
from haulbook.publish.tide_chart import description, metres, tide_chart

SHOWN_HAULS = 6
"""So many hauls ahead stand in the table of chances."""

CHIPS = {"go": "go", "go with limits": "near", "no-go": "stop"}
"""The mark that goes with each word."""


def render_plan(page: PlanPage) -> str:
    """Return the plan page as one HTML document.

    Parameters
    ----------
    page : PlanPage

    Returns
    -------
    str
        UTF-8 text to be written as it is. The same page gives the same text.
    """
    hours = month_strip.hours_of(page.days, page.tide.zone)
    return (
        _environment()
        .get_template("plan.html.j2")
        .render(
            page=page,
            chart=tide_chart(page.tide),
            chart_words=description(page.tide),
            hours=hours,
            months=month_strip.months(page.days),
            hauls_ahead=range(1, SHOWN_HAULS + 1),
            made=f"{words.day(page.made_at.date())}, {page.made_at:%H:%M}",
            clock=lambda at: month_strip.local_clock(at, page.tide.zone),
        )
    )


@cache
def _environment() -> Environment:
    return environment(
        several=words.several,
        headroom=marks.headroom,
        strip=month_strip.strip,
        low_to_name=month_strip.low_to_name,
        metres=metres,
        share=in_per_cent,
        day=words.day,
        weekday=words.weekday,
        chips=CHIPS,
    )
