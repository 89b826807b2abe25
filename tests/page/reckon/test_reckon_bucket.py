"""The page's minutes of oxygen and company of a bucket: the care room's, and the balance integrated step by step."""

from __future__ import annotations

import itertools
import json
import math
import random
from datetime import datetime

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from haulbook.care.bucket.clock import Water, act_now_mg_l, fresh_stress, minutes_left, target_mg_l
from haulbook.care.company import Guest, class_of, verdict, worst
from haulbook.care.demand import NOTHING, Demand
from haulbook.shore import kit_bytes

pytestmark = pytest.mark.browser

ISO = "new Date(data.reading.at_ms).toISOString()"
MINUTES = f"""(({{kit, asked}}) => asked.map((data) => m.minutes(kit, data.place,
  data.reading && {{...data.reading, at: {ISO}}}, data.now)))(data)"""


@pytest.fixture(scope="module")
def kit(tool):
    return tool("case_kits").demo_kit()


@pytest.fixture(scope="module")
def kit_json(kit):
    return json.loads(kit_bytes(kit))


@pytest.fixture(scope="module")
def care(tool):
    return tool("case_bucket")


def same(page, python):
    for name in ("low", "mid", "high"):
        got, wanted = page[name], python[name]
        assert (got is None) == (wanted is None), name
        if wanted is not None:
            assert got == pytest.approx(wanted, rel=1e-6, abs=1e-6), name
    assert page["words"] == python["words"]


def test_random_buckets_last_as_long_as_the_care_room_says(js, kit, kit_json, care):
    asked = [care.random_bucket(kit, seed) for seed in range(250)]
    found = js("reckon/bucket.js", MINUTES, {"kit": kit_json, "asked": asked})
    for one, page in zip(asked, found, strict=True):
        wanted = care.bucket_answer(kit, **one)
        same(page, wanted["target"])
        same(page["act"], wanted["act"])
        assert page["mgL"] == pytest.approx(wanted["mgL"], abs=1e-6)


@pytest.mark.parametrize(("air", "oxygen"), [(None, None), (3.0, None), (0.5, 7.6), (0, 12.0)])
def test_a_bucket_that_was_just_filled_lasts_as_the_care_rooms_clock_says(
    js, kit, kit_json, care, air, oxygen
):
    now = 1_790_000_000_000
    lots = {"grubby": 4, "cunner": 6, "palaemon": 30}
    place = {
        "place": "bucket 1", "litres": 14, "airPerH": air, "changedAt": None,
        "flow": [{"at": now, "taxon": taxon, "n": n} for taxon, n in lots.items()],
    }  # fmt: skip
    reading = {"temperature_c": 15, "salinity": 31, "at_ms": now} | (
        {"oxygen_mg_l": oxygen} if oxygen else {}
    )
    (page,) = js(
        "reckon/bucket.js",
        MINUTES,
        {"kit": kit_json, "asked": [{"place": place, "reading": reading, "now": now}]},
    )
    load = sum((_demand(care, kit, taxon).times(n) for taxon, n in lots.items()), NOTHING)
    water = Water(14, 15, 31, oxygen, air or 0.0)
    for found, threshold in ((page, target_mg_l(water)), (page["act"], act_now_mg_l(water))):
        left = minutes_left(water, load, threshold, fresh_stress())
        same(found, {"mid": left.middle, "low": left.low, "high": left.high, "words": left.words()})


def _demand(care, kit, taxon):
    each = care.demand(kit, taxon, 15)
    return Demand(each["mid"], each["low"], each["high"])


def test_oxygen_now_is_what_integrating_the_balance_gives(js, kit, kit_json, care):
    """dC/dt = -F R(t)/V + k (Cs - C), integrated by scipy piece by piece: no formula of ours in between."""
    asked = [one for seed in range(60) if len((one := care.random_bucket(kit, seed))["place"]["flow"]) > 3][
        :25
    ]
    found = js("reckon/bucket.js", MINUTES, {"kit": kit_json, "asked": asked})
    for one, page in zip(asked, found, strict=True):
        assert page["mgL"] == pytest.approx(_integrated(kit, care, one), abs=1e-5)


