"""Sheets in files: understood, asked, looked at, entered once, and never twice unseen.

The Kachemak Bay 2023 sheets are real (kbnerr/nearshore-fish, MIT, copyright 2022 Chris Guo): 11 hauls, 848 rows, 1987
animals, as the summary that went to the agency says. All other sheets are invented.
"""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from haulbook.custody.fates import Fate
from haulbook.office.balance import by_fate
from haulbook.station.models import BringIn, EntryRow, PermitFile, Settings, StoredFile
from haulbook.station.pages.bring_in import entering, looking
from haulbook.station.store import readings

pytestmark = pytest.mark.django_db

SHEET = """\
Haul,Date,Site,Set,Species,Count,Fate
A1,2023-06-20,east point,1,Atlantic silverside,38,back
A1,2023-06-20,east point,1,cunner,4,back
A1,2023-06-20,east point,1,winter flounder,1,kept
A2,2023-06-20,east point,2,minnow,12,back
B1,2023-07-21,east point,1,tautog,3,back
"""
MAP_KEYS = {"haul": "Haul", "date": "Date"}


def file(text=SHEET, name="sheet.csv"):
    content = text if isinstance(text, bytes) else text.encode()
    return SimpleUploadedFile(name, content)


def hand_in(client, *files, **more):
    answer = client.post(reverse("bring-in"), {"sheets": files or [file()], "name": "", "zone": "", **more})
    if answer.status_code != 302:
        return answer
    return BringIn.objects.order_by("-pk").first()


def at(step, row):
    return reverse(f"bring-in-{step}", kwargs={"pk": row.pk})


def text(answer):
    return " ".join(
        re.sub(r"<[^>]+>", " ", answer.content.decode()).replace("&#39;", "'").replace("&quot;", '"').split()
    )


def enter(client, row, **more):
    return client.post(
        at("check", row), {"press": "enter", "had-as_is": "1", "as_is": "on", **more}, follow=True
    )


@pytest.fixture(autouse=True)
def nothing_remembered():
    looking._looked.clear()


@pytest.fixture
def kachemak(shared_data):
    folder = shared_data / "kachemak-beach-seine" / "2023"
    return [
        file((folder / f"2023_kbnerr_{part}.csv").read_bytes(), f"2023_kbnerr_{part}.csv")
        for part in ("site", "fish", "env")
    ]


@pytest.fixture
def pacific(db):
    """The test station, with the taxa of the other coast."""
    Settings.objects.update(pack="nepacific")
    PermitFile.objects.all().delete()


def test_the_sheets_of_a_real_season_come_in_with_every_animal(lead, pacific, kachemak):
    row = hand_in(lead, *kachemak, name="Kachemak 2023")
    columns = text(lead.get(at("columns", row)))
    assert "has hauls without animals" in columns
    assert "Seine" in columns
    lead.post(
        at("columns", row),
        {
            "set-default_fate": "back",
            "was-default_fate": "",
            "set-file.1.time.zone": "America/Anchorage",
            "was-file.1.time.zone": "",
        },
    )
    check = text(lead.get(at("check", row)))
    assert "3 outings, 11 hauls, 848 rows" in check
    assert "Out of the sea 1987" in check
    assert "Difference 0" in check
    assert EntryRow.objects.filter(device__startswith="file-").count() == 0
    enter(lead, row)
    account = readings.account(["2023-06-20-a", "2023-07-20-a", "2023-08-21-a"])
    assert by_fate(account.animals) == {Fate.RELEASED_ALIVE: 1987}
    assert len(account.hauls) == 11
    assert account.hauls[0].landed.text == "2023-06-20T09:36:00-08:00"
    row.refresh_from_db()
    assert row.entered_at is not None
    assert row.entries == EntryRow.objects.filter(device__startswith="file-").count()


def test_names_of_another_coast_are_told_before_anything_is_read(lead, kachemak):
    row = hand_in(lead, *kachemak)
    assert "The names on these sheets fit nepacific better" in text(lead.get(at("columns", row)))


