"""Paper sheets: typed twice apart, compared, settled, entered once. All sheets are invented."""

from __future__ import annotations

import json
import re

import pytest
from django.urls import reverse

from haulbook.custody.fates import Fate
from haulbook.office.balance import by_fate
from haulbook.station.models import EntryRow, Typing
from haulbook.station.store import plans, readings

pytestmark = pytest.mark.django_db

OUTING = "2026-05-16-a"
HEAD = {
    "h-started": "5:40", "h-landed": "0552", "h-ended": "06:20", "h-site": "sallowhorn-cove", "h-net": "n1",
    "h-set_type": "straight", "h-w": "6", "h-w_basis": "measured", "h-d": "20", "h-d_basis": "measured",
    "h-condition": "1", "h-left_beach": "08:10",
}  # fmt: skip
LINES = (
    {"name": "Atlantic silverside", "back": "38", "dead-back": "4"},
    {"name": "winter flounder", "stage": "yoy", "kept": "1"},
    {"name": "cunner", "back": "2", "remark": "fins torn"},
)


def fields(lines=LINES, head=None, sums=None, columns=("back", "kept", "dead-back", "dead-kept")):
    typed = {f"l{n}-{place}": text for n, line in enumerate(lines, 1) for place, text in line.items()}
    sums = {f"s-{column}": text for column, text in (sums or {}).items()}
    return {**(HEAD if head is None else head), **typed, **sums, "column": list(columns), "lines": "16"}


def begin(client, outing=OUTING, haul=1):
    answer = client.post(reverse("begin-typing", kwargs={"outing": outing, "haul": haul}))
    return answer["Location"]


def send(client, address, press="save", **what):
    page = client.get(address)
    revision = re.search(r'name="revision" value="(\d+)"', page.content.decode())[1]
    return client.post(address, {**fields(**what), "revision": revision, "press": press})


def type_twice(first, second, one=None, other=None, outing=OUTING, haul=1):
    for client, what in ((first, one or {}), (second, other or {})):
        answer = send(client, begin(client, outing, haul), "done", **what)
        assert answer.status_code == 302
    return reverse("settle-sheet", kwargs={"outing": outing, "haul": haul})


def settle(client, address, press="keep", **answers):
    page = client.get(address).content.decode()
    revision = re.search(r'name="revision" value="(\d+)"', page)
    return client.post(
        address, {**answers, "revision": revision[1] if revision else "0", "press": press}, follow=True
    )


def text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


@pytest.fixture
def recorder(signed_in):
    return signed_in("recorder")


def test_a_sheet_typed_twice_alike_goes_into_the_book_once_under_who_entered_it(lead, recorder):
    before = EntryRow.objects.count()
    address = type_twice(lead, recorder)
    assert "The two typings say the same." in text(lead.get(address))
    answer = settle(lead, address, "enter")
    assert "Haul 1: 10 lines are in the book, 45 animals." in text(answer)
    account = readings.outing(OUTING).account
    assert by_fate(account.animals) == {
        Fate.RELEASED_ALIVE: 40,
        Fate.RETAINED_ALIVE: 1,
        Fate.DIED_RELEASED: 4,
    }
    assert account.hauls[0].landed.text == "2026-05-16T05:52:00-04:00"
    rows = EntryRow.objects.filter(outing=OUTING)
    assert {row.by for row in rows} == {"p1"}
    assert {row.device for row in rows} == {"desk"}
    assert EntryRow.objects.count() == before + 10


def test_a_second_press_writes_nothing_more(lead, recorder):
    address = type_twice(lead, recorder)
    settle(lead, address, "enter")
    written = EntryRow.objects.count()
    answer = lead.post(address, {"press": "enter", "revision": "0"}, follow=True)
    assert "was entered already; nothing more was written" in text(answer)
    assert EntryRow.objects.count() == written