def _integrated(kit, care, one):
    place, read, now = one["place"], one["reading"] or {}, one["now"]
    temperature = read.get("temperature_c", kit.oxygen.temperature_c)
    water = Water(place["litres"], temperature, read.get("salinity", kit.oxygen.salinity))
    full = water.saturation_mg_l
    since, oxygen = care.start_of(place, read, place["flow"], now, full)
    load, at = 0.0, since
    for moment, each in [*((each["at"], each) for each in place["flow"] if each["at"] <= now), (now, None)]:
        if moment > at:
            use, air = load * 2.4 / place["litres"], place["airPerH"] or 0.0
            span = (0, (moment - at) / 3_600_000)
            solved = solve_ivp(
                lambda _, c, use=use, air=air: air * (full - c) - use, span, [oxygen], rtol=1e-10, atol=1e-10
            )
            oxygen, at = max(0.0, float(solved.y[0, -1])), moment
        if each:
            load = max(0.0, load + each["n"] * care.demand(kit, each["taxon"], temperature)["mid"])
    return oxygen


def test_the_published_table_of_saturation_is_the_pages_too(js, case):
    """Benson & Krause (1984) as tabulated; the tolerance of each line says which digit was printed."""
    cases = [
        one
        for one in case("care-seawater")["cases"]
        if one["function"] == "oxygen_mg_per_l"
        and "pressure_hpa" not in one["inputs"]
        and one["expected"] != "refused"
    ]
    assert len(cases) > 40
    found = js(
        "reckon/oxygen.js",
        "data.map(({inputs}) => m.saturation(inputs.temperature_c, inputs.salinity))",
        cases,
    )
    for one, got in zip(cases, found, strict=True):
        assert got == pytest.approx(one["expected"], abs=one["tolerance"]), one["inputs"]


def test_the_worked_example_of_the_bucket_is_the_pages_too(js, case):
    cases = [
        one
        for one in case("care-bucket")["cases"]
        if one["function"] in ("oxygen_after", "hours_until", "hours_until_calming")
        and one["expected"] != "refused"
    ]
    assert len(cases) > 15
    found = js(
        "reckon/oxygen.js",
        """data.map(({function: name, inputs: i}) => {
          const water = {start: i.start_mg_l, saturation: i.saturation_mg_l, litres: i.volume_l, air: i.air_per_h};
          const load = {demand: i.demand_mg_h ?? i.resting_mg_h, excess: (i.stress_multiplier ?? 1) - 1,
            decay: i.stress_decay_per_h ?? 0};
          if (name === 'oxygen_after') return m.oxygenAfter(i.hours, water, load);
          return name === 'hours_until' ? m.hoursUntil(i.threshold_mg_l, water, i.demand_mg_h)
            : m.hoursUntilCalming(i.threshold_mg_l, water, load);
        })""",
        cases,
    )
    for one, got in zip(cases, found, strict=True):
        if one["expected"] is None:
            assert got is None, one["inputs"]
        else:
            assert got == pytest.approx(one["expected"], abs=one["tolerance"]), one["inputs"]


def test_what_one_reading_leaves_out_is_taken_from_the_one_before(js, kit, kit_json, care):
    one = care.random_bucket(kit, 5)
    begin = 1_790_000_000_000
    one["place"] |= {"changedAt": None, "litres": 14, "flow": [{"at": begin, "taxon": "cunner", "n": 5}]}
    one["now"] = begin + 1_200_000
    said = [{"oxygen_mg_l": 7.1, "salinity": 31, "temperature_c": 16}, {"temperature_c": 17}]
    at = [f"2026-09-21T{time}Z" for time in ("14:30:00", "14:35:00")]
    one["place"]["readings"] = [{"at": when, "body": body} for when, body in zip(at, said, strict=True)]
    (page,) = js(
        "reckon/bucket.js", "[m.minutes(data.kit, data.place, null, data.now)]", {"kit": kit_json, **one}
    )
    at_ms = round(datetime.fromisoformat(at[0]).timestamp() * 1000)
    assert begin < at_ms < one["now"]
    wanted = care.bucket_answer(
        kit,
        one["place"],
        {"oxygen_mg_l": 7.1, "salinity": 31, "temperature_c": 17, "at_ms": at_ms},
        one["now"],
    )
    same(page, wanted["target"])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"litres": None}, "bucket 2: say how many litres it holds."),
        ({"litres": 0.01}, "bucket 2: 0.01 L is outside 0.1 to 10 000 L."),
        ({"airPerH": 200}, "bucket 2: 200 changes of air an hour is outside 0 to 100."),
    ],
)
def test_what_can_not_be_reckoned_is_refused_and_shown_as_nothing_left(
    js, kit_json, care, kit, change, words
):
    one = care.random_bucket(kit, 3)
    one["place"] |= change
    one["reading"] = None
    (page,) = js("reckon/bucket.js", MINUTES, {"kit": kit_json, "asked": [one]})
    assert (page["refused"], page["low"], page["mid"], page["words"]) == (True, 0, 0, words)


