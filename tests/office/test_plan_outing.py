"""Go, go with limits, no-go: the whole plan on the invented season."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from haulbook.custody.book import Book
from haulbook.demo.season import papers, season
from haulbook.exchange.ics import calendar
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.plan_toml import Bucket, PaperDone, Plan
from haulbook.exchange.station_toml import read_station
from haulbook.office.plan_outing import plan_outing
from haulbook.office.planning.as_json import plan_json
from haulbook.office.planning.asked import Asked, site_of
from haulbook.office.planning.bucket_words import words_of
from haulbook.office.planning.calendar import plan_event
from haulbook.office.planning.page import headline, plan_page
from haulbook.office.planning.past import past_of
from haulbook.office.planning.verdict import planned_hauls, verdict_of
from haulbook.permit.detail import ClockTime, HoursRule
from haulbook.permit.plan import Reason
from haulbook.problems import Refusal
from haulbook.publish.plan_page import render_plan
from haulbook.publish.plan_paper import paper_content
from haulbook.taxa import load_pack
from haulbook.tide import Work, load_catalog

ZONE = ZoneInfo("America/New_York")
PACK = load_pack("nwatlantic")
STATIONS = load_catalog().stations
NOW = datetime(2026, 9, 12, 12, tzinfo=ZONE)
DAY = date(2026, 9, 26)
NOTICE = (
    PaperDone("SC-24-031", "notice-sent", datetime(2026, 9, 20, 9, tzinfo=ZONE), "7"),
    PaperDone("SC-24-031", "receipt", datetime(2026, 9, 21, 9, tzinfo=ZONE), "7"),
)
PLAN = Plan(
    outing="2026-09-26-a",
    site="sallowhorn-cove",
    date=DAY,
    hauls=3,
    permits=("SC-24-031",),
    nets=("n1",),
    crew=("p1", "p3"),
    people_present=8,
    buckets=tuple(Bucket(f"bucket {i}", "keep", 20.0, 6.0) for i in range(1, 7)),
    paper=NOTICE,
)
LATE = datetime(2026, 9, 22, 12, tzinfo=ZONE)


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("invented")
    for name, content in papers().items():
        (folder / name).write_bytes(content)
    return read_station(folder / "station.toml"), read_permit(folder / "permit.toml", PACK)


@pytest.fixture(scope="module")
def book():
    return season()[1]


@pytest.fixture(scope="module")
def ask(files):
    station, permit = files

    def asking(plan=PLAN, now=LATE, first=DAY, last=None, **changes):
        site = changes.pop("site", station.sites["sallowhorn-cove"])
        return Asked(
            **{
                "station": station,
                "site": site,
                "tide_station": STATIONS[site.tide.station if site.tide else "8452660"],
                "tide_stations": STATIONS,
                "permits": (permit,),
                "first": first,
                "last": last or first + timedelta(days=2),
                "now": now,
                "plan": plan,
                **changes,
            }
        )

    return asking


@pytest.fixture(scope="module")
def judged(ask, book):
    known = {}

    def judging(with_book=True, seed=1, **changes):
        key = repr((with_book, seed, changes))  # a plan is frozen values all through: the same question once
        if key not in known:
            rng = np.random.default_rng(seed)
            past = past_of(book if with_book else Book(), PACK)
            known[key] = plan_outing(ask(**changes), past, PACK, rng)
        return known[key]

    return judging


@pytest.fixture(scope="module")
def unlimited(files):
    """The invented permit without the clauses that past take has filled."""
    _, permit = files
    return replace(
        permit, clauses=tuple(one for one in permit.clauses if one.id in ("2b", "5", "6", "7", "8"))
    )


def against(planned, weight=None):
    return [
        reason.message
        for reason in planned.chosen.reasons
        if reason.weight != "ok" and weight in (None, reason.weight)
    ]


def test_with_notice_given_and_nothing_in_the_way_the_word_is_go(judged, unlimited):
    planned = judged(permits=(unlimited,))
    assert against(planned) == []
    assert (planned.verdict, planned.then, headline(planned)) == ("go", "go", "Go")
    assert planned.chosen.day == DAY
    assert plan_event(planned).status == "CONFIRMED"


def test_without_notice_it_is_no_go_until_notice_is_given_while_there_is_time(judged, unlimited):
    planned = judged(plan=replace(PLAN, paper=()), permits=(unlimited,))
    assert (planned.verdict, planned.then) == ("no-go", "go")
    assert headline(planned) == "No-go until notice is given"
    assert planned.chosen.worst.message == (
        "clause 7: no notice sent to the district biologist; it has to go by 25 September 2026 11:03"
    )
    assert "24 hours before each outing" in planned.chosen.worst.quote
    assert plan_event(planned).status == "TENTATIVE"


def test_less_than_the_lead_time_ahead_nothing_mends_it(judged):
    planned = judged(plan=replace(PLAN, paper=()), now=datetime(2026, 9, 25, 16, tzinfo=ZONE))
    assert (planned.verdict, planned.then, headline(planned)) == ("no-go", "no-go", "No-go")
    assert plan_event(planned).status == "CANCELLED"


def test_a_notice_that_went_late_leaves_the_window_for_which_its_lead_time_has_run(judged):
    late = replace(NOTICE[0], at=datetime(2026, 9, 25, 12, tzinfo=ZONE))
    planned = judged(plan=replace(PLAN, paper=(late, NOTICE[1])), now=datetime(2026, 9, 25, 13, tzinfo=ZONE))
    assert planned.chosen.window.leg == "flood"  # 14:07 to 17:47, after the low
    assert planned.verdict == "go with limits"
    (morning,) = [one for one in planned.choices if one.day == DAY and one is not planned.chosen]
    assert (morning.verdict, morning.then) == ("no-go", "no-go")
    assert "no set before 26 September 2026 12:00" in morning.worst.message


def test_notices_of_earlier_outings_in_the_book_do_not_speak_for_this_one(judged, book):
    assert any(entry.kind == "paper" and entry.body["act"] == "notice-sent" for entry in book.entries)
    planned = judged(plan=replace(PLAN, paper=()))
    assert any("no notice sent" in said for said in against(planned, "no-go"))


def test_a_notice_speaks_for_the_planned_day_and_no_other(judged, unlimited):
    planned = judged(permits=(unlimited,))
    others = [choice for choice in planned.choices if choice.day != DAY and choice.hauls]
    assert others
    assert {choice.verdict for choice in others} == {"no-go"}
    assert {choice.then for choice in others} <= {"go", "go with limits"}


def test_what_the_permit_has_left_limits_and_the_worst_comes_first(judged):
    planned = judged()
    assert planned.verdict == "go with limits"
    assert any("12 of 12 retained per permit year: reached" in said for said in against(planned, "limit"))
    weights = [reason.weight for reason in planned.chosen.reasons]
    assert weights == sorted(weights, key=["no-go", "limit", "check", "ok"].index)
    assert {room.state.clause.id: room.left for room in planned.chosen.headroom}["2d"] == 1


def test_nobody_named_in_the_permit_is_no_go_and_no_notice_mends_it(judged):
    planned = judged(plan=replace(PLAN, crew=("p4",), paper=()))
    assert planned.then == "no-go"
    assert "nobody of the crew is named" in planned.chosen.worst.message


def test_under_two_permits_all_hold_together_and_each_clause_is_named_with_its_permit(
    judged, files, unlimited
):
    closed = next(one for one in files[1].clauses if one.id == "5")
    other = replace(
        unlimited,
        no="SC-26-100",
        clauses=(replace(closed, permit="SC-26-100", id="1", limit=0, kind="prohibit"),),
    )
    plan = replace(PLAN, permits=("SC-24-031", "SC-26-100"))
    planned = judged(plan=plan, permits=(unlimited, other))
    assert planned.verdict == "go with limits"
    page = plan_page(planned, PACK, (), invented=True)
    assert {line.clause for line in page.limits} >= {"SC-24-031, 5", "SC-26-100, 1"}
    assert {line.clause for line in page.chances} >= {"SC-26-100, 1"}
    missing = judged(plan=plan, permits=(unlimited,))
    assert missing.chosen.worst.message == "the plan relies on permit SC-26-100, and there is no file of it"


def test_a_permit_that_has_run_out_is_no_go(judged):
    planned = judged(plan=None, first=date(2027, 4, 20), last=date(2027, 4, 22), now=LATE)
    assert planned.verdict == planned.then == "no-go"
    assert any("holds from" in said and "not for the whole" in said for said in against(planned))


def test_fewer_people_than_the_work_takes_is_a_thing_to_check(judged, unlimited):
    planned = judged(plan=replace(PLAN, people_present=2), permits=(unlimited,))
    assert planned.verdict == "go with limits"
    assert against(planned) == [
        "2 people come; two on the net, one on the buckets and one to write make 4 (common practice, no source)"
    ]


def test_without_a_plan_what_is_assumed_is_said_and_the_word_is_not_go(judged, unlimited):
    planned = judged(plan=None, permits=(unlimited,))
    assert planned.then == "go with limits"
    assert planned.asked.assumed in against(planned, "check")
    assert "3 hauls, crew p1, p3, net n1, permits SC-24-031" in planned.asked.assumed
    assert planned.chosen is planned.choices[0]


def test_more_hauls_than_fit_is_a_limit_and_none_is_no_go(judged, unlimited):
    planned = judged(plan=replace(PLAN, hauls=6), permits=(unlimited,))
    best = planned.chosen
    assert len(best.hauls) == best.window.hauls < 6
    assert f"{best.window.hauls} hauls fit of 6 wanted" in against(planned, "limit")
    none = judged(permits=(unlimited,), work=Work(120, 120, 120))
    assert none.verdict == "no-go"
    assert re.fullmatch(
        r"no haul fits: the window has \d+ minutes, one haul takes 360", none.chosen.worst.message
    )


def test_a_window_that_has_begun_is_no_go(judged):
    planned = judged(now=datetime(2026, 9, 26, 15, tzinfo=ZONE))
    assert planned.chosen.worst.message == "the window has begun or is past"


def test_a_day_whose_water_never_stands_in_the_band_says_so(judged, files):
    site = replace(files[0].sites["sallowhorn-cove"], bed_m=-4.0)
    planned = judged(site=site)
    assert (planned.chosen, planned.verdict, headline(planned)) == (None, "no-go", "No-go: no window")
    assert planned.nothing.message == (
        "on 26 September 2026 the water is never between -3.70 and -3.00 m in daylight"
    )
    assert plan_event(planned) is None
    assert "Nothing to plan on these days" in render_plan(plan_page(planned, PACK, (), invented=True))


def test_the_order_is_by_what_a_day_can_become_then_by_the_tide(judged):
    planned = judged(plan=None, last=date(2026, 10, 3), now=datetime(2026, 9, 27, 8, tzinfo=ZONE))
    order = ["go", "go with limits", "no-go"]
    thens = [order.index(choice.then) for choice in planned.choices]
    assert thens == sorted(thens)
    assert [choice.rank for choice in planned.choices] == list(range(1, len(thens) + 1))
    assert {ranked.window for ranked in planned.place.windows()} == {one.window for one in planned.choices}


def test_hauls_are_set_after_the_set_up_and_end_before_the_pack_out(judged):
    window = judged().chosen.window
    work = Work(30, 30, 20, 3)
    hauls = planned_hauls(window, work)
    assert [haul.number for haul in hauls] == [1, 2, 3]
    assert hauls[0].set_at == window.start + timedelta(minutes=30)
    assert hauls[-1].landed_at <= window.end - timedelta(minutes=20)


def test_clock_hours_of_a_permit_cut_the_windows(judged, ask, unlimited):
    clause = next(one for one in unlimited.clauses if one.id == "6")
    hours = HoursRule(ClockTime(time(11)), ClockTime(time(13)))
    within = replace(
        unlimited, clauses=(*unlimited.clauses, replace(clause, id="9", kind="hours", detail=hours))
    )
    assert ask(permits=(within,)).permit_hours == (time(11), time(13))
    planned = judged(permits=(within,))
    local = [at.astimezone(ZONE).time() for at in (planned.chosen.window.start, planned.chosen.window.end)]
    assert (local[0], local[1]) == (time(11), time(13))
    assert against(planned, "no-go") == []


def test_hours_that_hang_on_the_sun_are_left_to_each_haul(judged, ask, unlimited):
    clause = next(one for one in unlimited.clauses if one.id == "6")
    hours = HoursRule(ClockTime(sun="sunrise"), ClockTime(sun="sunset", offset=timedelta(hours=-7)))
    within = replace(
        unlimited, clauses=(*unlimited.clauses, replace(clause, id="9", kind="hours", detail=hours))
    )
    assert ask(permits=(within,)).permit_hours is None
    planned = judged(permits=(within,))  # hauls from 11:04, 11:34 and 12:04; sunset 18:35 less 7 h is 11:35
    assert planned.verdict == "go with limits"
    broken = [
        one.haul
        for one in planned.chosen.reasons
        if "420 min before sunset" in one.message and one.weight == "no-go"
    ]
    assert broken == [2, 3]


def test_one_haul_that_may_not_be_made_is_a_limit_all_of_them_a_no_go():
    only_second = [Reason("no-go", "x", haul=2), Reason("ok", "y")]
    assert verdict_of(only_second, (1, 2)) == "go with limits"
    assert verdict_of(only_second, (2,)) == "no-go"
    assert verdict_of([Reason("check", "x")], (1, 2)) == "go with limits"
    assert verdict_of([], ()) == "go"


def test_the_seed_decides_and_the_same_seed_says_the_same(judged):
    one, two, other = (json.dumps(plan_json(judged(seed=seed))["chances"]) for seed in (1, 1, 2))
    assert one == two != other


def test_chances_come_with_how_many_hauls_they_stand_on(judged):
    planned = judged()
    assert planned.forecast.enough
    said = plan_page(planned, PACK, (), invented=True).chances_said
    n = len(planned.forecast.hauls)
    assert any(
        f"From {n} comparable hauls (this site and net, September or a month beside it" in one for one in said
    )
    sure = {chance.clause.id: chance for chance in planned.chosen.chances}
    assert sure["5"].by_hauls == tuple(sorted(sure["5"].by_hauls))
    assert sure["3"].seen == 0
    assert 0 < sure["3"].after(1) < 0.05  # never kept, and yet not impossible


def test_with_too_few_hauls_no_probability_is_given_and_that_is_said(judged):
    planned = judged(with_book=False)
    assert planned.chosen.chances == ()
    said = plan_page(planned, PACK, (), invented=True).chances_said
    assert len(said) == 1
    assert said[0] == (
        "0 comparable hauls in the book (this site and net, September or a month beside it); 10 are needed, so no "
        "probability is given."
    )


def test_buckets_stand_on_past_hauls_and_the_plan_is_held_against_them(judged):
    enough = judged()
    assert enough.buckets.suffices
    assert enough.buckets.past == len(enough.forecast.hauls)
    assert enough.buckets.keep <= enough.buckets.keep_at_worst
    one = judged(plan=replace(PLAN, buckets=(Bucket("bucket 1", "keep", 14.0),)))
    assert not one.buckets.suffices
    assert one.buckets.keep_with_air < one.buckets.keep  # a pump spares buckets
    assert any(
        "keep buckets of 14 L bear what 3 hauls are likely to have kept" in said for said in against(one)
    )


def test_buckets_without_past_hauls_are_a_planning_default_and_say_so(judged):
    needed = judged(with_book=False).buckets
    assert (needed.keep, needed.all, needed.past) == (1, 3, 0)
    words = " ".join(words_of(needed))
    assert "No comparable haul is in the book" in words
    assert "temperature and salinity are a planning default" in words


def test_a_low_net_for_the_water_is_said_with_its_source(judged, files):
    site = replace(files[0].sites["sallowhorn-cove"], depth_m=(0.3, 1.2))
    (net,) = [line for line in judged(site=site).gear if line.startswith("net")]
    assert "for 1.2 m of water 1.8 m of height serve best" in net
    assert "PRAGMO A10" in net


def test_every_line_to_tick_has_a_source_or_says_it_has_none(judged):
    planned = judged()
    assert len({tick.when for tick in planned.checklist}) == 3
    assert all(tick.source for tick in planned.checklist)
    texts = " ".join(tick.text for tick in planned.checklist)
    assert "It is 13:13 EDT" in texts  # pack-out before the window ends at 13:33
    assert "salmon" not in texts.casefold()


def test_the_day_of_25_hours_is_drawn_whole(judged):
    planned = judged(plan=None, first=date(2026, 11, 1), last=date(2026, 11, 1))
    assert planned.day.ends - planned.day.begins == timedelta(hours=25)
    assert len(planned.curve.heights_m) == 25 * 6 + 1


def test_a_subordinate_station_is_said_to_be_interpolated_and_rounded_to_five_minutes(judged, files):
    subordinate = next(one for one in STATIONS.values() if one.reference == "8452660")
    site = files[0].sites["sallowhorn-cove"]
    site = replace(site, tide=replace(site.tide, station=subordinate.id))
    planned = judged(site=site)
    assert plan_json(planned)["tide"]["interpolated"]
    assert any("interpolated by haulbook" in caution for caution in planned.cautions)
    assert all(choice.window.start.minute % 5 == 0 for choice in planned.choices)
    assert "drawn between highs and lows" in render_plan(plan_page(planned, PACK, (), invented=True))


def test_instants_in_json_are_utc_and_the_windows_have_the_keys_of_the_tide(judged):
    said = plan_json(judged())
    text = json.dumps(said)
    assert not re.search(r"\d{2}:\d{2}:\d{2}[+-]\d{2}:\d{2}", text)
    for window in said["windows"]:
        assert {"start", "end", "leg", "low_time", "low_m", "daylight_minutes", "rank", "why"} <= set(window)
        assert window["verdict"] in ("go", "go with limits", "no-go")
    assert len(said["tide"]["height_cm"]) == 145
    assert said["chosen"]["date"] == "2026-09-26"


@pytest.mark.parametrize("plan", [PLAN, None])
def test_no_output_ever_calls_anything_safe(judged, plan):
    planned = judged(plan=plan)
    page = plan_page(planned, PACK, (), invented=True)
    outputs = (
        json.dumps(plan_json(planned)),
        render_plan(page),
        json.dumps(paper_content(page)),
        calendar([plan_event(planned)], NOW.astimezone(UTC)).replace(b"\r\n ", b"").decode(),
    )
    for output in outputs:
        assert not re.search("safe", output, re.IGNORECASE)


def test_a_calendar_entry_keeps_its_uid_when_the_plan_changes_and_its_times(judged):
    one, two = plan_event(judged()), plan_event(judged(plan=replace(PLAN, hauls=2, people_present=5)))
    other = plan_event(judged(plan=replace(PLAN, outing="2026-09-26-b")))
    assert one.uid == two.uid != other.uid
    evening, out = one.alarms
    assert evening.before == timedelta(hours=12)
    assert (out.of, out.before) == ("end", timedelta(minutes=20))
    assert "26 September 2026, 10:34 EDT to 13:33 EDT" in one.description


def test_a_site_whose_place_is_coarsened_gives_no_position_away(judged, files):
    site = replace(files[0].sites["sallowhorn-cove"], coarsen_km=5)
    assert plan_event(judged(site=site)).position is None


def test_what_is_missing_for_a_question_is_refused_all_at_once(ask, files):
    bare = replace(files[0].sites["sallowhorn-cove"], tide=None, bed_m=None)
    with pytest.raises(Refusal) as refused:
        ask(site=bare, first=date(2026, 10, 1))
    assert [problem.message for problem in refused.value.problems] == [
        "site sallowhorn-cove names no tide station: write its tide",
        "site sallowhorn-cove has no bed_m: write the height of the bed above MLLW, metres",
        "the plan's day, 26 September 2026, is outside 1 October 2026 to 3 October 2026: widen --from and --to",
    ]


def test_of_several_sites_one_has_to_be_named(files):
    station = files[0]
    two = replace(station, sites={**station.sites, "outer": next(iter(station.sites.values()))})
    assert site_of(two, "outer").key == "sallowhorn-cove"
    with pytest.raises(Refusal, match=r"2 sites \(sallowhorn-cove, outer\): say which with --at KEY"):
        site_of(two, None)
    with pytest.raises(Refusal, match="there is no site 'outter'; the nearest is 'outer'"):
        site_of(two, "outter")