def test_columns_are_proposed_with_their_reason_and_can_be_changed(lead):
    row = hand_in(lead)
    page = text(lead.get(at("columns", row)))
    assert "a usual heading for the number of animals" in page
    assert "38 · 4 · 1" in page
    key = "file.1.columns.Set"
    answer = lead.post(at("columns", row), {f"set-{key}": "ignore", f"was-{key}": "haul_no"})
    assert answer.status_code == 302
    row.refresh_from_db()
    assert '"Set"' in row.map.partition("ignore")[2]
    assert "Out of the sea 58" in text(lead.get(at("check", row)))


def test_two_people_who_change_different_columns_both_keep_their_change(lead, signed_in):
    row = hand_in(lead)
    lead.post(at("columns", row), {"set-file.1.columns.Set": "ignore", "was-file.1.columns.Set": "haul_no"})
    stale = {"set-file.1.columns.Set": "haul_no", "was-file.1.columns.Set": "haul_no"}
    signed_in("recorder").post(
        at("columns", row), {**stale, "set-default_fate": "back", "was-default_fate": ""}
    )
    row.refresh_from_db()
    assert 'default_fate = "back"' in row.map
    assert 'Set = "haul_no"' not in row.map


def test_a_map_can_be_changed_as_text_and_what_is_off_in_it_is_said(lead):
    row = hand_in(lead)
    answer = lead.post(at("columns", row), {"press": "text", "map": "pack = "})
    assert (answer.status_code, "is no TOML" in text(answer)) == (400, True)
    assert "pack = </textarea>" in answer.content.decode()
    lead.post(at("columns", row), {"press": "text", "map": row.map.replace('"haul_no"', '"haul_nr"')})
    assert "the nearest is 'haul_no'" in text(lead.get(at("columns", row)))
    assert lead.get(at("check", row)).status_code == 302


def test_the_map_of_another_coast_is_refused_in_words(lead):
    row = hand_in(lead)
    lead.post(at("columns", row), {"press": "text", "map": row.map.replace("nwatlantic", "nepacific")})
    assert "the map is for the taxa of nepacific" in text(lead.get(at("columns", row)))


def test_what_a_column_of_dates_means_is_asked_and_read_once_said(lead):
    row = hand_in(lead, file(SHEET.replace("2023-06-20", "6/7/23").replace("2023-07-21", "8/9/23")))
    assert "is still a question" in text(lead.get(at("columns", row)))
    key = "file.1.date.form"
    lead.post(at("columns", row), {f"set-{key}": "m/d/yy", f"was-{key}": "?"})
    assert "2023-06-07-a" in text(lead.get(at("check", row)))


def test_a_name_that_is_not_certain_is_asked_with_at_most_four_animals(lead):
    row = hand_in(lead)
    page = lead.get(at("questions", row))
    shown = page.content.decode()
    assert "Which animal is “minnow”, on 1 row?" in text(page)
    assert shown.count('name="say-1"') <= 4 + 3
    answer = lead.post(at("questions", row), {"key-1": "name|minnow", "say-1": "other", "more-1": "minny"})
    assert (answer.status_code, "minny is no certain animal of the pack" in text(answer)) == (400, True)
    lead.post(at("questions", row), {"key-1": "name|minnow", "say-1": "sheepshead-minnow"})
    assert "all answered" in text(lead.get(at("questions", row)))
    enter(lead, row)
    assert "sheepshead-minnow" in {lot.taxon for lot in readings.outing("2023-06-20-a").account.animals}


def test_an_open_name_comes_in_as_it_is_written(lead):
    row = hand_in(lead)
    assert "1 name stays open as it is written." in text(lead.get(at("check", row)))
    enter(lead, row)
    assert "?minnow" in {lot.taxon for lot in readings.outing("2023-06-20-a").account.animals}


BROKEN = """\
Haul,Date,Site,Set,Species,Count,Fate
A1,2023-06-20,east point,1,cunner,,back
A1,2023-06-20,east point,1,tautog,lots,back
A1,2023-06-20,east point,1,grubby,4,back
"""


