"""A station of your own from a typed or pasted table."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from haulbook.problems import Refusal
from haulbook.tide import extremes, own_station, water_at

ABOUT = "# station: cove\n# zone: America/New_York\n# position: 41.46,-71.31\n# source: invented\n# taken: 2026-05-01\n"
TABLE = "constituent,amplitude_m,phase_deg\nZ0,0.529,\nM2,0.505,2.3\nK1,0.062,166.1\n"


def test_a_table_gives_a_station_with_its_vintage():
    station = own_station(ABOUT + TABLE, "cove.csv")
    assert (station.id, station.zone, station.mean_level_m) == ("cove", "America/New_York", 0.529)
    assert (station.latitude, station.longitude) == (41.46, -71.31)
    assert [(one.name, one.amplitude_m, one.phase_deg) for one in station.constants] == [
        ("M2", 0.505, 2.3),
        ("K1", 0.062, 166.1),
    ]
    assert str(station.vintage) == "invented, as of 2026-05-01"


def test_the_same_constants_give_the_same_tide_as_the_packaged_station(catalog):
    newport = catalog.find("8452660")
    rows = "\n".join(f"{one.name}\t{one.amplitude_m}\t{one.phase_deg}" for one in newport.constants)
    text = f"{ABOUT}Name\tamplitude_m\tphase_gmt\nZ0\t{newport.mean_level_m}\t\n{rows}\n"
    day = datetime(2027, 5, 14, tzinfo=UTC), datetime(2027, 5, 16, tzinfo=UTC)
    assert extremes(water_at(own_station(text, "x.csv"), {}), *day) == extremes(water_at(newport, {}), *day)


def test_feet_semicolons_decimal_commas_and_other_spellings_are_read():
    table = "constituent;amplitude_ft;phase_deg\nZ0;1,5;\nm2;1,0;2,3\nRHO1;0,1;10\nlambda2;0,1;10\n"
    station = own_station(ABOUT + table, "x.csv")
    assert station.mean_level_m == pytest.approx(0.4572)  # 1 ft = 0.3048 m
    assert [one.name for one in station.constants] == ["M2", "RHO", "LAM2"]
    assert station.constants[0].amplitude_m == pytest.approx(0.3048)


def problems_of(text):
    with pytest.raises(Refusal) as refused:
        own_station(text, "x.csv")
    return refused.value.problems


def test_a_table_without_mean_level_has_no_datum():
    (problem,) = problems_of(ABOUT + TABLE.replace("Z0,0.529,\n", ""))
    assert "heights would have no datum: add a row Z0" in problem.message


def test_every_problem_of_a_table_is_told_with_its_row():
    found = problems_of(
        "# position: 141,0\nconstituent,amplitude_m,phase_deg\n"
        "Z0,0.5,\nM2,0.5,1\nM2,0.4,1\nM22,0.1,1\nK1,x,1\nO1,99,1\n"
    )
    assert [(one.row, one.message) for one in found] == [
        (5, "M2 is there twice; keep one"),
        (6, "there is no constituent 'M22'; the nearest is 'M2'"),
        (7, "'x' is no number"),
        (8, "an amplitude lies between 0 and 10 m"),
        (None, "no position; add a line as # position: 41.46,-71.31 (latitude, longitude)"),
        (None, "no time zone; add a line as # zone: America/New_York"),
    ]


def test_a_quotation_mark_left_open_spoils_its_own_row_only():
    found = problems_of(ABOUT + 'constituent,amplitude_m,phase_deg\nZ0,0.5,\n"M2,0.5,1\nK1,0.1,3\n')
    assert [one.row for one in found] == [8]
    assert found[0].message == "'' is no number"


def test_a_mean_level_is_given_once_and_lies_above_low_water():
    head = ABOUT + "constituent,amplitude_m,phase_deg\nM2,0.5,1\n"
    assert [one.message for one in problems_of(head + "Z0,-50,\nZ0,0.5,\n")] == [
        "the mean level above mean lower low water lies between 0 and 10 m",
        "Z0 is there twice; keep one",
    ]


def test_an_amplitude_without_unit_and_a_local_phase_are_refused():
    found = problems_of(ABOUT + "Name,Amplitude,phase_local\nM2,0.5,1\n")
    assert [one.message for one in found][:2] == [
        "no column amplitude_m or amplitude_ft: the unit has to be said",
        "no column phase_deg (Greenwich; not the phase for local time)",
    ]


def test_an_unknown_zone_names_the_nearest():
    (problem,) = problems_of(ABOUT.replace("New_York", "New_Yrok") + TABLE)
    assert problem.message == "there is no time zone 'America/New_Yrok'; the nearest is 'America/New_York'"


def test_nothing_that_makes_a_daily_tide_is_refused():
    (problem,) = problems_of(ABOUT + "constituent,amplitude_m,phase_deg\nZ0,0.5,\nSA,0.1,10\n")
    assert problem.message.startswith("one of M2, S2, N2, K1, O1 has to be above 0")


@pytest.mark.parametrize(
    "text", ["", "\n\n", "# zone: UTC\n", "\ufeff", "constituent,amplitude_m,phase_deg\n"]
)
def test_an_empty_table_is_refused_in_words(text):
    assert any("no constants found" in one.message for one in problems_of(text))
