"""The page's water, light and clock times: the tide room's within what the kit's samples can tell."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from haulbook.custody.when import When
from haulbook.shore import kit_bytes
from haulbook.tide import Terms, extremes, find_windows, load_catalog, over_bed, water_at

pytestmark = pytest.mark.browser

ZONE = ZoneInfo("America/New_York")


@pytest.fixture(scope="module")
def kit(tool):
    return tool("case_kits").demo_kit()


@pytest.fixture(scope="module")
def kit_json(kit):
    return json.loads(kit_bytes(kit))


@pytest.fixture(scope="module")
def water():
    catalog = load_catalog()
    return water_at(catalog.find("8452660"), catalog.stations)


def ms(at):
    return round(at.timestamp() * 1000)


def test_the_height_at_any_minute_is_within_two_centimetres_of_the_prediction(js, kit, kit_json, water):
    start = datetime.fromisoformat(kit.tide.start)
    times = [start + timedelta(minutes=7 * n, seconds=13) for n in range(300)]
    found = js(
        "reckon/tide.js", "data[1].map((t) => m.heightAt(data[0], t))", [kit_json, [ms(one) for one in times]]
    )
    wanted = 100 * water.heights(np.array([one.timestamp() for one in times]))
    np.testing.assert_allclose(found, wanted, atol=2.0, rtol=0)


def test_outside_the_curve_and_without_a_tide_there_is_no_height(js, kit, kit_json):
    start = ms(datetime.fromisoformat(kit.tide.start))
    end = start + 600_000 * (len(kit.tide.height_cm) - 1)
    asked = [start - 1, start, end, end + 1]
    before, first, last, after = js(
        "reckon/tide.js", "data[1].map((t) => m.heightAt(data[0], t))", [kit_json, asked]
    )
    assert (before, after) == (None, None)
    assert (first, last) == (kit.tide.height_cm[0], kit.tide.height_cm[-1])
    none = js(
        "reckon/tide.js",
        "[m.heightAt(data, 1), m.nextTurn(data, 1), m.windowOf(data), m.curve(data, 1, 2)]",
        {"tide": None},
    )
    assert none == [None, None, None, []]


def test_the_next_turn_is_the_tide_rooms_to_the_minute(js, kit, kit_json, water):
    start = datetime.fromisoformat(kit.tide.start)
    times = [start + timedelta(minutes=11 * n) for n in range(130)]
    turns = extremes(water, start, start + timedelta(hours=37))
    found = js(
        "reckon/tide.js", "data[1].map((t) => m.nextTurn(data[0], t))", [kit_json, [ms(one) for one in times]]
    )
    for at, page in zip(times, found, strict=True):
        wanted = next(turn for turn in turns if turn.time > at - timedelta(seconds=30))
        if abs(wanted.time - at) > timedelta(minutes=1):
            assert abs(page["t"] - ms(wanted.time)) <= 30_000
            assert (page["kind"], abs(page["cm"] - 100 * wanted.height_m) <= 0.5) == (wanted.kind, True)


def test_the_working_window_is_the_tide_rooms_within_the_samples(js, kit, kit_json, water):
    """2 cm of height are some minutes of time where the water rises slowly: five, on this shore."""
    day = datetime.fromisoformat(kit.tide.start).date()
    terms = Terms(day, day, ZONE, light_at=(41.46, -71.31), in_daylight=True)
    least, most = (cm / 100 for cm in kit.tide.depth_cm)
    windows = find_windows(water, over_bed(kit.tide.bed_cm / 100, least, most), terms)
    low = datetime.fromisoformat(kit.tide.turn.at)
    wanted = [one for one in windows if abs(one.low.time - low) < timedelta(minutes=2)]
    page = js("reckon/tide.js", "m.windowOf(data)", kit_json)
    assert abs(page["from"] - ms(wanted[0].start)) <= 300_000
    assert abs(page["to"] - ms(wanted[-1].end)) <= 300_000
    assert page["bandCm"] == [kit.tide.bed_cm + 30, kit.tide.bed_cm + 100]
    assert page["turn"]["at"] == kit.tide.turn.at


def test_a_band_that_the_water_leaves_at_low_gives_two_spans_around_it(js, kit_json):
    high_bed = {**kit_json, "tide": {**kit_json["tide"], "bed_cm": 10}}
    page = js("reckon/tide.js", "m.windowOf(data)", high_bed)
    (before, after) = page["spans"]
    low = ms(datetime.fromisoformat(kit_json["tide"]["turn"]["at"]))
    assert before[1] < low < after[0]
    assert (page["from"], page["to"]) == (before[0], after[1])
    ends = js(
        "reckon/tide.js", "data[1].map((t) => m.heightAt(data[0], t))", [high_bed, [before[1], after[0]]]
    )
    assert ends == pytest.approx([40, 40], abs=1e-6)


def test_the_curve_has_both_ends_and_every_sample_between_them(js, kit, kit_json):
    start = ms(datetime.fromisoformat(kit.tide.start))
    points = js(
        "reckon/tide.js", "m.curve(data[0], data[1], data[2])", [kit_json, start + 300_000, start + 2_400_000]
    )
    assert [point["t"] - start for point in points] == [300_000, 600_000, 1_200_000, 1_800_000, 2_400_000]
    assert points[1]["cm"] == kit.tide.height_cm[1]
    assert points[0]["cm"] == (kit.tide.height_cm[0] + kit.tide.height_cm[1]) / 2


# Clock times


@pytest.mark.parametrize(
    "zone", ["America/New_York", "America/Halifax", "America/St_Johns", "America/Anchorage", "UTC"]
)
def test_local_instants_are_those_of_the_zones_own_rules(js, zone):
    """IANA rules by Python's zoneinfo, over both changes of the clocks in 2026 and 2027."""
    instants = [
        datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=17 * n, minutes=n % 60, seconds=n % 60)
        for n in range(1030)
    ]
    instants += [datetime(2026, 11, 1, 4, 0, tzinfo=UTC) + timedelta(minutes=15 * n) for n in range(24)]
    found = js(
        "reckon/time.js", "data[0].map((t) => m.isoLocal(t, data[1]))", [[ms(one) for one in instants], zone]
    )
    assert found == [one.astimezone(ZoneInfo(zone)).isoformat() for one in instants]


def test_times_of_the_book_sort_as_python_sorts_them(js):
    texts = [
        "2027-05-14T06:52:10-04:00", "2027-05-14T06:52-04:00", "2027-05-14T10:52:10Z", "2027-05-14", "2027-05", "2027",
        "2027-05-14T06:52:10.25-04:00", "2027-05-14T06:52:10.250001-04:00", "2027-05-14T16:22:10+05:30", "0100-01-01",
    ]  # fmt: skip
    found = js("reckon/time.js", "data.map(m.instantOf)", texts)
    epoch = datetime(1970, 1, 1, tzinfo=UTC)
    for text, page in zip(texts, found, strict=True):
        assert page == pytest.approx((When(text).sort_key() - epoch) / timedelta(milliseconds=1), abs=1e-3), (
            text
        )


def test_days_and_times_are_written_as_people_read_them(js):
    assert js("reckon/time.js", "m.localTime(data)", "2027-05-14T05:42:10-04:00") == "05:42"
    assert js("reckon/time.js", "m.localTime(data)", "2027-05-14") == ""
    assert js("reckon/time.js", "m.localDay(data)", "2027-05-04T05:42:10-04:00") == "4 May 2027"
    assert js("reckon/time.js", "m.dayAfter(data, 10)", "2026-02-20T05:42:10-04:00") == "2026-03-02"
