"""The kit holds what the rooms behind it say, no more than the beach needs, and the same bytes each time."""

from __future__ import annotations

import gzip
import json
import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from haulbook.care.kit import clock_constants, company_class, company_rules, mg_h
from haulbook.custody.book import Book, merge
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.custody.ledger import account_of
from haulbook.demo.season import papers, season
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.plan_toml import Bucket, PaperDone, Plan
from haulbook.exchange.station_toml import Person, Site, SiteTide, Station, read_station
from haulbook.identify import kit_table, load_model, prior
from haulbook.identify.past import found_in
from haulbook.office.compile_kit import compile_kit
from haulbook.permit.model import ChargeTo, Consequence, Source, Stop
from haulbook.problems import Refusal
from haulbook.shore import Kit, kit_bytes, shape
from haulbook.shore.kit import MOST_COMPRESSED
from haulbook.taxa import load_pack
from haulbook.tide import SiteOffset, daylight, extremes, load_catalog, water_at

ROOT = Path(__file__).resolve().parents[2]
PERMITS = ROOT / "tests/cases/permits"
ZONE = ZoneInfo("America/New_York")
DAY = date(2026, 9, 26)
MADE_AT = datetime(2026, 9, 25, 20, 15, tzinfo=ZONE)
PACK = load_pack("nwatlantic")
NOTHING = Book()
PLAN = Plan(
    outing="2026-09-26-a",
    site="sallowhorn-cove",
    date=DAY,
    hauls=3,
    permits=("SC-24-031",),
    nets=("n1",),
    crew=("p1", "p3"),
    people_present=8,
    buckets=(Bucket("bucket 1", "keep", 14.0, 3.0), Bucket("cooler 1", "keep", 40.5)),
    looked_for=("northern-pipefish", "rock-gunnel"),
    keep_device="d1",
    paper=(PaperDone("SC-24-031", "notice-sent", datetime(2026, 9, 20, 9, tzinfo=ZONE)),),
)
PACIFIC = Station(
    name="invented",
    pack="nepacific",
    people={"p1": Person("p1", "lead")},
    nets={},
    instruments={},
    tanks={},
    sites={
        "bay": Site(  # an invented bay; only near the real tide station
            "bay", (59.44, -151.72), "America/Anchorage", SiteTide("9455500"), -0.5
        )
    },
)


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("papers")
    for name, content in papers().items():
        (folder / name).write_bytes(content)
    return folder


@pytest.fixture(scope="module")
def station(files):
    return read_station(files / "station.toml")


@pytest.fixture(scope="module")
def permit(files):
    return read_permit(files / "permit.toml", PACK)


@pytest.fixture(scope="module")
def book():
    return season()[1]


@pytest.fixture(scope="module")
def kit(station, permit, book):
    return compile_kit(PLAN, station, [permit], PACK, book, MADE_AT)


@pytest.fixture(scope="module")
def quick(station, permit):
    """Compile without a book, with something other than usual."""

    def compiling(plan=PLAN, *, station=station, permits=(permit,), pack=PACK, book=NOTHING, **more):
        return compile_kit(plan, station, permits, pack, book, MADE_AT, **more)

    return compiling


def entry(kind, body, outing=PLAN.outing, after=None, at=MADE_AT):
    draft = Draft(uuid8(f"{kind} {at}".encode()), at.isoformat(), at.isoformat(), "p3", outing, kind, body)
    return chain([draft], "d1", after)[0]


def many_calls(n):
    """An outing of n lines, as long as a busy day and longer."""
    written, rng = [], np.random.default_rng(3)
    for i in range(n):
        line = {
            "taxon": str(rng.choice(list(PACK.taxa))), "n": int(rng.integers(1, 40)), "from": "sea", "to": "back",
            "haul": f"{PLAN.outing}/{1 + i % 3}", "said": f"call {rng.integers(10**6)}",
        }  # fmt: skip
        at = MADE_AT + timedelta(seconds=int(7 * i))
        written.append(entry("move", {"lines": [line]}, after=written[-1] if written else None, at=at))
    return Book.of(written)


