"""Where animals are and what became of them: tests that read like a tally."""

from __future__ import annotations

import itertools
from datetime import datetime

import pytest

from haulbook.custody.book import Book, merge
from haulbook.custody.facts import Later, Measure, Short, Subsample
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.ledger import account_of, balances
from haulbook.custody.when import When

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/1"


def fates(book, **where):
    found = {}
    for lot in account_of(book).animals:
        if all(getattr(lot, key) == value for key, value in where.items()):
            found[lot.fate] = found.get(lot.fate, 0) + lot.n
    return found


def by_place(book, at=None):
    return {place: n for (place,), n in balances(book, at).by("place").items()}


def test_what_leaves_one_place_arrives_in_another_and_all_together_is_zero(phone):
    phone.move("sea", "net", 9)
    phone.move("net", "bucket 1", 4)
    phone.move("bucket 1", "back", 1)
    assert by_place(phone.book) == {"sea": -9, "net": 5, "bucket 1": 3, "back": 1}
    assert balances(phone.book).n == 0


# The table of places, fates and bases of the project's joints, section 3 (permits-and-data A4.1).
TABLE = [
    (["sea", "escaped"], None, "seen_escaped", "enc"),
    (["sea", "net", "back-in-net"], None, "released_in_net", "enc capt rel"),
    (["sea", "back"], None, "released_alive", "enc capt hand rel"),
    (["sea", "bucket 1"], "keep", "retained_alive", "enc capt hand ret"),
    (["sea", "cooler 1"], None, "retained_alive", "enc capt hand ret"),
    (["sea", "bucket 1", "tank q1"], "hold", "retained_alive", "enc capt hand ret"),
    (["sea", "given"], None, "retained_alive", "enc capt hand ret"),
    (["sea", "killed-kept"], None, "retained_dead", "enc capt hand ret kill lethal"),
    (["sea", "killed-back"], None, "killed_not_kept", "enc capt hand kill lethal"),
    (["sea", "bucket 1", "dead-back"], "keep", "died_released", "enc capt hand died lethal"),
    (["sea", "dead-kept"], None, "died_retained", "enc capt hand ret died lethal"),
    (["sea", "bucket 1", "lost"], "keep", "fate_unknown", "enc capt hand"),
    (["sea", "net"], None, "unaccounted", "enc capt"),
    (["sea", "bucket 1"], "hold", "unaccounted", "enc capt hand"),
    (["sea", "bucket 1"], "release", "unaccounted", "enc capt hand"),
    (["sea", "bucket 1"], None, "unaccounted", "enc capt hand"),
]
SHORT = {
    "enc": Basis.ENCOUNTERED,
    "capt": Basis.CAPTURED,
    "hand": Basis.HANDLED,
    "rel": Basis.RELEASED,
    "ret": Basis.RETAINED,
    "kill": Basis.KILLED,
    "died": Basis.DIED,
    "lethal": Basis.LETHAL,
}


@pytest.mark.parametrize(("way", "purpose", "fate", "bases"), TABLE)
def test_each_place_gives_the_fate_and_the_bases_of_the_table(phone, way, purpose, fate, bases):
    if purpose:
        phone.place("bucket 1", "set-up", purpose=purpose)
    for start, end in itertools.pairwise(way):
        phone.move(start, end, 1, **({"cause": "jumped out"} if end == "lost" else {}))
    (lot,) = account_of(phone.book).animals
    assert (lot.fate, lot.place) == (Fate(fate), way[-1])
    assert lot.bases == {SHORT[name] for name in bases.split()}


def test_the_cut_off_is_the_moment_at_which_the_bucket_left_the_beach(phone):
    phone.place("bucket 1", "set-up", purpose="keep")
    phone.move("sea", "bucket 1", 3)
    phone.place("bucket 1", "left-beach", at="2027-05-14T08:10:00-04:00")
    death = phone.move("bucket 1", "dead-kept", 1, at="2027-05-14T08:40:00-04:00")
    rest = phone.move("bucket 1", "tank q1", 2, at="2027-05-14T09:30:00-04:00")
    died, alive = sorted(account_of(phone.book).animals, key=lambda lot: lot.n)
    assert (died.fate, died.fated, died.place) == (
        Fate.RETAINED_ALIVE,
        When("2027-05-14T08:10:00-04:00"),
        "dead-kept",
    )
    assert died.later == (Later("died", When("2027-05-14T08:40:00-04:00"), death.id),)
    assert (alive.fate, alive.fated, alive.later) == (
        Fate.RETAINED_ALIVE,
        When("2027-05-14T08:10:00-04:00"),
        (),
    )
    assert alive.entries == (phone.entries[1].id, phone.entries[2].id, rest.id)