def test_nothing_is_in_the_book_before_it_is_entered(lead, recorder):
    before = EntryRow.objects.count()
    address = type_twice(lead, recorder, other={"lines": LINES[:2]})
    settle(lead, address, **{"pick-3.line": "there"})
    assert EntryRow.objects.count() == before


def test_differences_are_shown_place_by_place_and_settled_by_choosing_or_typing_a_third(lead, recorder):
    other = ({**LINES[0], "back": "83"}, {**LINES[1], "kept": "2"}, LINES[2])
    address = type_twice(lead, recorder, other={"lines": other, "head": HEAD | {"h-landed": "05:53"}})
    shown = text(lead.get(address))
    assert "3 places differ" in shown
    assert "Line 1, Atlantic silverside : back" in shown
    assert "Enter: 3 things stand open" in shown
    picks = {
        "pick-head.landed": "second",
        "pick-1.back": "third",
        "third-1.back": "88",
        "pick-2.kept": "first",
    }
    settle(lead, address, **picks)
    assert "settled" in text(lead.get(address))
    settle(lead, address, "enter")
    account = readings.outing(OUTING).account
    assert account.hauls[0].landed.text == "2026-05-16T05:53:00-04:00"
    assert sum(lot.n for lot in account.animals if lot.taxon == "atlantic-silverside") == 92


def test_entering_while_something_stands_open_writes_nothing_and_shows_it(lead, recorder):
    before = EntryRow.objects.count()
    address = type_twice(lead, recorder, other={"lines": LINES[:2]})
    answer = settle(lead, address, "enter")
    assert "1 thing stands open" in text(answer)
    assert EntryRow.objects.count() == before


def test_a_place_that_both_typed_alike_and_that_cannot_be_read_is_mended_before_entering(lead, recorder):
    lines = ({"name": "cunner", "back": "4-6"},)
    address = type_twice(lead, recorder, {"lines": lines}, {"lines": lines})
    assert "is a range, not a count" in text(lead.get(address))
    settle(lead, address, **{"place-1.back": "5"})
    assert "Haul 1: " in text(settle(lead, address, "enter"))
    assert sum(lot.n for lot in readings.outing(OUTING).account.animals) == 5


def test_a_name_that_is_not_certain_is_asked_and_never_guessed(lead, recorder):
    lines = ({"name": "minnow", "back": "4"}, {"name": "bluefishlet", "back": "1"})
    address = type_twice(lead, recorder, {"lines": lines}, {"lines": lines})
    page = lead.get(address)
    assert page.content.decode().count('name="name-minnow"') <= 6
    answer = settle(
        lead, address, **{"name-minnow": "other", "other-minnow": "minny", "name-bluefishlet": "own"}
    )
    assert answer.status_code == 400
    assert "minny is no certain animal of the pack either" in text(answer)
    assert "bluefishlet" not in "".join(re.findall(r"Which animal is[^?]*\?", text(answer)))
    settle(lead, address, **{"name-minnow": "sheepshead-minnow"})
    settle(lead, address, "enter")
    assert {lot.taxon for lot in readings.outing(OUTING).account.animals} == {
        "sheepshead-minnow",
        "?bluefishlet",
    }


def test_a_sum_that_is_not_what_the_lines_make_is_looked_at_first(lead, recorder):
    what = {"sums": {"all": "46", "back": "40"}}
    address = type_twice(lead, recorder, what, what)
    assert "all animals: the sheet says 46, its lines make 45" in text(lead.get(address))
    settle(lead, address, **{"had-sums_stand": "1", "sums_stand": "on"})
    settle(lead, address, "enter")
    remarks = readings.outing(OUTING).account.hauls[0].remarks
    assert any("the sheet's own sum of all animals is 46, its lines make 45" in one for one in remarks)


def test_any_place_can_still_be_changed_while_settling(lead, recorder):
    what = {"sums": {"all": "46"}}
    address = type_twice(lead, recorder, what, what)
    assert 'name="place-3.back"' in lead.get(f"{address}?change=3").content.decode()
    assert 'name="place-head.landed"' in lead.get(f"{address}?change=head").content.decode()
    settle(lead, address, **{"place-3.back": "3"})
    assert "its lines make" not in text(lead.get(address))