# What it holds


def test_the_tide_curve_is_the_tide_rooms_within_rounding(kit, station):
    site, catalog = station.sites["sallowhorn-cove"], load_catalog()
    water = water_at(catalog.find("8452660"), catalog.stations, SiteOffset(observed_by="p1"))
    start = datetime.fromisoformat(kit.tide.start)
    assert start == datetime.combine(DAY, datetime.min.time(), ZONE)
    times = start.timestamp() + 60 * kit.tide.step_min * np.arange(len(kit.tide.height_cm))
    np.testing.assert_allclose(kit.tide.height_cm, 100 * water.heights(times), atol=0.5 + 1e-6, rtol=0)
    found = extremes(water, start, start + timedelta(hours=36))
    assert len(found) == len(kit.tide.extremes) == 6
    for one, turn in zip(found, kit.tide.extremes, strict=True):
        assert abs(datetime.fromisoformat(turn.at) - one.time) <= timedelta(seconds=30)
        assert abs(turn.cm - 100 * one.height_m) <= 0.5
        assert turn.kind == one.kind
    assert (kit.tide.bed_cm, kit.tide.depth_cm) == (round(100 * site.bed_m), (30, 100))


def test_the_curve_between_its_values_is_within_two_centimetres(kit):
    """A phone draws straight lines: the bend of a semidiurnal tide between ten minutes is small."""
    catalog = load_catalog()
    water = water_at(catalog.find("8452660"), catalog.stations)
    start = datetime.fromisoformat(kit.tide.start).timestamp()
    grid = 600.0 * np.arange(len(kit.tide.height_cm))
    between = 30.0 * np.arange(int(grid[-1] // 30))
    drawn = np.interp(between, grid, kit.tide.height_cm)
    np.testing.assert_allclose(drawn, 100 * water.heights(start + between), atol=2.0, rtol=0)


def test_the_turn_is_the_lowest_low_in_daylight(kit):
    light = daylight(41.46, -71.31, DAY, ZONE)
    lows = [turn for turn in kit.tide.extremes if turn.kind == "low"]
    lit = [one for one in lows if light.sunrise <= datetime.fromisoformat(one.at) <= light.sunset]
    assert kit.tide.turn == min(lit, key=lambda one: one.cm)


def test_a_day_with_no_low_in_daylight_has_no_turn(quick, station):
    site = replace(station.sites["sallowhorn-cove"], position=(80.0, -71.31))
    dark = replace(station, sites={site.key: site})
    kit = quick(replace(PLAN, outing="2026-12-21-a", date=date(2026, 12, 21)), station=dark)
    assert kit.tide.turn is None
    assert kit.sun == shape.Sun(words="the sun does not rise on this day")


def test_the_curve_of_a_day_on_which_the_clocks_change_starts_at_local_midnight_and_runs_on(quick):
    kit = quick(replace(PLAN, outing="2026-11-01-a", date=date(2026, 11, 1)))
    assert kit.tide.start == "2026-11-01T00:00:00-04:00"
    assert len(kit.tide.height_cm) == (25 + 12) * 6 + 1


def test_sunrise_and_sunset_are_the_daylight_rooms_to_the_minute(kit):
    light = daylight(41.46, -71.31, DAY, ZONE)
    for name in ("dawn", "sunrise", "sunset", "dusk"):
        assert abs(datetime.fromisoformat(getattr(kit.sun, name)) - getattr(light, name)) <= timedelta(
            seconds=30
        )


def test_the_identification_table_is_that_of_the_key_for_site_and_season(kit, book):
    model = load_model("nwatlantic")
    past = found_in(account_of(book), "sallowhorn-cove", 9)
    assert kit.identify == json.loads(json.dumps(kit_table(model, prior(model.matrix, past.found))))
    assert kit.past.hauls == past.hauls
    assert {taxon.key: taxon.seen for taxon in kit.taxa if taxon.seen} == dict(past.found)


def test_demands_and_company_are_those_of_the_care_room(kit):
    temperature = kit.oxygen.temperature_c
    for taxon in kit.taxa:
        wanted = mg_h(PACK[taxon.key], temperature)
        assert taxon.mg_h.model_dump() == pytest.approx(wanted, abs=5e-5)
        assert taxon.mg_h.low > 0.001
        assert taxon.company == company_class(PACK[taxon.key], (taxon.key, *PACK.lineage(taxon.key)))
    assert kit.company == json.loads(json.dumps(company_rules()))
    assert kit.oxygen.clock == clock_constants()


@pytest.mark.parametrize("pack_key", ["nwatlantic", "nepacific"])
def test_warmth_brings_a_demand_to_another_temperature(quick, pack_key):
    """The phone multiplies; the care room reckons anew. A range can only be too narrow above a formula's range."""
    pack = load_pack(pack_key)
    kit = quick() if pack_key == "nwatlantic" else pacific(quick)
    for taxon in kit.taxa:
        factors = kit.oxygen.warmth[taxon.uptake]
        for c in (0, 7, 13, 20):
            wanted = mg_h(pack[taxon.key], float(c))
            for end, value in taxon.mg_h.model_dump().items():
                assert value * factors[c] == pytest.approx(wanted[end], rel=2e-3), (taxon.key, c, end)
    for uptake, factors in kit.oxygen.warmth.items():
        taxon = next(one for one in kit.taxa if one.uptake == uptake)
        between = mg_h(pack[taxon.key], 13.5)["mid"] / mg_h(pack[taxon.key], kit.oxygen.temperature_c)["mid"]
        assert (factors[13] + factors[14]) / 2 == pytest.approx(between, rel=2e-3)


def test_the_water_is_the_median_of_past_readings_or_the_planning_default(kit, quick):
    assert kit.oxygen.readings > 10
    assert 10 < kit.oxygen.temperature_c < 24
    without = quick().oxygen
    assert (without.temperature_c, without.salinity, without.readings) == (18.0, 30.0, 0)


def test_taxa_carry_their_names_parents_cautions_and_notices(kit):
    taxa = {taxon.key: taxon for taxon in kit.taxa}
    assert list(taxa) == list(PACK.taxa)
    for key, taxon in taxa.items():
        assert taxon.names[0] == (*PACK[key].common_names, PACK[key].scientific_name)[0]
        assert set(taxon.names) == {*PACK[key].common_names, PACK[key].scientific_name, *PACK[key].synonyms}
        assert taxon.parent == next(iter(PACK.lineage(key)), None)
    assert "dorsal spines" in taxa["cunner"].caution
    assert "invasive" in taxa["european-green-crab"].notice
    assert taxa["cunner"].drawing == "torpedo"


def test_a_stage_is_worth_a_question_where_a_clause_splits_by_it_or_hauls_brought_it(quick, permit, kit):
    assert {taxon.key: taxon.stages for taxon in kit.taxa}["cunner"] == ("young",)
    first = permit.clauses[0]
    split = replace(first, scope=replace(first.scope, life_stage=("adult", "larva")))
    stages = {one.key: one.stages for one in quick(permits=[replace(permit, clauses=(split,))]).taxa}
    assert stages["northern-pipefish"] == ("larva", "adult")
    assert stages["cunner"] == ()


def test_clauses_are_written_out_with_the_permits_own_words(kit, permit):
    assert [clause.id for clause in kit.clauses] == ["2a", "2b", "2c", "2d", "2e", "3", "4", "5"]
    by_id = {clause.id: clause for clause in kit.clauses}
    assert by_id["2d"].members[-1] == "sea-raven"
    assert "actinopterygii" in by_id["2d"].possible
    assert by_id["4"].unnamed == "certain"
    assert by_id["2d"].unnamed == "possible"
    assert (by_id["2a"].left, by_id["2a"].before) == (0, 12)
    assert by_id["3"].on_any == shape.Consequence(stop="none", notify="the district biologist", within_h=24)
    assert {clause.id: clause.text for clause in (*kit.clauses, *kit.conditions)} == {
        clause.id: clause.source.text for clause in permit.clauses
    }
    assert kit.permits == (
        shape.PermitName(
            permit="SC-24-031", version=permit.version_at(MADE_AT), in_force=True, zone="America/New_York"
        ),
    )


def test_a_taxon_whose_limit_is_reached_is_shown_and_settles_nothing(kit):
    assert [(stop.clause, stop.stop) for stop in kit.stops] == [("2a", "taxon")]
    assert kit.to_settle == ()


def test_an_outing_can_be_opened_from_the_kit_alone(kit):
    body = {
        "plan": kit.plan, "digest": kit.plan_digest, "pack": kit.pack.key, "version": kit.pack.version,
        "permits": [{"permit": one.permit, "version": one.version} for one in kit.permits],
        "looked_for": list(kit.looked_for),
    }  # fmt: skip
    opened = entry("outing-opened", body)
    line = {"taxon": "cunner", "n": 2, "from": "sea", "to": "bucket 1", "haul": f"{PLAN.outing}/1"}
    called = entry("move", {"lines": [line]}, after=opened)
    (animals,) = account_of(Book.of([opened, called])).animals
    assert animals.fate == "retained_alive"  # the plan said what bucket 1 is for
    assert [place.place for place in kit.places] == [bucket["place"] for bucket in kit.plan["buckets"]]


def test_the_outings_own_entries_travel_and_no_others(quick, book):
    body = {"place": "bucket 1", "act": "set-up", "purpose": "keep"}
    ours = entry("place", body)
    kit = quick(book=merge(book, Book.of([ours])))
    assert kit.entries == (ours.as_json(),)


def test_the_same_input_gives_the_same_bytes(station, permit, book, kit):
    again = compile_kit(PLAN, station, [permit], PACK, Book.of(reversed(book.entries)), MADE_AT)
    assert kit_bytes(again) == kit_bytes(kit)


# What it does not hold


def test_no_name_of_a_person_and_no_position_is_in_a_kit(station, permit, book, quick):
    people = {key: replace(one, name=f"Quillon Marrowby {key}") for key, one in station.people.items()}
    named = replace(station, people=people, name="Marrowby Station")
    text = kit_bytes(
        quick(station=named, permits=[replace(permit, holder="Quillon Marrowby")], book=book)
    ).decode()
    assert "Quillon" not in text
    assert "Marrowby" not in text
    assert not re.search(r"41\.\d|-?71\.\d", text)
    assert json.loads(text)["crew"] == [{"key": "p1", "role": "lead"}, {"key": "p3", "role": "recorder"}]


def test_the_position_of_ones_own_tide_station_stays_at_home(quick):
    own = replace(load_catalog().find("8452660"), id="dock", name="", latitude=41.4612, longitude=-71.3123)
    kit = quick(tide_station=own)
    assert kit.tide.station == "dock"
    assert not re.search(r"41\.\d|71\.3", kit_bytes(kit).decode())


@pytest.mark.parametrize(("calls", "most"), [(0, 60_000), (2000, MOST_COMPRESSED)])
def test_a_kit_is_small_enough_for_a_weak_signal(quick, book, calls, most):
    for kit in (quick(book=merge(book, many_calls(calls))), pacific(quick)):
        assert len(gzip.compress(kit_bytes(kit), mtime=0)) < most


def pacific(quick):
    pack = load_pack("nepacific")
    plan = replace(
        PLAN, outing="2024-06-05-a", date=date(2024, 6, 5), site="bay", nets=(), crew=("p1",), permits=("A", "B"),
        looked_for=("eelgrass",) if "eelgrass" in pack.taxa else (),
    )  # fmt: skip
    permits = [read_permit(PERMITS / f"{name}.toml", pack) for name in ("a", "b")]
    return quick(plan, station=PACIFIC, permits=permits, pack=pack)


# What is refused, and what has to be settled


def refused(quick, *words, **more):
    with pytest.raises(Refusal) as refusal:
        quick(**more)
    said = [str(problem) for problem in refusal.value.problems]
    assert len(said) == len(words), said
    for one, wanted in zip(sorted(said), sorted(words), strict=True):
        assert wanted in one


def test_everything_that_nobody_knows_is_named_together(quick, station):
    site = replace(station.sites["sallowhorn-cove"], tide=SiteTide("8452661"))
    plan = replace(
        PLAN, outing="2041-01-01-a", date=date(2041, 1, 1), permits=("SC-24-013",), nets=("n7",), crew=("p1", "p8"),
        looked_for=("northern-pipefsh",),
    )  # fmt: skip
    refused(
        quick,
        "plan.toml, column crew: there is no person 'p8'; the nearest is",
        "plan.toml, column date: tides are predicted for 1983 to 2040",
        "plan.toml, column looked_for: there is no taxon of the pack nwatlantic 'northern-pipefsh'; the nearest is",
        "plan.toml, column nets: there is no net 'n7'; the nearest is 'n1'",
        "plan.toml, column permits: there is no permit file for 'SC-24-013'; the nearest is 'SC-24-031'; hand it in",
        "there is no tide station '8452661'; the nearest three are",
        plan=plan,
        station=replace(station, sites={site.key: site}),
        plan_file="plan.toml",
    )


def test_an_unknown_site_is_refused_with_its_nearest(quick):
    refused(quick, "there is no site 'sallowhorn'; the nearest is", plan=replace(PLAN, site="sallowhorn"))


def test_a_permit_handed_in_twice_or_not_at_all_is_refused(quick, permit):
    refused(quick, "permit SC-24-031 was handed in twice", permits=[permit, permit])
    refused(quick, "there is no permit file for 'SC-24-031'; hand it in with --permit", permits=[])


def test_another_pack_than_the_stations_is_refused(quick):
    plan = replace(PLAN, looked_for=(), permits=())
    refused(quick, "the station's pack is nwatlantic, not nepacific", plan=plan, pack=load_pack("nepacific"))


def test_a_tide_station_without_constants_is_refused(quick, station):
    bare = replace(load_catalog().find("8452660"), constants=())
    refused(quick, "has no published constants; choose another station near it", tide_station=bare)


def test_a_number_that_an_entry_can_not_hold_is_refused(quick):
    plan = replace(PLAN, buckets=(Bucket("bucket 1", "keep", 14.000_01),))
    refused(quick, "a measure has at most 4 decimals", plan=plan)


def settles(quick, *words, **more):
    said = quick(**more).to_settle
    assert len(said) == len(words), said
    for one, wanted in zip(said, words, strict=True):
        assert wanted in one


def test_a_permit_that_is_not_in_force_that_day_is_for_the_lead(quick, permit):
    plan = replace(PLAN, outing="2027-05-14-a", date=date(2027, 5, 14))
    kit = quick(plan)
    (said,) = kit.to_settle
    held = "permit SC-24-031 holds from 1 April 2024 to 31 March 2027, not on all of 14 May 2027"
    assert said == f"{held}: keep nothing under it then"
    assert kit.clauses == ()
    assert not kit.permits[0].in_force


def test_a_permit_that_ends_within_the_day_is_for_the_lead(quick, permit):
    ends = replace(permit, valid_to=datetime(2026, 9, 26, 12, tzinfo=ZONE))
    settles(quick, "not on all of 26 September 2026", permits=[ends])


def test_a_version_that_begins_within_the_day_is_for_the_lead(quick, permit):
    noon = datetime(2026, 9, 26, 12, tzinfo=ZONE)
    first = permit.clauses[0]
    amended = (replace(first, effective_to=noon), replace(first, version=2, effective_from=noon, limit=20))
    one = replace(permit, clauses=amended)
    settles(
        quick, "clause 2a: version 2 begins that day at 12:00; the kit judges all day by it", permits=[one]
    )
    assert quick(permits=[one]).clauses[0].limit == 20


def test_a_clause_that_one_person_compared_with_the_paper_is_for_the_lead(quick, permit):
    one = replace(permit, clauses=(replace(permit.clauses[0], confirmed_by=("p1",)),))
    settles(quick, "clause 2a: 1 of 2 people have compared version 1 with the paper", permits=[one])


def test_a_permit_that_needs_another_is_for_the_lead(quick, permit):
    one = replace(permit, needs_also=("EX-9",))
    settles(quick, "holds only together with EX-9, which the plan does not name", permits=[one])


def test_a_stop_of_the_permit_is_for_the_lead_until_a_paper_clears_it(quick, permit, book):
    stop = Consequence(Stop.PERMIT, "the district biologist")
    clauses = tuple(replace(one, on_reach=stop) if one.id == "2a" else one for one in permit.clauses)
    stopped = replace(permit, clauses=clauses)
    settles(
        quick, "clause 2a: limit reached: no outing under this permit until", permits=[stopped], book=book
    )
    cleared = PaperDone("SC-24-031", "cleared", datetime(2026, 9, 24, 9, tzinfo=ZONE))
    settles(quick, permits=[stopped], book=book, plan=replace(PLAN, paper=(cleared,)))


def test_no_permit_a_closed_outing_and_no_tide_are_for_the_lead(quick, station):
    site = replace(station.sites["sallowhorn-cove"], tide=None)
    settles(
        quick,
        "the plan names no permit, so nothing may be kept",
        "outing 2026-09-26-a is closed in the book: give the next one another letter",
        "site sallowhorn-cove names no tide station",
        plan=replace(PLAN, permits=()),
        station=replace(station, sites={site.key: site}),
        book=Book.of([entry("outing-closed", {})]),
    )


def test_a_permit_that_charges_to_one_not_in_the_plan_charges_to_itself(quick, permit):
    one = replace(permit, charge_to=ChargeTo("EX-9", Source("charged there")))
    assert quick(permits=[one]).permits[0].charge_to is None
    other = replace(permit, no="EX-9")
    both = quick(replace(PLAN, permits=("SC-24-031", "EX-9")), permits=[one, other])
    assert both.permits[0].charge_to == "EX-9"


# The page that describes it


def documented(page):
    """Key paths in the first column of the page's tables: ``clauses[].on_any.stop``."""
    found = set()
    for line in page.splitlines():
        cells = line.split(" | ")
        if line.startswith("| `"):
            found |= set(re.findall(r"`([a-z_0-9.\[\]{}]+)`", cells[0]))
    return found


def paths_of(model, where=""):
    """Every key path that the shape of a kit allows."""
    found = set()
    for name, field in model.model_fields.items():
        here = f"{where}{name}"
        found.add(here)
        text = str(field.annotation)
        for part in [
            one for one in vars(shape).values() if isinstance(one, type) and issubclass(one, shape.Part)
        ]:
            if re.search(rf"shape\.{part.__name__}\b", text):
                found |= paths_of(part, f"{here}[]." if "tuple[" in text else f"{here}.")
    return found


def produced(value, where=""):
    """Every key path that a kit's JSON has, as far down as the shape goes."""
    found = set()
    for key, inner in value.items():
        here = f"{where}{key}"
        found.add(here)
        for one in inner if isinstance(inner, list) else [inner]:
            if isinstance(one, dict) and here not in OPAQUE:
                found |= produced(one, f"{here}[]." if isinstance(inner, list) else f"{here}.")
    return found


OPAQUE = {"plan", "company", "identify", "entries", "taxa[].notice", "oxygen.warmth", "oxygen.clock"}


def test_the_page_documents_every_key_and_no_other(kit):
    page = documented((ROOT / "docs/reference/kit.md").read_text(encoding="utf-8"))
    assert page == paths_of(Kit)
    assert produced(json.loads(kit_bytes(kit))) <= page