def test_a_move_into_a_tank_is_the_cut_off_where_no_bucket_was_said_to_leave(phone):
    phone.move("sea", "bucket 1", 2)
    phone.move("bucket 1", "tank q1", 2, at="2027-05-14T09:30:00-04:00")
    phone.move("tank q1", "tank q2", 2)
    (lot,) = account_of(phone.book).animals
    assert (lot.fate, lot.fated, lot.place, lot.later) == (
        Fate.RETAINED_ALIVE,
        When("2027-05-14T09:30:00-04:00"),
        "tank q2",
        (),
    )


@pytest.mark.parametrize(
    ("sink", "kind"),
    [
        ("dead-back", "died"),
        ("dead-kept", "died"),
        ("killed-kept", "killed"),
        ("killed-back", "killed"),
        ("given", "given"),
        ("back", "back"),
        ("lost", "lost"),
    ],
)
def test_what_happens_after_the_cut_off_stands_beside_the_fate(phone, sink, kind):
    phone.move("sea", "bucket 1", 1)
    phone.move("bucket 1", "tank q1", 1)
    last = phone.move("tank q1", sink, 1, outing=None, cause="not found at the count")
    (lot,) = account_of(phone.book).animals
    assert (lot.fate, lot.place) == (Fate.RETAINED_ALIVE, sink)
    assert lot.later == (Later(kind, last.when, last.id),)


def test_animals_put_back_alive_before_leaving_are_released_and_found_dead_died(phone):
    phone.place("bucket 1", "set-up", purpose="keep")
    phone.move("sea", "bucket 1", 3)
    phone.move("bucket 1", "back", 1)
    phone.move("bucket 1", "dead-kept", 1)
    assert fates(phone.book) == {Fate.RETAINED_ALIVE: 1, Fate.RELEASED_ALIVE: 1, Fate.DIED_RETAINED: 1}


def test_a_hold_bucket_that_left_the_beach_stays_unaccounted_until_somebody_says_what_it_was_for(phone):
    phone.place("bucket 2", "set-up", purpose="hold")
    phone.move("sea", "bucket 2", 2)
    phone.place("bucket 2", "left-beach", at="2027-05-14T08:10:00-04:00")
    phone.move("bucket 2", "tank q1", 2, at="2027-05-14T09:30:00-04:00")
    assert fates(phone.book) == {Fate.UNACCOUNTED: 2}
    phone.place("bucket 2", "purpose", purpose="keep", at="2027-05-14T08:09:00-04:00")
    assert fates(phone.book) == {Fate.RETAINED_ALIVE: 2}


def test_what_is_put_into_a_cooler_that_has_left_has_left_too_until_it_is_set_up_again(phone):
    phone.place("cooler 1", "left-beach", at="2027-05-14T08:10:00-04:00")
    phone.move("sea", "bucket 1", 1)
    phone.move("bucket 1", "cooler 1", 1, at="2027-05-14T08:12:00-04:00")
    phone.move("cooler 1", "dead-back", 1, at="2027-05-14T08:20:00-04:00")
    assert fates(phone.book) == {Fate.RETAINED_ALIVE: 1}
    phone.place("cooler 1", "set-up", at="2027-05-14T08:11:00-04:00")
    assert fates(phone.book) == {Fate.DIED_RELEASED: 1}


def test_the_plan_says_what_buckets_are_for_until_somebody_says_another(phone):
    plan = {
        "buckets": [{"place": "bucket 1", "purpose": "keep"}, {"place": "bucket 2", "purpose": "keep"}, "x"]
    }
    opened = {
        "plan": plan,
        "digest": "0" * 64,
        "pack": "nwatlantic",
        "version": "1",
        "permits": [],
        "looked_for": ["rock-gunnel"],
    }
    phone.place("bucket 2", "set-up", purpose="release")
    phone.write("outing-opened", opened)
    phone.move("sea", "bucket 1", 1)
    phone.move("sea", "bucket 2", 1)
    assert fates(phone.book, place="bucket 1") == {Fate.RETAINED_ALIVE: 1}
    assert fates(phone.book, place="bucket 2") == {Fate.UNACCOUNTED: 1}
    assert account_of(phone.book).looked_for == {OUTING: ("rock-gunnel",)}


