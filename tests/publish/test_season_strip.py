"""A season's lows: laid out in per cent, the deeper the longer. All heights are invented."""

from __future__ import annotations

import re
from datetime import date, timedelta

from haulbook.publish.season_strip import HEIGHT, DayLow, season_strip

FIRST = date(2027, 4, 1)
LOWS = [DayLow(FIRST + timedelta(days=i), 0.4 - 0.01 * i) for i in range(91)]


def drawn(outings=(), lows=LOWS):
    return str(season_strip(lows, outings, "the year's lows"))


def strokes(svg, kind="low"):
    found = re.findall(
        rf'<line class="{kind}" x1="([\d.]+)%" x2="[\d.]+%" y1="([\d.]+)%" y2="([\d.]+)%"/>', svg
    )
    return [tuple(map(float, one)) for one in found]


def test_every_day_has_a_stroke_and_a_lower_low_hangs_deeper():
    found = strokes(drawn())
    assert len(found) == len(LOWS)
    ends = [end for _across, _top, end in found]
    assert ends == sorted(ends)
    assert (ends[-1] - ends[0]) * HEIGHT / 100 > 80  # px between the highest and the lowest low


def test_nothing_is_scaled_and_all_of_it_stays_inside():
    svg = drawn([(FIRST, "1"), (LOWS[-1].day, "2")])
    assert "viewBox" not in svg
    places = [float(one) for one in re.findall(r'(?:x|y|x1|x2|y1|y2|cx|cy)="([\d.]+)%"', svg)]
    assert min(places) >= 0
    assert max(places) <= 100


def test_outings_are_ringed_and_those_close_together_stand_in_two_rows():
    svg = drawn([(date(2027, 5, 1), "1"), (date(2027, 5, 2), "2")])
    assert len(strokes(svg, "outing")) == 2
    rows = re.findall(r'<circle class="ring" cx="[\d.]+%" cy="([\d.]+)%"', svg)
    assert len(set(rows)) == 2


def test_an_outing_outside_the_picture_is_left_out_and_labels_are_escaped():
    svg = drawn([(date(2027, 1, 1), "1"), (date(2027, 5, 1), "<2>")])
    assert svg.count('class="ring"') == 1
    assert "&lt;2&gt;" in svg


def test_one_day_alone_is_drawn():
    assert len(strokes(drawn(lows=LOWS[:1]))) == 1
