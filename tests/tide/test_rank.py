"""Which window comes first, and the words for why."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from haulbook.problems import Refusal
from haulbook.tide import Extreme, Terms, Window, rank
from haulbook.tide.clock import zone_of
from haulbook.tide.rank import why
from haulbook.tide.terms import rule_of

START = datetime(2027, 5, 14, 12, tzinfo=UTC)
TERMS = Terms(date(2027, 5, 14), date(2027, 5, 20), zone_of("America/New_York"), (41.5, -71.3))
WINDOW = Window(
    start=START,
    end=START + timedelta(minutes=141),
    leg="both",
    low=Extreme(START + timedelta(minutes=90), -0.12, "low"),
    daylight_minutes=141,
    hauls=3,
    spare_minutes=1,
    falling_share=90 / 141,
    fastest_m_per_h=0.31,
    slack=None,
    rough_minutes=96,
    rough_shift_minutes=12,
    interpolated=False,
)


def order(*windows, terms=TERMS):
    return [windows.index(one.window) for one in rank(windows, terms)]


def test_more_of_the_wanted_hauls_come_first_and_more_than_wanted_bring_nothing():
    two, five = replace(WINDOW, hauls=2), replace(WINDOW, hauls=5, start=START + timedelta(days=1))
    assert order(two, five, WINDOW) == [2, 1, 0]


def test_then_the_share_of_ebb_then_minutes_to_spare_then_the_hour():
    flood = replace(WINDOW, falling_share=0.0)
    roomy = replace(WINDOW, spare_minutes=40)
    night = replace(WINDOW, start=START - timedelta(hours=5))
    assert order(flood, night, WINDOW, roomy) == [3, 2, 1, 0]


def test_ties_go_by_date():
    later = replace(WINDOW, start=START + timedelta(days=1))
    assert order(later, WINDOW) == [1, 0]


def test_the_rule_can_be_turned_round():
    flood = replace(WINDOW, falling_share=0.0, hauls=3)
    ebb = replace(WINDOW, falling_share=1.0, hauls=1)
    assert order(flood, ebb) == [0, 1]
    assert order(flood, ebb, terms=replace(TERMS, rule=rule_of("falling,hauls,spare,hour"))) == [1, 0]


def test_an_unknown_score_is_refused_with_the_nearest():
    with pytest.raises(Refusal, match="there is no score 'haulz'; the nearest is 'hauls'"):
        rule_of("haulz,falling,spare,hour")


def test_ranks_count_from_one():
    assert [one.rank for one in rank([WINDOW, replace(WINDOW, hauls=1)], TERMS)] == [1, 2]


def test_the_reason_names_every_part_of_the_score():
    assert why(WINDOW, TERMS) == (
        "3 hauls fit in 141 minutes, 1 to spare; 64 % ebb, low -0.12 m at 09:30 EDT; "
        "height changes by up to 0.31 m/h; "
        "with 0.15 m of weather 96 minutes, begun up to 12 earlier or later; all in daylight"
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"hauls": 0}, "no haul fits in 141 minutes"),
        ({"hauls": 1}, "1 haul fits in 141 minutes, 1 to spare"),
        ({"hauls": 5}, "5 hauls fit (3 wanted) in 141 minutes"),
        ({"leg": "ebb"}, "all ebb, low -0.12 m"),
        ({"leg": "flood"}, "all flood, low -0.12 m"),
        ({"rough_minutes": 0}, "with 0.15 m of weather nothing may be left"),
        ({"daylight_minutes": 0}, "all in the dark"),
        ({"daylight_minutes": 100}, "41 minutes in the dark"),
        ({"start": START - timedelta(hours=3)}, "begins before 06:00"),
        ({"interpolated": True}, "times interpolated, to 5 minutes"),
    ],
)
def test_the_reason_says_what_is_out_of_the_ordinary(change, words):
    assert words in why(replace(WINDOW, **change), TERMS)


def test_an_observed_slack_lag_is_said_with_its_time():
    terms = replace(TERMS, slack_lag_min=20)
    window = replace(WINDOW, slack=WINDOW.low.time + timedelta(minutes=20))
    assert "slack current seen here +20 minutes from low, at 09:50 EDT" in why(window, terms)


def test_a_window_whose_daylight_was_asked_for_does_not_repeat_it():
    assert "daylight" not in why(WINDOW, replace(TERMS, in_daylight=True))