def test_buckets_belong_to_their_outing_and_tanks_to_the_station(make_phone):
    one, two = make_phone("d1"), make_phone("d2", outing="2027-06-01-a")
    one.move("sea", "bucket 1", 2)
    two.move("sea", "bucket 1", 3, haul="2027-06-01-a/1")
    one.move("bucket 1", "tank q1", 1)
    two.move("bucket 1", "tank q1", 1, haul="2027-06-01-a/1")
    held = balances(merge(one.book, two.book))
    assert held.of(place="bucket 1").by("outing") == {(OUTING,): 1, ("2027-06-01-a",): 2}
    assert held.of(place="tank q1").by("outing", "haul") == {(None, HAUL): 1, (None, "2027-06-01-a/1"): 1}
    assert held.inside.n == 5


def test_a_released_animal_belongs_to_the_outing_of_its_haul_whoever_carried_it_back(make_phone):
    one, two = make_phone("d1"), make_phone("d2", start="2027-06-01T06:30:00-04:00", outing="2027-06-01-a")
    one.move("sea", "tank q1", 3)
    two.move("tank q1", "bucket 1", 2, haul=HAUL)
    two.move("bucket 1", "back", 1, haul=HAUL)
    held = balances(merge(one.book, two.book)).by("outing", "place")
    assert held == {
        (OUTING, "sea"): -3,
        (None, "tank q1"): 1,
        ("2027-06-01-a", "bucket 1"): 1,
        (OUTING, "back"): 1,
    }


def test_a_redetermination_takes_the_whole_past_along_also_of_animals_long_back(phone):
    call = phone.move("sea", "bucket 1", 3, "cottidae", said="three sculpin", doubt="name")
    phone.move("bucket 1", "back", 3, "cottidae")
    seen = phone.rename("back", 2, "cottidae", {"taxon": "grubby", "stage": "young"})
    grubby = next(lot for lot in account_of(phone.book).animals if lot.taxon == "grubby")
    assert (grubby.n, grubby.stage, grubby.fate, grubby.said, grubby.doubt) == (
        2,
        "young",
        Fate.RELEASED_ALIVE,
        "three sculpin",
        None,
    )
    assert grubby.entries[0] == call.id
    assert grubby.entries[-1] == seen.id
    assert balances(phone.book).by("place", "taxon") == {
        ("sea", "cottidae"): -1,
        ("sea", "grubby"): -2,
        ("back", "cottidae"): 1,
        ("back", "grubby"): 2,
    }


def test_a_redetermination_in_a_tank_keeps_the_fate_and_its_instant(phone):
    phone.move("sea", "bucket 1", 2, "cottidae")
    phone.move("bucket 1", "tank q1", 2, "cottidae", at="2027-05-14T09:30:00-04:00")
    phone.rename("tank q1", 1, "cottidae", "grubby", outing=None)
    phone.move("tank q1", "dead-kept", 1, "grubby", outing=None)
    (lot,) = [lot for lot in account_of(phone.book).animals if lot.taxon == "grubby"]
    assert (lot.fate, lot.fated, lot.later[0].kind) == (
        Fate.RETAINED_ALIVE,
        When("2027-05-14T09:30:00-04:00"),
        "died",
    )


def test_a_line_that_tells_nothing_takes_the_unknown_first_and_one_that_tells_teaches(phone):
    phone.move("sea", "bucket 1", 2, sex="female")
    phone.move("sea", "bucket 1", 3)
    phone.move("bucket 1", "back", 2)
    phone.move("bucket 1", "given", 1, sex="male")
    phone.move("bucket 1", "dead-back", 2, sex="female")
    assert sorted((lot.place, lot.sex, lot.n) for lot in account_of(phone.book).animals if lot.sex) == [
        ("dead-back", "female", 2),
        ("given", "male", 1),
    ]
    assert sum(lot.n for lot in account_of(phone.book).animals if lot.place == "back") == 2


def test_a_line_that_tells_the_sex_takes_an_animal_of_that_sex_before_one_that_nobody_sexed(phone):
    phone.move("sea", "bucket 1", 1, sex="male")
    phone.move("sea", "bucket 1", 1)
    phone.move("sea", "bucket 1", 1, sex="female")
    phone.move("bucket 1", "given", 1, sex="female")
    assert [(lot.place, lot.sex) for lot in account_of(phone.book).animals if lot.place == "given"] == [
        ("given", "female")
    ]
    left = {lot.sex for lot in account_of(phone.book).animals if lot.place == "bucket 1"}
    assert left == {"male", None}, "the one that nobody sexed is still there, and unsexed"