def test_the_second_typing_never_sees_the_first(lead, recorder):
    send(lead, begin(lead), "done")
    page = recorder.get(begin(recorder)).content.decode()
    assert "silverside" not in page
    first = reverse("typing", kwargs={"outing": OUTING, "haul": 1, "number": 1})
    assert "neither sees the other" in text(recorder.get(first))
    assert "silverside" not in text(recorder.get(reverse("transcribe-outing", kwargs={"outing": OUTING})))
    assert recorder.get(reverse("settle-sheet", kwargs={"outing": OUTING, "haul": 1})).status_code == 302


def test_one_person_can_type_it_twice_and_does_not_see_their_first_meanwhile(lead):
    send(lead, begin(lead), "done")
    again = begin(lead)
    assert again.endswith("/2/")
    first = reverse("typing", kwargs={"outing": OUTING, "haul": 1, "number": 1})
    answer = lead.post(first, {"press": "reopen"})
    assert "the first stays out of sight" in text(answer)
    assert "silverside" not in lead.get(again).content.decode()


def test_nobody_begins_a_third_typing(lead, recorder, signed_in):
    type_twice(lead, recorder)
    answer = lead.post(reverse("begin-typing", kwargs={"outing": OUTING, "haul": 1}))
    assert "is typed twice already" in text(answer)
    assert Typing.objects.filter(outing=OUTING).count() == 2


def test_what_two_windows_type_never_overwrites_and_both_are_shown(lead):
    address = begin(lead)
    send(lead, address)
    stale = {**fields(lines=({"name": "cunner", "back": "9"},)), "revision": "0", "press": "save"}
    answer = lead.post(address, stale)
    shown = text(answer)
    assert answer.status_code == 409
    assert "was saved in another window" in shown
    assert 'value="9"' in answer.content.decode()
    assert Typing.objects.get(outing=OUTING).body["lines"][0]["name"] == "Atlantic silverside"
    assert "Line 1, the whole line: here “”, saved “Atlantic silverside · back 38 · dead-back 4”" in shown


def test_two_people_who_settle_at_once_do_not_overwrite_each_other(lead, recorder):
    address = type_twice(lead, recorder, other={"lines": ({**LINES[0], "back": "83"}, *LINES[1:])})
    lead.post(address, {"pick-1.back": "first", "revision": "0", "press": "keep"})
    answer = recorder.post(address, {"pick-1.back": "second", "revision": "0", "press": "keep"})
    assert answer.status_code == 409
    assert "p1 settled something here since you opened this page" in text(answer)
    assert Typing.objects.get(outing=OUTING, number=3).body["answers"] == {"1.back": "38"}


def test_a_place_that_cannot_be_read_is_said_beside_it_and_kept_as_typed(lead):
    address = begin(lead)
    send(lead, address, lines=({"name": "cunner", "back": "~12"},), head=HEAD | {"h-landed": "noon"})
    page = lead.get(address)
    shown = page.content.decode()
    assert 'value="~12"' in shown
    assert 'value="noon"' in shown
    assert "is an estimate" in text(page)
    assert "is no time of day; write it as 05:42" in text(page)
    assert 'aria-describedby="l1-back-told"' in shown


def test_more_lines_keep_what_was_typed_without_a_script(lead):
    address = begin(lead)
    answer = send(lead, address, "more")
    assert answer["Location"] == f"{address}?lines=26#grid"
    page = lead.get(answer["Location"]).content.decode()
    assert 'name="l26-name"' in page
    assert 'value="Atlantic silverside"' in page


def test_columns_can_be_chosen_and_one_with_something_in_it_stays(lead):
    address = begin(lead)
    send(lead, address, "columns", columns=("escaped",))
    page = lead.get(address).content.decode()
    assert 'name="l1-escaped"' in page
    assert 'name="l1-back"' in page
    assert 'name="l1-dead-kept"' not in page


