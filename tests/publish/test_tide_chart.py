"""The tide drawn: everything that is shaded or labelled stands where the numbers say; all of it invented."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest

from haulbook.publish.month_strip import Hours, hours_of, low_to_name, months, strip
from haulbook.publish.plan_parts import DayStrip, TideDay
from haulbook.publish.tide_chart import PAPER_WIDTH, description, metres, tide_chart
from haulbook.tide import Extreme, daylight, over_bed
from haulbook.tide.clock import day_start

ZONE = ZoneInfo("America/New_York")
DAY = date(2027, 5, 21)
SVG = "{http://www.w3.org/2000/svg}"


def at(clock: str, day=DAY) -> datetime:
    return datetime.combine(day, datetime.strptime(clock, "%H:%M").time(), ZONE).astimezone(UTC)  # noqa: DTZ007


def tide_day(day=DAY, **changes) -> TideDay:
    begins, ends = day_start(day, ZONE), day_start(day + timedelta(days=1), ZONE)
    step = timedelta(minutes=10)
    count = (ends - begins) // step + 1
    # A plain cosine, low at 06:00 and 18:00 UTC-4 and 0.8 m of range: a rough curve, no prediction.
    heights = tuple(0.4 - 0.4 * math.cos((i / 6 - 6) * math.pi / 6) + 0.0 for i in range(count))
    return TideDay(
        **{
            "day": day,
            "zone": ZONE,
            "begins": begins,
            "ends": ends,
            "heights_m": heights,
            "step": step,
            "interpolated": False,
            "extremes": (
                Extreme(at("00:00", day), 0.8, "high"),
                Extreme(at("06:00", day), 0.0, "low"),
                Extreme(at("12:00", day), 0.8, "high"),
                Extreme(at("18:00", day), -0.004, "low"),
            ),
            "band": over_bed(-0.5, 0.6, 1.0),
            "bed_m": -0.5,
            "light": daylight(41.46, -71.31, day, ZONE),
            "windows": ((at("06:00", day), at("09:00", day)), (at("15:00", day), at("18:00", day))),
            "chosen": (at("06:00", day), at("09:00", day)),
            "hauls": ((at("06:30", day), at("07:00", day)), (at("07:00", day), at("07:30", day))),
            **changes,
        }
    )


def parsed(day, **how):
    return ET.fromstring(str(tide_chart(day, **how)))


def of_class(svg, tag, kind):
    return [one for one in svg.iter(f"{SVG}{tag}") if kind in one.get("class", "").split()]


def texts(svg):
    return ["".join(one.itertext()) for one in svg.iter(f"{SVG}text")]


@pytest.fixture(scope="module")
def svg():
    return parsed(tide_day())


def test_it_is_one_image_with_a_title_and_a_description_that_says_the_numbers(svg):
    assert svg.get("role") == "img"
    named = svg.get("aria-labelledby").split()
    found = {one.get("id"): one.text for one in svg if one.get("id")}
    assert [found[name] for name in named] == ["Predicted tide on 21 May 2027", description(tide_day())]
    said = found[named[1]]
    assert "high +0.80 m at 00:00 EDT, low +0.00 m at 06:00 EDT" in said
    assert re.search(r"Daylight from 05:\d\d EDT to 20:\d\d EDT\.", said)
    assert "water between 0.10 and 0.50 m; the bed lies at −0.50 m" in said
    assert "Windows: 06:00 EDT to 09:00 EDT, 15:00 EDT to 18:00 EDT." in said


def test_every_high_and_low_stands_by_its_number(svg):
    said = texts(svg)
    for words in ("06:00", "+0.00 m", "12:00", "+0.80 m", "18:00"):
        assert words in said
    assert "−0.00 m" not in said
    assert len(of_class(svg, "path", "low")) == 2


def test_the_window_is_shaded_from_its_start_to_its_end_and_the_chosen_one_is_marked(svg):
    places = [(one.get("x"), one.get("width")) for one in of_class(svg, "rect", "window")]
    assert places == [("25.00%", "12.50%"), ("62.50%", "12.50%")]
    (chosen,) = of_class(svg, "rect", "chosen")
    assert chosen.get("x") == "25.00%"


def test_the_band_is_shaded_between_its_edges_and_they_are_named_by_depth(svg):
    (band,) = of_class(svg, "rect", "band")
    edges = sorted(float(one.get("y1")) for one in of_class(svg, "line", "edge"))
    assert edges == pytest.approx(
        [float(band.get("y")), float(band.get("y")) + float(band.get("height"))], abs=0.11
    )
    assert {"1.0 m deep", "0.6 m deep"} <= set(texts(svg))
    # Heights go linearly: half a metre of band on the scale that the curve has.
    curve = of_class(svg, "polyline", "curve")[0].get("points").split()
    downs = [float(point.split(",")[1]) for point in curve]
    per_metre = (max(downs) - min(downs)) / 0.8
    assert float(band.get("height")) == pytest.approx(0.4 * per_metre, abs=0.2)


def test_night_is_shaded_before_sunrise_and_after_sunset(svg):
    light = tide_day().light
    share = [100 * ((time - tide_day().begins) / timedelta(days=1)) for time in (light.sunrise, light.sunset)]
    before, after = of_class(svg, "rect", "night")
    assert float(before.get("width").rstrip("%")) == pytest.approx(share[0], abs=0.01)
    assert float(after.get("x").rstrip("%")) == pytest.approx(share[1], abs=0.01)
    assert {"sunrise", "sunset"} <= set(texts(svg))


def test_hauls_are_blocks_and_nothing_is_drawn_outside(svg):
    assert len(of_class(svg, "rect", "haul")) == 2
    for one in svg.iter(f"{SVG}rect"):
        left = float((one.get("x") or "0").rstrip("%"))
        width = float(one.get("width").rstrip("%"))
        assert left >= 0
        assert left + width <= 100.01


def test_a_dark_day_is_night_all_over_and_says_so():
    dark = daylight(78.2, 15.6, date(2027, 12, 21), ZoneInfo("Arctic/Longyearbyen"))
    svg = parsed(tide_day(light=dark, windows=(), chosen=None, hauls=()))
    (night,) = of_class(svg, "rect", "night")
    assert night.get("width") == "100.00%"
    assert "no daylight on this day" in texts(svg)
    assert "No window on this day." in description(tide_day(light=dark, windows=()))


@pytest.mark.parametrize(("day", "hours"), [(date(2027, 3, 14), 23), (date(2027, 11, 7), 25)])
def test_on_the_days_on_which_clocks_change_the_hours_stand_where_they_are(day, hours):
    ticks = {
        "".join(one.itertext()): float(one.get("x").rstrip("%"))
        for one in parsed(tide_day(day)).iter(f"{SVG}text")
        if re.fullmatch(r"\d\d", "".join(one.itertext()))
    }
    shift = hours - 24
    assert ticks["12"] == pytest.approx(100 * (12 + shift) / hours, abs=0.01)
    assert ticks["24"] == 100


def test_a_drawn_curve_says_that_it_is_drawn():
    assert "drawn between highs and lows" in description(tide_day(interpolated=True))
    assert "drawn between" not in description(tide_day())


def test_on_paper_it_has_sizes_and_inks_of_its_own_and_no_variable():
    text = str(tide_chart(tide_day(), paper=True))
    assert f'width="{PAPER_WIDTH}"' in text
    assert "<style>" in text
    assert "var(" not in text
    assert "<style>" not in str(tide_chart(tide_day()))


def test_heights_have_a_true_minus_and_no_minus_before_nothing():
    assert (metres(-0.214), metres(-0.001), metres(1.256)) == ("−0.21 m", "+0.00 m", "+1.26 m")


def day_strip(day=DAY, **changes) -> DayStrip:
    return DayStrip(
        **{
            "day": day,
            "light": (at("05:00", day), at("20:00", day)),
            "lows": (Extreme(at("01:00", day), 0.1, "low"), Extreme(at("13:30", day), -0.1, "low")),
            "windows": ((at("12:00", day), at("15:00", day)),),
            "minutes": 180.0,
            "hauls": 4,
            "verdict": "go",
            **changes,
        }
    )


def test_a_strip_shows_daylight_windows_and_the_lows_within_its_hours():
    hours = Hours(4, 20, ZONE)
    drawn = str(strip(day_strip(), hours))
    assert '<rect class="window" x="50.00%" width="18.75%"' in drawn
    assert '<line class="light" x1="6.25%" x2="100.00%"' in drawn
    assert drawn.count('class="low"') == 1  # 01:00 lies outside
    assert 'aria-hidden="true"' in drawn


def test_hours_run_from_the_earliest_light_to_the_latest():
    later = day_strip(DAY + timedelta(days=1), light=(at("04:50"), at("20:10")))
    hours = hours_of([day_strip(), replace(later, day=DAY)], ZONE)
    assert (hours.first, hours.last) == (4, 21)
    assert [label for _, label in hours.ticks] == ["04", "06", "08", "10", "12", "14", "16", "18", "20"]
    assert hours_of([day_strip(light=None)], ZONE) == Hours(0, 24, ZONE)


def test_the_low_that_is_named_lies_in_a_window_or_in_daylight_if_one_does():
    assert low_to_name(day_strip()).height_m == -0.1
    assert low_to_name(day_strip(windows=())).height_m == -0.1
    assert low_to_name(day_strip(windows=(), light=None)).height_m == 0.1
    assert low_to_name(day_strip(lows=())) is None


def test_days_stand_under_their_month():
    found = months([day_strip(date(2027, 5, 31)), day_strip(date(2027, 6, 1)), day_strip(date(2027, 6, 2))])
    assert [(heading, len(days)) for heading, days in found] == [("May 2027", 1), ("June 2027", 2)]