def test_a_better_name_settles_a_doubtful_name_and_no_doubtful_count(phone):
    phone.move("sea", "back", 1, "cottidae", doubt="name")
    phone.move("sea", "back", 9, "shrimp", doubt="count")
    phone.rename("back", 1, "cottidae", "grubby")
    phone.rename("back", 9, "shrimp", "grass-shrimp")
    assert {lot.taxon: lot.doubt for lot in account_of(phone.book).animals} == {
        "grubby": None,
        "grass-shrimp": "count",
    }


def test_where_only_contrary_animals_are_left_the_number_still_holds_and_the_later_word_counts(phone):
    phone.move("sea", "bucket 1", 2, sex="female")
    phone.move("bucket 1", "back", 1, sex="male")
    assert by_place(phone.book) == {"sea": -2, "bucket 1": 1, "back": 1}
    assert {lot.place: lot.sex for lot in account_of(phone.book).animals} == {
        "bucket 1": "female",
        "back": "male",
    }


def test_lengths_marks_and_origin_travel_with_the_animal(phone):
    phone.move(
        "sea",
        "bucket 1",
        1,
        length_mm=61.5,
        length_type="total",
        mark="left pelvic clip",
        origin="hatchery",
        berried=True,
    )
    phone.move("bucket 1", "back", 1)
    (lot,) = account_of(phone.book).animals
    assert (lot.length_mm, lot.length_type, lot.mark, lot.origin, lot.berried) == (
        61.5,
        "total",
        "left pelvic clip",
        "hatchery",
        True,
    )


def test_stage_unit_and_haul_are_never_taken_for_each_other(phone):
    phone.move("sea", "net", 2, stage="young")
    phone.move("sea", "net", 2, haul=2)
    phone.move("sea", "net", 2, unit="gram")
    phone.move("net", "back", 1)
    assert account_of(phone.book).short == (Short(OUTING, "net", HAUL, "cunner", None, "individual", 1),)


def test_an_egg_mass_is_one_whether_stage_or_unit_was_said(phone):
    phone.move("sea", "net", 2, stage="egg mass")
    phone.move("net", "back", 2, unit="egg_mass")
    (lot,) = account_of(phone.book).animals
    assert (lot.stage, lot.unit, lot.place) == ("egg mass", "egg_mass", "back")


def test_scoops_stay_with_the_animals_that_they_stand_for(phone):
    scoops = {"method": "scoops", "of": 12, "counted": [52, 47, 51], "batch": "tote 1"}
    call = phone.move("sea", "net", 600, "atlantic-silverside", basis="expanded", subsample=scoops)
    phone.move("net", "back", 600, "atlantic-silverside")
    (lot,) = account_of(phone.book).animals
    assert (lot.n, lot.basis) == (600, "expanded")
    assert lot.subsample == Subsample("scoops", 12, (52, 47, 51), "tote 1", call.id)


def test_taking_more_than_there_was_goes_below_zero_in_sight_and_is_never_a_crash(phone):
    phone.move("sea", "bucket 1", 3)
    phone.move("bucket 1", "back", 5)
    assert by_place(phone.book) == {"sea": -3, "bucket 1": -2, "back": 5}
    account = account_of(phone.book)
    assert sum(lot.n for lot in account.animals) == 5
    assert account.short == (Short(OUTING, "bucket 1", HAUL, "cunner", None, "individual", 2),)


def test_animals_that_left_by_one_clock_before_they_came_by_another_get_their_past_when_it_comes(make_phone):
    one, two = (
        make_phone("d1"),
        make_phone("d2", start="2027-05-14T06:00:00-04:00"),
    )  # d2's clock is half an hour behind
    call = one.move("sea", "bucket 1", 6, said="six cunner", sex="female")
    moved = two.move("bucket 1", "bucket 2", 4)
    two.rename("bucket 2", 1, "cunner", "tautog")
    two.move("bucket 2", "back", 2)
    account = account_of(merge(one.book, two.book))
    assert account.short == ()
    assert {(lot.place, lot.taxon, lot.n) for lot in account.animals} == {
        ("bucket 1", "cunner", 2),
        ("bucket 2", "cunner", 1),
        ("bucket 2", "tautog", 1),
        ("back", "cunner", 2),
    }
    assert {(lot.called, lot.said, lot.sex) for lot in account.animals} == {
        (call.when, "six cunner", "female")
    }
    assert all(lot.entries[:2] == (call.id, moved.id) for lot in account.animals if lot.place != "bucket 1")