def test_a_reading_of_warm_air_is_refused_with_the_number(js, kit_json, care, kit):
    one = care.random_bucket(kit, 3)
    one["reading"] = {"temperature_c": 31, "at_ms": one["now"]}
    (page,) = js("reckon/bucket.js", MINUTES, {"kit": kit_json, "asked": [one]})
    assert page["words"] == "bucket 2: 31 °C is outside 0 to 30 °C. Read it again."


# Company


def guests_of(kit, pack, seed):
    rng = random.Random(seed)
    lots = []
    for _ in range(rng.randint(1, 7)):
        taxon = rng.choice([*pack.taxa, "?slimy"])
        length = rng.choice((None, None, 20, 49, 50, 80))
        lots.append({"taxon": taxon, "unit": "individual", "n": rng.randint(1, 3), "haul": "x/1", "stage": None}
                    | ({"length_mm": length, "length_type": "total"} if length else {}))  # fmt: skip
    return lots


def guest_of(pack, lot):
    taxon = pack.taxa.get(lot["taxon"])
    length = lot.get("length_mm")
    lineage = (lot["taxon"], *pack.lineage(lot["taxon"])) if taxon else ()
    return Guest(lot["taxon"], class_of(taxon.group if taxon else "", lineage, length), length, length)


def test_who_may_share_a_bucket_is_what_the_care_room_says(js, kit, kit_json, pack):
    buckets = [guests_of(kit, pack, seed) for seed in range(300)]
    found = js(
        "reckon/company.js",
        """data.buckets.map((lots) => [m.warnings(data.kit, {lots}, String),
          m.worstWith(data.kit, lots[0], {lots: lots.slice(1)}, String)])""",
        {"kit": kit_json, "buckets": buckets},
    )
    for lots, (page, newcomer) in zip(buckets, found, strict=True):
        alike: dict[tuple, list] = {}
        for lot in lots:
            alike.setdefault((lot["taxon"], lot.get("length_mm")), []).append(lot)
        guests = [(guest_of(pack, same[0]), sum(lot["n"] for lot in same)) for same in alike.values()]
        verdicts = [verdict(one, other) for (one, _), (other, _) in itertools.combinations(guests, 2)]
        verdicts += [verdict(one, one) for one, n in guests if n > 1]
        assert {(one["level"], one["words"]) for one in page} == {
            (v.level, v.why) for v in verdicts if v.level != "ok"
        }
        levels = [one["level"] for one in page]
        assert levels == sorted(levels, key=["never", "no", "short"].index)
        said = worst(guest_of(pack, lots[0]), [guest_of(pack, lot) for lot in lots[1:]])
        assert (newcomer["level"] if newcomer else "ok") == said.level


def test_the_page_says_names_as_people_do(js, kit_json):
    lots = [
        {"taxon": taxon, "unit": "individual", "n": 1, "haul": "x/1"}
        for taxon in ("european-green-crab", "palaemon")
    ]
    (said,) = js("reckon/company.js", "m.warnings(data[0], {lots: data[1]})", [kit_json, lots])
    assert said["words"] == "green crab with grass shrimp: never in one bucket"
    assert said["taxa"] == ["european-green-crab", "palaemon"]


def test_two_figures_are_written_as_the_clock_writes_them(js):
    from haulbook.care.bucket.clock import two_figures

    values = [
        0.0,
        0.05,
        0.123,
        1.0,
        1.04,
        9.96,
        9.94,
        10.0,
        14.5,
        99.4,
        100.0,
        1234.0,
        *np.geomspace(1e-3, 1e5, 200).tolist(),
    ]
    found = js("reckon/bucket.js", "data.map(m.twoFigures)", values)
    for value, page in zip(values, found, strict=True):
        wanted = two_figures(value)
        assert page == wanted or (value < 1e-4 and math.isclose(float(page), float(wanted)))
