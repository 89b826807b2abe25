"""What the union of all entries makes impossible: each said in words, with its key, gone when mended."""

from __future__ import annotations

from haulbook.custody.book import Book, merge
from haulbook.custody.discrepancies import discrepancies

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/1"


def of_kind(kind, *books, **more):
    return [one for one in discrepancies(merge(*books), **more) if one.kind == kind]


def test_a_book_in_order_has_none(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    one.write("haul-started", {"haul": HAUL})
    one.move("sea", "net", 5)
    two.move("sea", "net", 5, "grubby")
    one.move("net", "back", 5)
    assert discrepancies(merge(one.book, two.book)) == ()


def test_below_zero_says_what_arrived_what_left_and_how_to_mend_it(phone):
    arrived = phone.move("sea", "bucket 1", 3)
    left = phone.move("bucket 1", "back", 5)
    (found,) = of_kind("below-zero", phone.book)
    assert found.key == f"below-zero:{OUTING} bucket 1 cunner - individual {HAUL}"
    assert found.words == (
        f"bucket 1 of {OUTING}: 3 cunner of {HAUL} arrived and 5 left, 2 too many: "
        "enter what arrived, or strike the line that took too many"
    )
    assert (found.expected, found.found, found.outing, found.entries) == (
        0,
        -2,
        OUTING,
        (arrived.id, left.id),
    )
    phone.move("sea", "bucket 1", 2)
    assert of_kind("below-zero", phone.book) == []


def test_a_single_animal_that_arrived_is_told_among_the_arrived(phone):
    phone.move("sea", "bucket 1", 1)
    phone.move("bucket 1", "back", 3)
    (found,) = of_kind("below-zero", phone.book)
    assert f"1 cunner of {HAUL} arrived and 3 left, 2 too many" in found.words


def test_a_tank_below_zero_is_of_the_station_and_shown_with_the_hauls_outing(phone):
    phone.move("tank q1", "dead-back", 1, outing=None)
    (found,) = of_kind("below-zero", phone.book)
    assert found.key == f"below-zero:station tank q1 cunner - individual {HAUL}"
    assert found.outing == OUTING


def test_a_count_that_differs_says_which_way_and_is_mended_by_entering_the_lost(phone):
    phone.move("sea", "bucket 1", 6)
    count = phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "n": 5})
    (found,) = of_kind("count-differs", phone.book)
    assert found.key == f"count-differs:{count.id}"
    assert found.words == (
        f"bucket 1 of {OUTING}: the book says 6 cunner, p3 found 5 at {count.at}: 1 too few; "
        "say where they went (lost, with its cause), or strike the count"
    )
    assert (found.expected, found.found) == (6, 5)
    phone.move("bucket 1", "lost", 1, cause="missing at the count")
    assert of_kind("count-differs", phone.book) == []


def test_more_lost_than_were_missing_and_lost_elsewhere_mend_nothing_wrong(phone):
    phone.move("sea", "bucket 1", 6)
    phone.move("sea", "bucket 2", 6)
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "n": 5})
    phone.move("bucket 2", "lost", 1, cause="jumped out")
    assert len(of_kind("count-differs", phone.book)) == 1
    phone.write("counted-again", {"place": "bucket 2", "taxon": "cunner", "n": 6})
    said = {one.words.split("; ")[0].rpartition(": ")[2] for one in of_kind("count-differs", phone.book)}
    assert said == {"1 too few", "1 too many"}


def test_a_count_of_all_stages_is_held_against_all_of_them_and_one_of_a_stage_against_that(phone):
    phone.move("sea", "bucket 1", 2, stage="young")
    phone.move("sea", "bucket 1", 3, haul=2)
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "n": 5})
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "stage": "young", "n": 2})
    assert of_kind("count-differs", phone.book) == []
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "stage": "young", "n": 3})
    (found,) = of_kind("count-differs", phone.book)
    assert "the book says 2 cunner (young), p3 found 3" in found.words
    assert "1 too many; enter the line that was never called" in found.words


def test_a_count_of_animals_is_not_held_against_egg_masses_of_the_same_taxon(phone):
    phone.move("sea", "bucket 1", 3)
    phone.move("sea", "bucket 1", 2, stage="egg mass")
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "n": 3})
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "stage": "egg mass", "n": 2})
    assert of_kind("count-differs", phone.book) == []
    phone.write("counted-again", {"place": "bucket 1", "taxon": "cunner", "stage": "egg mass", "n": 3})
    (found,) = of_kind("count-differs", phone.book)
    assert (found.expected, found.found) == (2, 3)