def test_what_came_on_credit_through_two_places_is_settled_in_pieces(make_phone):
    one, two = make_phone("d1"), make_phone("d2", start="2027-05-14T06:00:00-04:00")
    two.move("bucket 2", "tank q1", 3)
    two.move("bucket 1", "bucket 2", 3)
    one.move("sea", "bucket 1", 2)
    one.move("sea", "bucket 1", 1)
    account = account_of(merge(one.book, two.book))
    assert account.short == ()
    assert sorted((lot.n, lot.place, lot.fate, len(lot.entries)) for lot in account.animals) == [
        (1, "tank q1", Fate.RETAINED_ALIVE, 3),
        (2, "tank q1", Fate.RETAINED_ALIVE, 3),
    ]


def test_what_left_on_credit_and_comes_back_to_the_same_place_never_was(phone):
    phone.move("bucket 1", "bucket 2", 2)
    phone.move("bucket 2", "bucket 1", 1)
    assert by_place(phone.book) == {"bucket 1": -1, "bucket 2": 1}
    phone.move("bucket 2", "bucket 1", 1)
    assert by_place(phone.book) == {}
    assert account_of(phone.book).animals == account_of(phone.book).short == ()


def test_nothing_is_lost_when_part_of_what_is_renamed_back_was_there_on_credit(phone):
    phone.move("sea", "bucket 1", 2)
    phone.rename("bucket 1", 4, "cunner", "grubby")  # two of them were never called
    phone.move("bucket 1", "bucket 2", 1, "grubby")
    phone.rename("bucket 1", 3, "grubby", "cunner")
    assert balances(phone.book).inside.by("place", "taxon") == {
        ("bucket 1", "cunner"): 1,
        ("bucket 2", "grubby"): 1,
    }
    assert sum(lot.n for lot in account_of(phone.book).animals) == 2
    assert account_of(phone.book).short == ()


def test_animals_born_or_brought_are_held_but_nothing_was_captured(phone):
    entry = phone.next_id()
    phone.move("brought", "tank q1", 4, haul=entry, outing=None)
    phone.move("tank q1", "dead-kept", 1, haul=entry, outing=None)
    assert by_place(phone.book) == {"brought": -4, "tank q1": 3, "dead-kept": 1}
    assert account_of(phone.book).animals == ()


def test_redetermined_brought_animals_still_balance(phone):
    entry = phone.next_id()
    phone.move("brought", "tank q1", 4, haul=entry, outing=None)
    line = {"place": "tank q1", "haul": entry, "n": 1, "was": {"taxon": "cunner"}, "now": {"taxon": "tautog"}}
    phone.write("redetermination", {"lines": [line], "why": "grown"}, outing=None)
    assert balances(phone.book).by("taxon") == {("cunner",): 0, ("tautog",): 0}
    assert balances(phone.book).of(place="brought").by("taxon") == {("cunner",): -3, ("tautog",): -1}


def test_balances_can_be_read_at_any_instant(phone):
    phone.move("sea", "net", 5, at="2027-05-14T06:40:00-04:00")
    phone.move("net", "back", 5, at="2027-05-14T06:50:00-04:00")
    assert by_place(phone.book, datetime.fromisoformat("2027-05-14T06:39:59-04:00")) == {}
    assert by_place(phone.book, datetime.fromisoformat("2027-05-14T06:40:00-04:00")) == {"sea": -5, "net": 5}
    assert by_place(phone.book, datetime.fromisoformat("2027-05-14T10:50:00+00:00")) == {"sea": -5, "back": 5}


def test_the_account_until_an_instant_has_the_name_known_then(phone):
    phone.move("sea", "back", 1, "cottidae", at="2027-05-14T06:40:00-04:00")
    phone.rename("back", 1, "cottidae", "grubby", at="2027-05-16T10:00:00-04:00")
    then = account_of(phone.book, datetime.fromisoformat("2027-05-14T12:00:00-04:00"))
    assert [lot.taxon for lot in then.animals] == ["cottidae"]
    assert [lot.taxon for lot in account_of(phone.book).animals] == ["grubby"]


def test_a_struck_line_never_was_and_what_stands_instead_counts(phone):
    slip = phone.move("sea", "back", 50)
    right = phone.move("sea", "back", 5)
    phone.strike(slip, instead=[right.id])
    assert fates(phone.book) == {Fate.RELEASED_ALIVE: 5}