def test_a_script_is_told_what_was_understood_and_what_cannot_be_read(lead):
    address = begin(lead)
    lines = (
        {"name": "shiner", "back": "4"},
        {"name": "minnow", "back": "x"},
        {"name": "cunner", "back": "4-6"},
    )
    answer = lead.post(
        address,
        {**fields(lines=lines, head={"h-w": "wide"}), "revision": "0"},
        headers={"Accept": "application/json"},
    )
    told = json.loads(answer.content)
    assert (told["revision"], told["n"]) == (1, 4)
    assert told["understood"]["1"] == {"words": "Atlantic silverside", "asked": False}
    assert told["understood"]["2"]["asked"]
    assert set(told["problems"]) == {"l3-back", "h-w"}
    stale = lead.post(address, {**fields(), "revision": "0"}, headers={"Accept": "application/json"})
    assert stale.status_code == 409


def test_sending_the_same_twice_is_no_conflict(lead):
    address = begin(lead)
    sent = {**fields(), "revision": "0", "press": "save"}
    assert lead.post(address, sent).status_code == 302
    assert lead.post(address, sent).status_code == 302


def test_an_empty_sheet_is_not_done(lead):
    address = begin(lead)
    answer = lead.post(address, {"revision": "0", "press": "done"}, follow=True)
    assert "Nothing is typed yet" in text(answer)
    assert not Typing.objects.get(outing=OUTING).done


def test_a_typing_left_undone_can_be_taken_over(lead, recorder):
    send(recorder, begin(recorder))
    assert "Take over haul 1 from" not in text(
        recorder.get(reverse("transcribe-outing", kwargs={"outing": OUTING}))
    )
    send(lead, begin(lead), "done")
    answer = lead.post(reverse("take-over-typing", kwargs={"outing": OUTING, "haul": 1}))
    page = lead.get(answer["Location"]).content.decode()
    assert 'value="Atlantic silverside"' in page
    assert Typing.objects.get(outing=OUTING, number=1).body["typists"] == ["p3"]


def test_a_day_that_nobody_planned_begins_with_a_letter_of_its_own(lead, recorder):
    for client, letter in ((lead, "a"), (recorder, "b")):
        sent = {"day": "2026-05-17", "site": "sallowhorn-cove"} | (
            {"another": "2026-05-17"} if letter == "b" else {}
        )
        answer = client.post(reverse("transcribe"), sent)
        assert answer["Location"] == f"/transcribe/2026-05-17-{letter}/1/1/"
    assert Typing.objects.get(outing="2026-05-17-b").body["head"] == {"site": "sallowhorn-cove"}


def test_a_day_that_has_an_outing_is_shown_before_another_is_begun(lead):
    known = next(iter(readings.outings()))
    answer = lead.post(reverse("transcribe"), {"day": known[:10], "site": ""})
    assert f"Type sheets of {known}" in text(answer)
    assert Typing.objects.count() == 0
    future = lead.post(reverse("transcribe"), {"day": "2126-05-17"})
    assert (future.status_code, "That day has not come yet" in text(future)) == (400, True)


def test_a_haul_that_the_book_has_is_entered_only_once_somebody_says_that_these_are_others(lead, recorder):
    known = next(key for key in readings.outings() if key.startswith("2026"))
    address = type_twice(lead, recorder, outing=known)
    shown = text(lead.get(address))
    assert "The book has this haul already" in shown
    assert "that is not written again" in shown
    before = readings.outing(known).account
    settle(lead, address, **{"had-added": "1", "added": "on"})
    settle(lead, address, "enter")
    after = readings.outing(known).account
    assert len(after.hauls) == len(before.hauls)
    assert sum(lot.n for lot in after.animals) == sum(lot.n for lot in before.animals) + 45


