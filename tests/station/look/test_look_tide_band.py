"""The tide of a day as a band: everything in its place, and in words for who can't see it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

import pytest

from haulbook.station.pages.patterns import tide_day
from haulbook.station.web.svg import silhouette, tide_band
from haulbook.taxa import load_pack

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def band():
    return ET.fromstring(str(tide_band(tide_day(), datetime(2027, 5, 21, 10, 24, tzinfo=UTC))))


def of(band, kind):
    return [one for one in band.iter() if one.get("class") == kind]


def percent(text):
    return float(text.removesuffix("%"))


def test_the_band_names_itself_and_says_the_day_in_words(band):
    assert band.get("role") == "img"
    assert band.find(f"{SVG}title").text == "Predicted tide on 21 May 2027"
    assert "low −0.20 m at 06:35 EDT" in band.find(f"{SVG}desc").text


def test_hauls_windows_and_now_stand_where_their_clock_says(band):
    first, *others = of(band, "haul")
    assert percent(first.get("x")) == pytest.approx(100 * (5 + 40 / 60) / 24, abs=0.01)
    assert len(others) == 2
    (chosen,) = of(band, "window chosen")
    assert percent(chosen.get("width")) == pytest.approx(100 * 193 / 60 / 24, abs=0.01)
    (now,) = of(band, "now")
    assert percent(now.get("x1")) == pytest.approx(100 * 6.4 / 24, abs=0.01)


def test_the_curve_is_lowest_at_low_water_and_highest_at_high_water(band):
    (curve,) = of(band, "curve")
    points = [tuple(map(float, pair.split(","))) for pair in curve.get("points").split()]
    across_of_low = max(points, key=lambda point: point[1])[0]
    assert across_of_low / 10 == pytest.approx(100 * (6 + 35 / 60) / 24, abs=1)
    assert all(0 < down < 76 for _, down in points)


def test_a_day_of_25_hours_has_25_hours(band):
    day = tide_day()
    longer = replace(day, ends=day.ends.replace(hour=5))
    assert (
        len(re.findall(r'class="hour', str(tide_band(longer))))
        == len(of(band, "hour")) + len(of(band, "hour fine")) + 1
    )


def test_now_outside_the_day_is_not_drawn():
    assert 'class="now"' not in str(tide_band(tide_day(), datetime(2027, 5, 23, tzinfo=UTC)))


def test_a_taxon_has_its_body_plan_and_what_has_none_has_no_drawing():
    pack = load_pack("nwatlantic")
    crab = next(key for key, taxon in pack.taxa.items() if taxon.group == "crab" and taxon.rank == "species")
    assert silhouette(crab, pack) == silhouette("crab")
    assert 'aria-hidden="true"' in silhouette("crab")