def test_a_file_that_was_taken_for_something_else_can_be_read_as_a_catch(lead):
    row = hand_in(lead, file(BROKEN))
    assert "no file is read as a catch" in text(lead.get(at("columns", row)))
    lead.post(at("columns", row), {"set-file.1.role": "catch", "was-file.1.role": "skip"})
    columns = lead.get(at("columns", row)).content.decode()
    assert '<option value="n" selected>' in columns
    assert "Out of the sea 4" in text(lead.get(at("check", row)))


ODD = """\
Haul,Date,Site,Set,Species,Count,Fate
A1,2023-06-20,east point,1,Atlantic silverside,38,back
A1,2023-06-20,east point,1,cunner,,back
A1,2023-06-20,east point,1,tautog,lots,back
A1,2023-06-20,east point,1,grubby,10-May,back
A1,2023-06-20,east point,1,rock gunnel,2,vanished
A2,2023-06-20,east point,2,mummichog,6,back
A2,2023-06-20,east point,2,green crab,1,back
A2,2023-06-20,east point,2,sand shrimp,14,back
A2,2023-06-20,east point,2,cunner,3,back
A2,2023-06-20,east point,2,tautog,3,back
A2,2023-06-20,east point,2,fourspine stickleback,9,back
A2,2023-06-20,east point,2,northern pipefish,7,back
"""


def test_what_is_wrong_with_a_sheet_is_said_by_row_and_column_and_looked_at_before_it_comes_in(lead):
    row = hand_in(lead, file(ODD))
    lead.post(at("columns", row), {"set-file.1.fates.vanished": "back", "was-file.1.fates.vanished": "?"})
    check = lead.get(at("check", row))
    shown = text(check)
    assert "sheet.csv, row 4, column Count: 'lots' is no number" in shown
    assert "things stand open" in shown
    answer = lead.post(at("check", row), {"press": "enter", "had-as_is": "1"}, follow=True)
    assert "Nothing is entered yet" in text(answer)
    questions = text(lead.get(at("questions", row)))
    assert "cunner, haul 'A1': the number is blank." in questions
    row.refresh_from_db()
    mark = "blank-count|sheet.csv|A1|cunner"
    wrong = lead.post(at("questions", row), {"key-1": mark, "say-1": "other", "more-1": "a few"})
    assert "Write a whole number" in text(wrong)
    lead.post(at("questions", row), {"key-1": mark, "say-1": "other", "more-1": "7"})
    enter(lead, row)
    assert sum(lot.n for lot in readings.outing("2023-06-20-a").account.animals) == 90


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("sheet.csv", b"", "is empty"),
        ("sheet.csv", b'Haul,Date\nA1,"2023', "perhaps a quote is never closed"),
        ("sheet.csv", b"a,b\n\x00\x01\x02,1\n", "is no text"),
        ("sheet.xlsx", b"PK not really", "sheet.xlsx"),
        ("sheet.ods", b"neither", "sheet.ods"),
        ("notes.pdf", b"%PDF", "This is no tally sheet that can be read"),
        ("book.jsonl", b"{}", "haulbook station import"),
    ],
)
def test_files_that_cannot_be_read_are_refused_in_words_and_nothing_is_kept(lead, name, content, words):
    answer = hand_in(lead, file(content, name))
    assert answer.status_code == 400
    assert words in text(answer)
    assert not BringIn.objects.exists()
    assert not StoredFile.objects.exists()


def test_no_file_two_of_one_name_and_too_many_are_refused(lead):
    assert "Choose at least one file." in text(lead.post(reverse("bring-in"), {"name": ""}))
    assert "Two files have this name" in text(hand_in(lead, file(), file()))
    assert "are too many at once" in text(hand_in(lead, *(file(name=f"{n}.csv") for n in range(21))))


def test_a_workbook_and_a_sheet_of_another_office_suite_are_read(lead):
    from openpyxl import Workbook

    book, rows = Workbook(), [line.split(",") for line in SHEET.splitlines()]
    for cells in rows:
        book.active.append([int(cell) if cell.isdecimal() else cell for cell in cells])
    saved = BytesIO()
    book.save(saved)
    row = hand_in(lead, file(saved.getvalue(), "sheet.xlsx"))
    assert "Out of the sea 58" in text(lead.get(at("check", row)))


