"""Finding a station by number, by name and by position."""

from __future__ import annotations

import pytest

from haulbook.problems import Refusal
from haulbook.tide import distance_km, water_at


def test_a_number_finds_its_station(catalog):
    station = catalog.find("8452660")
    assert station.title == "8452660 Newport (41.5043 N, 71.3261 W)"
    assert station.zone == "America/New_York"
    assert station.epoch == (1983, 2001)
    # NOAA datums of 8452660: MSL 0.529 above MLLW; HAT 1.580; LAT -0.293.
    assert (station.mean_level_m, station.lowest_m, station.highest_m) == (0.529, -0.293, 1.58)


def test_a_name_that_only_one_station_has_finds_it_too(catalog):
    assert catalog.find("whitney point").id == "9445246"


def test_a_name_that_several_have_is_asked_back_with_their_numbers(catalog):
    with pytest.raises(
        Refusal, match=r"tide stations are called 'Portland'; give the number: 8418150 Portland"
    ):
        catalog.find("Portland")


def test_an_unknown_name_is_refused_with_the_nearest_three(catalog):
    with pytest.raises(Refusal) as refused:
        catalog.find("Whitny Point")
    text = str(refused.value)
    assert text.startswith("there is no tide station 'Whitny Point'; the nearest three are ")
    assert text.count(";") == 3
    assert "9445246 Whitney Point" in text


def test_an_unknown_number_is_refused_with_the_three_closest_numbers(catalog):
    with pytest.raises(Refusal, match=r"no tide station '8452661'; the nearest three are 8452660 Newport"):
        catalog.find("8452661")


@pytest.mark.parametrize("word", ["", "   ", "....", "zzzzqqqq"])
def test_a_word_like_nothing_is_refused_and_not_matched_to_the_nameless_station(catalog, word):
    with pytest.raises(Refusal, match="there is no tide station"):
        catalog.find(word)


def test_near_lists_by_distance(catalog):
    found = catalog.near(41.46, -71.31, most=4)
    assert [one.id for one, _ in found[:2]] == ["8453201", "8452660"]
    assert [away for _, away in found] == sorted(away for _, away in found)


def test_a_degree_of_latitude_is_111_km(catalog):
    station = catalog.find("8452660")
    # A 21600th of the circumference is a nautical mile, near enough 1.852 km.
    assert distance_km(station.latitude + 1, station.longitude, station) == pytest.approx(
        60 * 1.852, rel=0.002
    )


def test_near_works_across_the_date_line(catalog):
    found = catalog.near(52.0, 179.9, most=3)
    assert found[0][1] < 200


def test_a_station_without_constants_says_so(catalog):
    with pytest.raises(Refusal, match="has no published constants; choose another station near it"):
        water_at(catalog.find("8660754"), catalog.stations)


def test_a_station_without_a_datum_says_so(catalog):
    with pytest.raises(
        Refusal, match=r"no mean sea level above mean lower low water, so heights would have no datum"
    ):
        water_at(catalog.find("8519024"), catalog.stations)