def test_a_tank_is_counted_over_all_outings_and_hauls(phone):
    phone.move("sea", "tank q1", 2)
    phone.move("sea", "tank q1", 1, haul=2)
    phone.write("counted-again", {"place": "tank q1", "taxon": "cunner", "n": 3}, outing=None)
    assert of_kind("count-differs", phone.book) == []


def test_one_catch_called_on_two_devices_is_asked_until_one_is_struck_or_both_are_said_to_stand(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    first, second = one.move("sea", "net", 6), two.move("sea", "net", 4)
    (found,) = of_kind("double-count", one.book, two.book)
    assert found.key == f"double-count:{HAUL} cunner - d1 d2"
    assert found.words == (
        f"d1 called 6 and d2 called 4 cunner of {HAUL}: 10 if both stand, at most 6 if they are the same. "
        "Strike one, or settle that both stand"
    )
    assert (found.entries, found.expected, found.found) == ((first.id, second.id), 6, 10)
    settled = make_phone("desk")
    settled.write("settled", {"key": found.key, "answer": "both stand", "why": "two ends of the net"})
    assert [one.settled for one in of_kind("double-count", one.book, two.book, settled.book)] == [
        "both stand"
    ]
    two.strike(second)
    assert of_kind("double-count", one.book, two.book) == []


def test_another_stage_or_haul_on_the_second_device_is_no_double_count(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    one.move("sea", "net", 6)
    two.move("sea", "net", 4, stage="young")
    two.move("sea", "net", 4, haul=2)
    assert of_kind("double-count", one.book, two.book) == []


def test_a_haul_started_twice_more_than_five_minutes_apart_is_asked(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    one.write("haul-started", {"haul": HAUL, "net": "n1"}, at="2027-05-14T06:40:00-04:00")
    two.write("haul-started", {"haul": HAUL}, at="2027-05-14T06:45:00-04:00")
    assert of_kind("started-twice", one.book, two.book) == []
    two.write("haul-started", {"haul": HAUL}, at="2027-05-14T06:45:01-04:00")
    (found,) = of_kind("started-twice", one.book, two.book)
    assert found.key == f"started-twice:{HAUL}"
    assert (
        "differ in when it started (2027-05-14T06:40:00-04:00, 2027-05-14T06:45:01-04:00): strike the wrong one"
        in found.words
    )


def test_a_haul_told_of_with_another_geometry_is_asked(make_phone):
    one, two = make_phone("d1"), make_phone("d2")
    one.write("haul-landed", {"haul": HAUL, "condition": 1, "w": {"m": 6.2, "basis": "measured"}})
    two.write(
        "haul-landed",
        {
            "haul": HAUL,
            "condition": 1,
            "w": {"m": 7, "basis": "measured"},
            "d": {"m": 30, "basis": "measured"},
        },
    )
    (found,) = of_kind("started-twice", one.book, two.book)
    assert "the two differ in w (6.2 m, 7 m): " in found.words


def test_a_zero_that_the_haul_contradicts_is_withdrawn_and_said_so(phone):
    search = phone.write("searched-and-none", {"haul": HAUL, "taxa": ["cottidae"]})
    call = phone.move("sea", "back", 2, "grubby")
    assert of_kind("zero-and-count", phone.book) == []
    (found,) = of_kind(
        "zero-and-count", phone.book, within=lambda taxon, other: (taxon, other) == ("grubby", "cottidae")
    )
    assert found.key == f"zero-and-count:{HAUL} cottidae"
    assert found.words.startswith(
        f"{HAUL} was searched for cottidae and none found, and it yielded 2 (grubby): the zero is withdrawn"
    )
    assert found.entries == (search.id, call.id)


def test_present_contradicts_a_zero_too(phone):
    phone.write("searched-and-none", {"haul": HAUL, "taxa": ["moon-jelly"]})
    phone.write("present", {"haul": HAUL, "taxon": "moon-jelly"})
    (found,) = of_kind("zero-and-count", phone.book)
    assert "it yielded some (moon-jelly)" in found.words


def test_a_line_written_after_the_sign_off_is_late_until_signed_again(phone):
    phone.move("sea", "back", 5)
    signed = {"covers": {"d1": 1}, "digest": "0" * 64, "role": "lead", "report_digests": []}
    phone.write("outing-signed", signed)
    assert of_kind("late-line", phone.book) == []
    late = phone.move("sea", "back", 1)
    (found,) = of_kind("late-line", phone.book)
    assert found.key == f"late-line:{late.id} {OUTING}"
    assert (
        found.words == f"move 3 of d1 changes {OUTING}, which was signed without it: sign again, or strike it"
    )
    phone.write("outing-signed", {**signed, "covers": {"d1": 3}})
    assert of_kind("late-line", phone.book) == []


def test_striking_a_late_line_mends_it_and_striking_a_signed_one_is_late_itself(phone, make_phone):
    signed_line = phone.move("sea", "back", 5)
    phone.write(
        "outing-signed", {"covers": {"d1": 1}, "digest": "0" * 64, "role": "lead", "report_digests": []}
    )
    desk = make_phone("desk", outing=None)
    desk.strike(phone.move("sea", "back", 1))
    assert of_kind("late-line", phone.book, desk.book) == []
    strike = desk.strike(signed_line)
    assert [one.entries for one in of_kind("late-line", phone.book, desk.book)] == [(strike.id,)]


def test_tanks_go_on_after_the_sign_off_without_touching_it(phone):
    phone.move("sea", "tank q1", 5)
    phone.write(
        "outing-signed", {"covers": {"d1": 1}, "digest": "0" * 64, "role": "lead", "report_digests": []}
    )
    phone.move("tank q1", "dead-kept", 1, outing=None)
    assert of_kind("late-line", phone.book) == []


def test_animals_called_after_the_haul_had_ended_are_late(phone):
    phone.write("haul-ended", {"haul": HAUL}, at="2027-05-14T07:00:00-04:00")
    phone.move("sea", "net", 1, at="2027-05-14T07:00:00-04:00")
    assert of_kind("late-line", phone.book) == []
    late = phone.move("sea", "net", 1, at="2027-05-14T07:00:01-04:00")
    phone.move("net", "back", 2, at="2027-05-14T07:10:00-04:00")
    (found,) = of_kind("late-line", phone.book)
    assert found.key == f"late-line:{late.id} {HAUL}"
    assert (
        "d1 called animals of 2027-05-14-a/1 at 2027-05-14T07:00:01-04:00; it had ended at 2027-05-14T07:00:00-04:00"
        in found.words
    )


def test_gaps_and_forks_are_shown_with_their_devices(make_phone):
    one, copy = make_phone("d1"), make_phone("d1")
    for n in (1, 2, 3):
        one.move("sea", "net", n)
        copy.move("sea", "net", n + 10)
    (gap,) = of_kind("gap", Book.of([one.entries[0], one.entries[2]]))
    assert (gap.key, gap.outing) == ("gap:d1 2-2", OUTING)
    assert gap.words == "2 of d1 is not here: bring in what that device still holds, or a saved copy of it"
    assert [found.key for found in of_kind("fork", one.book, copy.book)] == [
        "fork:d1 1",
        "fork:d1 2",
        "fork:d1 3",
    ]


def test_a_sign_off_that_speaks_of_entries_not_here_shows_a_gap(make_phone):
    desk = make_phone("desk")
    desk.write(
        "outing-signed", {"covers": {"d1": 2}, "digest": "0" * 64, "role": "lead", "report_digests": []}
    )
    assert [one.key for one in of_kind("gap", desk.book)] == ["gap:d1 1-2"]


def test_a_clock_more_than_two_minutes_off_is_said_with_its_direction(phone):
    found = of_kind("clock", phone.book, clock_off_s={"d1": 200.4, "d2": -121, "d3": 120})
    assert [(one.key, one.found) for one in found] == [("clock:d1", 200), ("clock:d2", -121)]
    assert found[0].words.startswith(
        "the clock of d1 was 3 min 20 s ahead of the server (2 min are let pass)"
    )
    assert "2 min 1 s behind" in found[1].words


def test_an_open_name_is_asked_once_an_outing_and_goes_with_its_redetermination(phone):
    phone.move("sea", "back", 2, "?bleny")
    phone.move("sea", "back", 1, "?bleny", haul=2)
    (found,) = of_kind("name-open", phone.book)
    assert found.key == f"name-open:{OUTING} ?bleny"
    assert found.words == f"3 'bleny' of {OUTING} have no taxon yet: redetermine, or settle the name"
    phone.rename("back", 2, "?bleny", "rock-gunnel")
    phone.rename("back", 1, "?bleny", "rock-gunnel", haul=2)
    assert of_kind("name-open", phone.book) == []