def test_the_same_file_a_second_time_doubles_nothing(lead, signed_in):
    enter(lead, hand_in(lead))
    written = EntryRow.objects.count()
    row = hand_in(signed_in("recorder"))
    shown = text(lead.get(at("check", row)))
    assert "2 outings are in the book already" in shown
    assert "by this very file" in shown
    assert (
        "another outing of that day: its own letter"
        not in shown.partition("All of them are")[2].partition("2023-06-20-a")[2]
    )
    answer = enter(lead, row)
    assert "nothing was entered" in text(answer)
    assert EntryRow.objects.count() == written


def test_a_growing_sheet_brings_only_what_is_new(lead):
    early = "\n".join(SHEET.splitlines()[:5]) + "\n"
    enter(lead, hand_in(lead, file(early)))
    row = hand_in(lead)
    assert "3 animals of 1 outing would come into the book" in text(lead.get(at("check", row)))
    enter(lead, row)
    total = readings.account(["2023-06-20-a", "2023-07-21-a"])
    assert sum(lot.n for lot in total.animals) == 58
    assert len(total.hauls) == 3


def test_a_corrected_sheet_takes_the_place_of_the_earlier_one(lead):
    enter(lead, hand_in(lead))
    row = hand_in(lead, file(SHEET.replace("silverside,38", "silverside,83")))
    choices = {"outing-2023-06-20-a": "replace", "outing-2023-07-21-a": "leave-out"}
    enter(lead, row, **choices)
    account = readings.outing("2023-06-20-a").account
    assert sum(lot.n for lot in account.animals) == 100
    assert len(account.hauls) == 2
    assert EntryRow.objects.filter(kind="strike", outing="2023-06-20-a").count() == 1


def test_another_outing_of_the_same_day_gets_a_letter_of_its_own(lead):
    enter(lead, hand_in(lead))
    row = hand_in(lead, file(SHEET.replace("east point", "west point").replace("38", "5")))
    enter(lead, row, every="other")
    other = readings.outing("2023-06-20-b").account
    assert [haul.site for haul in other.hauls] == ["west point", "west point"]
    assert sum(lot.n for lot in other.animals) == 22
    assert sum(lot.n for lot in readings.outing("2023-06-20-a").account.animals) == 55


def test_other_animals_of_the_same_outing_are_added(lead):
    enter(lead, hand_in(lead))
    more = "Haul,Date,Site,Set,Species,Count,Fate\nA3,2023-06-20,east point,3,grubby,2,back\n"
    row = hand_in(lead, file(more, "more.csv"))
    enter(lead, row, **{"outing-2023-06-20-a": "add"})
    account = readings.outing("2023-06-20-a").account
    assert (len(account.hauls), sum(lot.n for lot in account.animals)) == (3, 57)


def test_what_is_in_the_book_is_changed_no_more_and_a_second_press_writes_nothing(lead):
    row = hand_in(lead)
    enter(lead, row)
    written = EntryRow.objects.count()
    enter(lead, row)
    assert EntryRow.objects.count() == written
    answer = lead.post(at("columns", row), {"set-default_fate": "back", "was-default_fate": ""}, follow=True)
    assert "is in the book" in text(answer)


def test_lines_are_those_that_reading_the_file_gives_everywhere(lead, tmp_path):
    """A book that the command line makes of the same file is the same, so merging the two doubles nothing."""
    from haulbook.exchange.entries import entries_of
    from haulbook.exchange.map_toml import read_sheet_map
    from haulbook.exchange.reading import read_sheets
    from haulbook.taxa import load_pack

    row = hand_in(lead)
    enter(lead, row)
    (tmp_path / "map.toml").write_text(row.map)
    (tmp_path / "sheet.csv").write_text(SHEET)
    reading = read_sheets([tmp_path / "sheet.csv"], read_sheet_map(tmp_path / "map.toml"))
    made = {entry.hash for entry in entries_of(reading, load_pack("nwatlantic"), (), None, "p1")}
    assert made == set(EntryRow.objects.filter(device__startswith="file-").values_list("hash", flat=True))