PLAN = {
    "outing": "2026-09-26-a", "site": "sallowhorn-cove", "date": "2026-09-26", "hauls": 3, "permits": ["SC-24-031"],
    "nets": ["n1"], "crew": ["p1", "p3"], "people_present": 4,
    "buckets": [{"place": "bucket 2", "purpose": "keep", "litres": 14}], "looked_for": ["tautog", "cunner"],
}  # fmt: skip


def test_a_planned_outing_is_opened_with_its_plan_and_keeps_in_its_bucket(lead, recorder):
    plans.keep(PLAN, "p1")
    assert "3 hauls planned" in text(lead.get(reverse("transcribe")))
    page = lead.get(reverse("transcribe-outing", kwargs={"outing": PLAN["outing"]}))
    assert "Type haul 3" in text(page)
    what = {"head": HEAD | {"h-none:tautog": "on"}}
    address = type_twice(lead, recorder, what, what, outing=PLAN["outing"], haul=2)
    settle(lead, address, "enter")
    reading = readings.outing(PLAN["outing"])
    assert [haul.key for haul in reading.account.hauls] == [f"{PLAN['outing']}/2"]
    opened = json.loads(EntryRow.objects.get(outing=PLAN["outing"], kind="outing-opened").line)["body"]
    assert opened["plan"]["hauls"] == 3
    assert opened["looked_for"] == ["tautog", "cunner"]
    assert [one["permit"] for one in opened["permits"]] == ["SC-24-031"]
    assert {lot.place for lot in reading.account.animals if lot.fate is Fate.RETAINED_ALIVE} == {"bucket 2"}
    assert (f"{PLAN['outing']}/2", "tautog") in reading.account.none_found


def test_blank_sheets_are_printed_for_a_planned_and_for_an_unplanned_outing(lead):
    plans.keep(PLAN, "p1")
    for outing, words in (
        (PLAN["outing"], "?paper=letter"),
        ("2026-09-27-a", "?hauls=1&column=back&column=lost"),
    ):
        answer = lead.get(reverse("tally-sheet", kwargs={"outing": outing}) + words)
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
    assert lead.get(reverse("tally-sheets") + "?paper=letter").content.startswith(b"%PDF")
    assert lead.get(reverse("tally-sheet", kwargs={"outing": OUTING}) + "?paper=a5").status_code == 400
    assert "is no number of hauls" in text(
        lead.get(reverse("tally-sheet", kwargs={"outing": OUTING}) + "?hauls=900")
    )


def test_an_outing_without_a_day_and_a_sheet_nobody_began_are_not_here(lead):
    assert lead.get(reverse("transcribe-outing", kwargs={"outing": "someday"})).status_code == 404
    assert lead.get(reverse("settle-sheet", kwargs={"outing": OUTING, "haul": 7})).status_code == 404
    assert lead.get(reverse("typing", kwargs={"outing": OUTING, "haul": 7, "number": 1})).status_code == 404
    assert lead.post(reverse("begin-typing", kwargs={"outing": OUTING, "haul": 0})).status_code == 400


def test_keepers_and_viewers_look_on(signed_in):
    for role in ("keeper", "viewer"):
        client = signed_in(role)
        assert client.get(reverse("transcribe")).status_code == 200
        assert client.get(reverse("transcribe-outing", kwargs={"outing": OUTING})).status_code == 200
        assert client.post(reverse("begin-typing", kwargs={"outing": OUTING, "haul": 1})).status_code == 403


@pytest.mark.parametrize("n", [2, 20])
def test_the_pages_ask_the_database_as_often_for_two_sheets_as_for_twenty(
    lead, n, django_assert_max_num_queries
):
    for haul in range(1, n + 1):
        send(lead, begin(lead, haul=haul))
    lead.get(reverse("transcribe"))
    with django_assert_max_num_queries(16):
        lead.get(reverse("transcribe"))
    with django_assert_max_num_queries(20):
        lead.get(reverse("transcribe-outing", kwargs={"outing": OUTING}))
