"""The first month: diary, quarantine, checks, refusals, stocking."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from haulbook.care.bucket.clock import Water
from haulbook.care.demand import spread
from haulbook.care.tank.checks import checks, checks_of, refused_days
from haulbook.care.tank.diary import care_body, notes_of
from haulbook.care.tank.live_food import first_food
from haulbook.care.tank.quarantine import clock, clock_of
from haulbook.care.tank.stocking import stocking
from haulbook.problems import Refusal
from haulbook.taxa import load_pack

DAY = timedelta(days=1)
HOME = "2027-05-14T13:00:00-04:00"


def at(text):
    return datetime.fromisoformat(text)


def test_a_death_is_a_move_and_no_care_entry():
    with pytest.raises(Refusal, match="is no care entry: move the animals"):
        care_body("tank q1", "died")


def test_a_treatment_names_its_veterinarian_or_is_refused():
    with pytest.raises(Refusal, match="which veterinarian prescribed it"):
        care_body("tank q1", "treated", what="a bath")
    body = care_body("tank q1", "treated", what="a bath", prescribed_by="p7")
    assert body == {"place": "tank q1", "act": "treated", "what": "a bath", "prescribed_by": "p7"}


def test_an_unknown_act_names_the_nearest():
    with pytest.raises(Refusal, match="nearest is 'refused'"):
        care_body("tank q1", "refuse")


def test_the_books_own_rules_accept_every_care_body(log):
    log.write("care", care_body("tank q1", "fed", taxon="cunner", grams=4.5, what="mysis"), HOME, None)
    assert notes_of(log.book, "tank q1")[0].act == "fed"


def test_quarantine_runs_thirty_days_from_the_last_addition():
    first = at(HOME)
    alone = clock([first], first + 10 * DAY)
    assert (alone.days_left, alone.restarts, alone.over) == (20.0, 0, False)
    joined = clock([first, first + 9 * DAY], first + 10 * DAY)
    assert (joined.days_left, joined.restarts) == (29.0, 1)
    assert clock([first], first + 30 * DAY).over


def test_what_has_not_arrived_yet_does_not_count():
    first = at(HOME)
    assert clock([first, first + 20 * DAY], first + 10 * DAY).days_left == 20.0
    assert clock([], first).over


def test_the_book_restarts_the_clock_and_a_struck_move_does_not(log):
    log.move("bucket 1", "tank q1", 6, "cunner", HOME)
    late = log.move("bucket 1", "tank q1", 2, "cunner", "2027-05-20T13:00:00-04:00")
    now = at("2027-05-24T13:00:00-04:00")
    assert clock_of(log.book, "tank q1", now).days_left == 26.0
    log.write("strike", {"entries": [late.id], "reason": "slip"}, "2027-05-21T08:00:00-04:00")
    assert clock_of(log.book, "tank q1", now).days_left == 20.0
    assert clock_of(log.book, "tank q2", now).started is None


def test_looks_are_due_after_one_two_and_three_days():
    start = at(HOME)
    found = checks(start, [start + 25 * timedelta(hours=1)], start + 62 * timedelta(hours=1))
    assert [each.after_h for each in found] == [24, 48, 72]
    assert [each.done is not None for each in found] == [True, False, False]
    assert [each.late for each in found] == [False, True, False]


def test_looks_are_read_from_the_book(log):
    log.move("bucket 1", "tank q1", 6, "cunner", HOME)
    log.care("checked", "2027-05-15T09:00:00-04:00")
    found = checks_of(log.book, "tank q1", at("2027-05-15T20:00:00-04:00"))
    assert found[0].done == at("2027-05-15T09:00:00-04:00")
    assert checks_of(log.book, "tank q2", at("2027-05-15T20:00:00-04:00")) == ()


def test_three_days_without_food_call_for_somebody(log):
    for day in (15, 16, 17):
        log.care("refused", f"2027-05-{day}T20:30:00-04:00", taxon="cunner")
    (found,) = refused_days(notes_of(log.book, "tank q1"))
    assert (found.days, found.escalate) == (3, True)
    assert "offer live food" in found.advice


def test_days_are_local_days_and_eating_ends_the_row(log):
    log.care("refused", "2027-05-15T20:30:00-04:00", taxon="cunner")
    log.care("refused", "2027-05-15T23:30:00-04:00", taxon="cunner")
    (found,) = refused_days(notes_of(log.book, "tank q1"))
    assert (found.days, found.escalate) == (1, False)
    log.care("ate", "2027-05-16T08:00:00-04:00", taxon="cunner")
    assert refused_days(notes_of(log.book, "tank q1")) == ()


def test_pipefish_need_live_food_and_the_unknown_has_no_advice():
    pack = load_pack("nwatlantic")
    food = first_food("pipefish-stickleback", ("northern-pipefish", *pack.lineage("northern-pipefish")))
    assert food.live
    assert "mysids" in food.food
    assert first_food("jelly") is None


def test_a_tank_is_stocked_by_oxygen_or_by_ammonia_whichever_is_less():
    water = Water(200, 12, 30, air_per_h=2)
    each = spread(1.25, 0.5)
    alone = stocking(water, each)
    assert (alone.limit, alone.by_ammonia) == ("oxygen", None)
    # 200 L x 2 /h x (8.9242 - 7.1394) mg/L = 713.9 mg/h; 1.25 x 1.5 x 2.2 = 4.125 mg/h each
    assert alone.animals == 173
    filtered = stocking(water, each, filter_mg_n_h=10)
    assert (filtered.limit, filtered.animals) == ("ammonia", int(10 // (0.24 * 14.0067 / 31.9988 * 4.125)))


def test_a_tank_without_air_is_not_stocked():
    with pytest.raises(Refusal, match="a tank needs air"):
        stocking(Water(200, 12, 30), spread(1.25, 0.5))