def test_a_date_without_a_clock_time_keeps_its_order_within_the_sheet(make_phone):
    sheet = make_phone("file-0123456789ab")
    sheet.move("sea", "bucket 1", 2, at="2027-05-14")
    sheet.move("bucket 1", "back", 2, at="2027-05-14")
    assert fates(sheet.book) == {Fate.RELEASED_ALIVE: 2}
    assert account_of(sheet.book).animals[0].called == When("2027-05-14")


def test_hauls_are_told_by_whoever_said_it_first_and_end_when_the_last_one_says_so(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    one.write(
        "haul-started",
        {"haul": HAUL, "site": "cove", "net": "n1", "set_type": "straight", "lat": 41.46, "lon": -71.31},
    )
    two.write("haul-started", {"haul": HAUL, "label": "cove/1"})
    landed = {
        "haul": HAUL,
        "condition": 2,
        "why": "stone",
        "w": {"m": 6, "basis": "measured"},
        "depth_m": 0.8,
        "area": {"m2": 186, "basis": "measured", "said_by": "p1"},
    }
    one.write("haul-landed", landed)
    one.write("haul-ended", {"haul": HAUL}, at="2027-05-14T07:00:00-04:00")
    two.write("haul-ended", {"haul": HAUL}, at="2027-05-14T07:04:00-04:00")
    two.write("remark", {"text": "a seal looked on", "haul": HAUL})
    (haul,) = account_of(merge(two.book, one.book)).hauls
    assert (haul.outing, haul.label, haul.site, haul.net, haul.set_type) == (
        OUTING,
        "cove/1",
        "cove",
        "n1",
        "straight",
    )
    assert (haul.lat, haul.lon, haul.area_m2, haul.depth_m) == (41.46, -71.31, 186, 0.8)
    assert (haul.condition, haul.why, haul.measures) == (2, "stone", {"w": Measure(6.0, "measured")})
    assert (haul.started, haul.landed) == (one.entries[0].when, one.entries[1].when)
    assert haul.ended == When("2027-05-14T07:04:00-04:00")
    assert haul.remarks == ("a seal looked on",)


def test_a_haul_that_only_animals_speak_of_is_there_and_tens_sort_after_nines(phone):
    for number in (10, 9, 1):
        phone.move("sea", "back", 1, haul=number)
    assert [haul.key for haul in account_of(phone.book).hauls] == [
        f"{OUTING}/1",
        f"{OUTING}/9",
        f"{OUTING}/10",
    ]


def test_searched_and_none_is_withdrawn_when_the_haul_yields_one_or_a_member(phone):
    phone.write("searched-and-none", {"haul": HAUL, "taxa": ["cottidae", "american-eel", "rock-gunnel"]})
    phone.move("sea", "escaped", 1, "american-eel")
    phone.move("sea", "back", 1, "grubby")
    assert account_of(phone.book).none_found == ((HAUL, "cottidae"), (HAUL, "rock-gunnel"))
    within = lambda taxon, other: taxon == other or (taxon, other) == ("grubby", "cottidae")  # noqa: E731
    assert account_of(phone.book, within=within).none_found == ((HAUL, "rock-gunnel"),)


def test_present_is_neither_zero_nor_one(phone):
    phone.write("present", {"haul": HAUL, "taxon": "moon-jelly"})
    phone.write("searched-and-none", {"haul": HAUL, "taxa": ["moon-jelly"]})
    account = account_of(phone.book)
    assert account.present == ((HAUL, "moon-jelly"),)
    assert account.animals == account.none_found == ()


def test_lengths_are_facts_of_their_own(phone):
    phone.write(
        "lengths",
        {
            "haul": HAUL,
            "taxon": "cunner",
            "length_type": "total",
            "mm": [41, 38.5],
            "g": [1.2, 0.9],
            "clipped": True,
        },
    )
    (lengths,) = account_of(phone.book).lengths
    assert (lengths.mm, lengths.g, lengths.clipped, lengths.stage) == ((41, 38.5), (1.2, 0.9), True, None)


def test_a_haul_that_was_only_taken_for_the_last_one_says_so(phone):
    phone.move("sea", "bucket 1", 1)
    phone.move("bucket 1", "dead-back", 1, haul_assumed=True, cause="predation")
    (lot,) = account_of(phone.book).animals
    assert (lot.haul_assumed, lot.cause) == (True, "predation")


def test_an_empty_book_is_an_empty_account():
    account = account_of(Book())
    assert (account.hauls, account.animals, account.short) == ((), (), ())
    assert balances(Book()).rows == ()