def test_many_rows_come_in_in_parts_and_can_be_gone_on_with_after_a_stop(lead, monkeypatch):
    monkeypatch.setattr(entering, "A_PART", 4)
    row = hand_in(lead)
    add, parts = entering.book.add, []

    def stops(entries, at):
        parts.append(len(entries))
        if len(parts) == 3:
            raise RuntimeError("the station was closed")
        return add(entries, at)

    monkeypatch.setattr(entering.book, "add", stops)
    monkeypatch.setattr(entering, "AT_ONCE_ROWS", 0)
    monkeypatch.setattr(entering.threading, "Thread", Now)
    monkeypatch.setattr(entering, "close_old_connections", lambda: None)
    shown = enter(lead, row)
    assert "The writing has stopped." in text(shown)
    assert EntryRow.objects.filter(device__startswith="file-").count() == 8
    answer = lead.post(at("check", row), {"press": "enter"}, follow=True)
    assert "is in the book" in text(answer)
    assert sum(lot.n for lot in readings.account(["2023-06-20-a", "2023-07-21-a"]).animals) == 58
    row.refresh_from_db()
    assert row.entries == EntryRow.objects.filter(device__startswith="file-").count()


class Now:
    """A thread that runs at once: the test's transaction is in no other."""

    def __init__(self, target, args, **_more):
        self.run = lambda: target(*args)

    def start(self):
        self.run()


def test_while_lines_are_written_the_page_says_how_far_it_is_and_loads_itself(lead):
    row = hand_in(lead)
    now = entering.clock.now().isoformat()
    BringIn.objects.filter(pk=row.pk).update(
        progress={"plan": {}, "by": "p1", "struck": True, "lines": 4000, "of": 120000, "at": now}
    )
    answer = lead.get(at("check", row))
    assert answer["Refresh"] == "2"
    assert "4000 of 120 000 lines are in the book" in text(answer)
    again = lead.post(at("check", row), {"press": "enter"})
    assert again["Refresh"] == "2"
    BringIn.objects.filter(pk=row.pk).update(
        progress={
            "plan": {},
            "by": "p1",
            "struck": True,
            "lines": 4000,
            "of": 120000,
            "at": "2020-01-01T00:00:00+00:00",
        }
    )
    assert "Refresh" not in lead.get(at("check", row))


def test_outings_outside_every_permit_are_told(lead):
    row = hand_in(lead)
    assert "2 outings lie in the time of no permit that this station holds" in text(
        lead.get(at("check", row))
    )
    covered = hand_in(lead, file(SHEET.replace("2023-", "2025-"), "later.csv"))
    assert "They count towards permit SC-24-031." in text(lead.get(at("check", covered)))


def test_a_bring_in_can_be_left_and_taken_up_again(lead, signed_in):
    row = hand_in(lead, name="the grey binder")
    assert "the grey binder" in text(signed_in("recorder").get(reverse("bring-in")))
    assert "Out of the sea 58" in text(signed_in("recorder").get(at("check", row)))


def test_keepers_and_viewers_see_the_list_and_no_more(signed_in, lead):
    row = hand_in(lead)
    for role in ("keeper", "viewer"):
        client = signed_in(role)
        assert client.get(reverse("bring-in")).status_code == 200
        assert client.get(at("check", row)).status_code == 403
        assert client.post(reverse("bring-in"), {}).status_code == 403
    assert lead.get(reverse("bring-in-check", kwargs={"pk": 9999})).status_code == 404


@pytest.mark.parametrize("n", [2, 20])
def test_the_pages_ask_the_database_as_often_for_two_outings_as_for_twenty(
    lead, n, django_assert_max_num_queries
):
    lines = [f"H{day},2023-06-{day:02d},east point,1,cunner,{day},back" for day in range(1, n + 1)]
    row = hand_in(lead, file("Haul,Date,Site,Set,Species,Count,Fate\n" + "\n".join(lines) + "\n"))
    for step in ("columns", "questions", "check"):
        lead.get(at(step, row))
        with django_assert_max_num_queries(16):
            lead.get(at(step, row))
    with django_assert_max_num_queries(10):
        lead.get(reverse("bring-in"))
