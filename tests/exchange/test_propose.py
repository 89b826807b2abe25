"""Sheets made up for the purpose (all invented): what is understood, what is asked, what is never guessed."""

from __future__ import annotations

import tomllib

import openpyxl
import pytest

from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.propose import propose
from haulbook.exchange.propose_show import proposal_json, proposal_words
from haulbook.exchange.propose_toml import proposal_toml, write_map
from haulbook.exchange.reading import read_sheets
from haulbook.problems import Refusal

LONG = """Date,Site,Haul,Species,Count,Fate
2027-05-14,Cove,1,cunner,6,released
2027-05-14,Cove,1,Atlantic silverside,600,released
2027-05-14,Cove,2,northern pipefish,2,kept
2027-05-15,Cove,1,cunner,1,released
"""


@pytest.fixture
def sheet(tmp_path):
    def write(text, name="tally.csv"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


def _map(proposal):
    return tomllib.loads(proposal_toml(proposal))


def _asked(proposal):
    return "\n".join(str(problem) for problem in proposal.questions)


def _read(paths, proposal, tmp_path, edit=lambda text: text):
    path = tmp_path / "MAP.toml"
    path.write_text(edit(proposal_toml(proposal)), encoding="utf-8")
    return read_sheets(paths, read_sheet_map(path), ()).as_json()


def test_a_clean_long_sheet_asks_nothing_and_reads_at_once(sheet, tmp_path):
    path = sheet(LONG)
    proposal = propose([path])
    assert proposal.questions == ()
    assert proposal.pack == "nwatlantic"
    read = _read([path], proposal, tmp_path)
    assert read["animals"] == 609
    assert read["hauls"] == 3
    assert read["by_taxon"] == {"Atlantic silverside": 600, "cunner": 7, "northern pipefish": 2}


def test_numbers_that_start_anew_each_day_name_a_haul_only_with_their_day_and_site(sheet):
    (file,) = _map(propose([sheet(LONG)]))["file"]
    assert file["haul_from"] == ["date", "Site", "Haul"]
    assert file["columns"]["Haul"] == "haul_no"


def test_an_identifier_names_a_haul_alone(sheet):
    text = "Date,SeineID,Species,Count,Fate\n2027-05-14,270514A1,cunner,6,back\n2027-05-14,270514A2,cunner,2,back\n"
    (file,) = _map(propose([sheet(text)]))["file"]
    assert "haul_from" not in file
    assert file["columns"]["SeineID"] == "haul"


def test_a_clean_wide_sheet_reads_with_its_totals_and_its_sum_column_left_out(sheet, tmp_path):
    text = (
        "date,haul,Atlantic silverside,mummichog,young winter flounder,total\n"
        "2027-05-14,1,12,3,0,15\n2027-05-14,2,,5,1,6\n"
    )
    path = sheet(text)
    proposal = propose([path])
    (file,) = _map(proposal)["file"]
    assert file["rows"] == "wide"
    assert file["taxa"] == ["Atlantic silverside", "mummichog", "young winter flounder"]
    assert file["ignore"] == ["total"]
    read = _read([path], proposal, tmp_path)
    assert read["animals"] == 21
    assert read["by_taxon"]["mummichog"] == 8


def test_animals_one_a_row_with_lengths_and_people(sheet, tmp_path):
    text = (
        "Date,Time,Haul,Species,Life Stage,Length (mm),Fate,Crew\n"
        "5/14/27,6:52,1,cunner,Juvenile,34,released,p1\n"
        "5/14/27,6:52,1,cunner,adult,120,kept,p3\n"
        "5/14/27,7:30,2,mummichog,YOY,22,released,p1\n"
    )
    path = sheet(text)
    proposal = propose([path], zone="America/New_York")
    (file,) = _map(proposal)["file"]
    assert file["rows"] == "animals"
    assert file["time"] == {"column": "Time", "form": "H:M", "zone": "America/New_York"}
    assert file["columns"]["Crew"] == "person"
    assert file["stages"] == {"Juvenile": "young", "adult": "adult", "YOY": "young"}
    assert _read([path], proposal, tmp_path)["animals"] == 3


def test_day_and_month_that_fit_both_ways_are_asked_and_reading_refuses_until_somebody_says(sheet, tmp_path):
    path = sheet("Date;Haul;Species;Number;Fate\n05/06/2027;1;cunner;6;back\n06/06/2027;2;cunner;7;back\n")
    proposal = propose([path])
    assert "is '05/06/2027' 6 May 2027 or 5 June 2027?" in _asked(proposal)
    with pytest.raises(Refusal, match=r"file\.1\.date\.form: is still a question; write the answer"):
        _read([path], proposal, tmp_path)
    text = proposal_toml(proposal)
    assert '#   form = "d/m/yyyy"  # 05/06/2027 is 5 June 2027' in text
    read = _read([path], proposal, tmp_path, lambda text: text.replace('form = "?"', 'form = "d/m/yyyy"'))
    assert read["animals"] == 13


def test_a_day_above_twelve_anywhere_settles_the_order_for_the_whole_file(sheet):
    (file,) = _map(
        propose([sheet("Date,Haul,Species,Count\n05/06/2027,1,cunner,6\n15/06/2027,2,cunner,1\n")])
    )["file"]
    assert file["date"]["form"] == "d/m/yyyy"


def test_no_fate_is_ever_invented(sheet):
    proposal = propose(
        [sheet(LONG.replace(",Fate", ",Colour").replace("released", "green").replace("kept", "red"))]
    )
    assert "no column says what became of the animals" in _asked(proposal)
    assert "default_fate" not in _map(proposal)
    assert '# default_fate = "back"' in proposal_toml(proposal)


def test_a_fate_word_that_does_not_say_where_the_animal_went_is_asked(sheet, tmp_path):
    path = sheet(LONG.replace("kept", "dead"))
    proposal = propose([path])
    assert "what do 'dead' mean? Say it under fates" in _asked(proposal)
    with pytest.raises(Refusal, match=r"fates\.dead: is still a question"):
        _read([path], proposal, tmp_path)


def test_a_fate_column_under_an_unknown_heading_is_found_by_its_cells(sheet):
    (file,) = _map(propose([sheet(LONG.replace("Fate", "What happened"))]))["file"]
    assert file["columns"]["What happened"] == "fate"


def test_a_column_headed_went_says_fates_and_asks_for_the_words_it_does_not_know(sheet):
    proposal = propose([sheet(LONG.replace("Fate", "Went").replace("kept", "exhibit"))])
    assert _map(proposal)["file"][0]["columns"]["Went"] == "fate"
    assert "what do 'exhibit' mean? Say it under fates" in _asked(proposal)


def test_a_column_headed_set_is_a_geometry_where_its_cells_are(sheet):
    text = "Haul,Date,Site,Set\nA,2027-05-14,Cove,straight\nB,2027-05-14,Cove,half ellipse\n"
    assert _map(propose([sheet(text)]))["file"][0]["columns"]["Set"] == "set_type"
    numbered = text.replace("straight", "1").replace("half ellipse", "2")
    assert _map(propose([sheet(numbered)]))["file"][0]["columns"]["Set"] == "haul_no"


def test_positive_longitudes_are_asked_not_turned(sheet, tmp_path):
    catch = sheet(LONG)
    sites = sheet("Site,Latitude,Longitude\nCove,41.4,71.3\n", "sites.csv")
    proposal = propose([catch, sites])
    assert "all longitudes are positive, as 71.3" in _asked(proposal)
    with pytest.raises(Refusal, match=r"file\.2\.negate: is still a question"):
        _read([catch, sites], proposal, tmp_path)
    read = _read([catch, sites], proposal, tmp_path, lambda text: text.replace('["?"]', '["lon"]'))
    assert read["animals"] == 609


def test_a_time_without_a_zone_is_left_out_until_somebody_says_it(sheet, tmp_path):
    path = sheet("Date,Time,Haul,Species,Count,Fate\n2027-05-14,652,1,cunner,6,back\n")
    proposal = propose([path])
    assert "which time zone did the clock keep?" in _asked(proposal)
    (file,) = _map(proposal)["file"]
    assert file["ignore"] == ["Time"]
    assert '# time = {column = "Time", form = "hhmm", zone = "?"}' in proposal_toml(proposal)
    assert _read([path], proposal, tmp_path)["animals"] == 6


def test_blank_numbers_beside_lengths_are_one_animal_and_other_blanks_are_asked(sheet):
    head = "Date,Haul,Species,Count,Length_mm,Fate\n"
    (measured,) = _map(
        propose([sheet(head + "2027-05-14,1,cunner,,34,back\n2027-05-14,1,cunner,9,,back\n")])
    )["file"]
    assert measured["blank_n"] == "one-if-length"
    asked = propose([sheet(head + "2027-05-14,1,cunner,,,back\n2027-05-14,1,cunner,9,,back\n")])
    assert _map(asked)["file"][0]["blank_n"] == "ask"
    assert "row 2, column Count: rows without a number: 1, this is the first" in _asked(asked)


def test_a_site_misspelt_in_one_file_is_asked_with_its_nearest(sheet):
    hauls = sheet(
        "Site,Set,Date,Habitat\nSallow Harbor,1,5/14/27,sand\nSallow Harbor,2,5/14/27,mud\n", "hauls.csv"
    )
    catch = sheet(
        "Site,Set,Species,Count\nSallow Harvbor,1,cunner,3\nSallow Harbor,2,cunner,1\n", "catch.csv"
    )
    proposal = propose([catch, hauls])
    assert "Site" not in _asked(proposal)
    said = "catch.csv: site 'Sallow Harvbor' (1 row) has no haul in hauls.csv; the nearest there is 'Sallow Harbor'"
    assert said in _asked(proposal)
    assert "1 haul without a row in the catch (Sallow Harbor/1)" in "\n".join(map(str, proposal.asked))


def test_columns_that_two_files_share_are_part_of_the_key_only_where_hauls_need_them(sheet):
    hauls = "Project,Round,Site,Set,Date\nA,1,Cove,1,5/14/27\nB,1,Cove,1,5/15/27\nA,2,Cove,1,5/16/27\n"
    catch = "Project,Round,Site,Set,Species,Count\nA,1,Cove,1,cunner,3\nB,1,Cove,1,cunner,1\nA,2,Cove,1,cunner,1\n"
    files = _map(propose([sheet(hauls, "hauls.csv"), sheet(catch, "catch.csv")]))["file"]
    assert [file["haul_from"] for file in files] == [["Project", "Round", "Site", "Set"]] * 2
    one_project = [text.replace("B,1,", "A,3,") for text in (hauls, catch)]
    files = _map(propose([sheet(one_project[0], "hauls.csv"), sheet(one_project[1], "catch.csv")]))["file"]
    assert [file["haul_from"] for file in files] == [["Round", "Site", "Set"]] * 2


def test_hauls_that_stand_twice_are_asked(sheet):
    hauls = sheet("Site,Set,Date\nCove,1,5/14/27\nCove,1,5/15/27\n", "hauls.csv")
    catch = sheet("Site,Set,Species,Count\nCove,1,cunner,3\n", "catch.csv")
    assert "1 haul on more than one row (Cove/1)" in _asked(propose([hauls, catch]))


def test_the_site_is_found_under_another_heading_by_the_sites_of_the_other_file(sheet):
    catch = "site,Date,rep,species,count\nabc,2027-05-14,1,cunner,3\nxyz,2027-05-14,1,cunner,3\n"
    more = "id,Date,rep,species,estimate\nabc,2027-05-14,1,green crab,30\n"
    files = _map(propose([sheet(catch, "fish.csv"), sheet(more, "more.csv")]))["file"]
    assert files[1]["columns"]["id"] == "site"
    assert files[1]["columns"]["estimate"] == "n"
    assert files[1]["basis"] == "judged"


def test_a_file_without_headings_is_read_by_its_cells(sheet, tmp_path):
    path = sheet("cunner,6,2019\nmummichog,12,2019\nnorthern pipefish,1,2020\n")
    proposal = propose([path])
    (file,) = _map(proposal)["file"]
    assert file["header"] == 0
    assert file["date"] == {"column": "column C", "form": "yyyy"}
    assert _read([path], proposal, tmp_path)["animals"] == 19


def test_headings_below_a_title_are_found(sheet, tmp_path):
    path = sheet("Tally of the cove,,,,,\n,,,,,\n" + LONG)
    proposal = propose([path])
    assert _map(proposal)["file"][0]["header"] == 3
    assert _read([path], proposal, tmp_path)["animals"] == 609


def test_words_for_missing_and_for_an_empty_haul_are_listed(sheet):
    text = "Date,Haul,Species,Count,Stage\n2027-05-14,1,-,0,n/a\n2027-05-14,2,cunner,3,YOY\n"
    (file,) = _map(propose([sheet(text)]))["file"]
    assert file["nothing"] == ["-"]
    assert file["missing"] == ["", "n/a"]


def test_a_row_called_total_is_asked_about(sheet):
    assert "row 6, column Species: 'TOTAL' looks like a sum" in _asked(
        propose([sheet(LONG + ",,,TOTAL,609,\n")])
    )


def test_a_summary_without_haul_day_or_site_is_left_out_so_that_nothing_counts_twice(sheet):
    proposal = propose([sheet(LONG), sheet("Species,Number\ncunner,7\n", "summary.csv")])
    assert [file["role"] for file in _map(proposal)["file"]] == ["catch", "skip"]


def test_a_sheet_that_sums_its_sisters_and_an_empty_sheet_are_left_out(tmp_path):
    head, may, june = (
        ["Date", "Haul", "Species", "Count"],
        ["2027-05-14", 1, "cunner", 6],
        ["2027-06-14", 1, "tautog", 2],
    )
    book = openpyxl.Workbook()
    for title, rows in (("May", [may]), ("June", [june]), ("All", [may, june]), ("Empty", [])):
        sheet = book.create_sheet(title)
        for row in [head, *rows] if rows else []:
            sheet.append(row)
    del book["Sheet"]
    path = tmp_path / "season.xlsx"
    book.save(path)
    proposal = propose([path])
    roles = {file["sheet"]: file["role"] for file in _map(proposal)["file"]}
    assert roles == {"May": "catch", "June": "catch", "All": "skip"}
    assert "would count them twice" in proposal_toml(proposal)
    assert _read([path], proposal, tmp_path)["animals"] == 8


def test_lengths_without_a_unit_are_only_mm_where_they_cannot_be_anything_else(sheet):
    head = "Date,Haul,Species,Count,Length,Fate\n"
    sure = propose([sheet(head + "2027-05-14,1,cunner,1,134,back\n2027-05-14,1,cunner,1,60,back\n")])
    assert _map(sure)["file"][0]["columns"]["Length"] == "length_mm"
    unsure = propose([sheet(head + "2027-05-14,1,cunner,1,13,back\n2027-05-14,1,cunner,1,6,back\n")])
    assert "Length" in _map(unsure)["file"][0]["ignore"]
    assert "in which unit is the length?" in _asked(unsure)


def test_condition_codes_that_are_not_ours_are_asked_and_ours_are_taken(sheet):
    hauls = "Site,Set,Date,{}\nCove,1,5/14/27,1\nCove,2,5/14/27,3\n"
    catch = sheet("Site,Set,Species,Count\nCove,1,cunner,3\n", "catch.csv")
    ours = _map(propose([catch, sheet(hauls.format("Condition"), "hauls.csv")]))["file"][1]
    assert ours["columns"]["Condition"] == "condition"
    theirs = propose([catch, sheet(hauls.format("Success"), "hauls.csv")])
    assert "Success" in _map(theirs)["file"][1]["ignore"]
    assert "how did the set go where 1, 3 stands?" in _asked(theirs)


def test_two_columns_for_one_thing_leave_the_plainer_and_say_so(sheet):
    text = (
        LONG.replace("Date,Site", "Date,Location,Site")
        .replace("2027-05-14,", "2027-05-14,x,")
        .replace("2027-05-15,", "2027-05-15,x,")
    )
    proposal = propose([sheet(text)])
    assert "\"Location\",  # 'Site' already is the site" in proposal_toml(proposal)


def test_names_of_neither_pack_make_the_pack_a_question(sheet, tmp_path):
    path = sheet("Date,Haul,Species,Count,Fate\n2027-05-14,1,zzyzx,6,back\n")
    proposal = propose([path])
    assert proposal.pack is None
    assert "which pack?" in _asked(proposal)
    with pytest.raises(Refusal, match="pack: is still a question"):
        _read([path], proposal, tmp_path)
    assert propose([path], pack="nwatlantic").questions == ()


def test_every_line_of_the_map_says_why(sheet):
    text = proposal_toml(propose([sheet(LONG)]))
    for line in text.splitlines():
        if line.startswith(("Date", "Site", "Haul", "Species", "Count", "date", "haul_from", "role", "pack")):
            assert "  # " in line, line


def test_any_heading_survives_in_the_map(sheet, tmp_path):
    path = sheet(LONG.replace("Site", '"Site ""A"", #1 = \\ é"'))
    proposal = propose([path])
    assert any(heading.startswith('Site "A"') for heading in _map(proposal)["file"][0]["ignore"])


def test_a_map_somebody_may_have_answered_is_not_overwritten(sheet, tmp_path):
    proposal, out = propose([sheet(LONG)]), tmp_path / "M.toml"
    out.touch()
    write_map(out, proposal)
    with pytest.raises(Refusal, match=r"exists and may hold answers"):
        write_map(out, proposal)
    with pytest.raises(Refusal, match="could not be written"):
        write_map(tmp_path / "none" / "M.toml", proposal)


def test_what_is_shown_names_no_people_and_quotes_no_remarks(sheet):
    text = LONG.replace("Fate", "Crew,Notes,Fate").replace(",released", ",Quill,seen by Quill,released")
    proposal = propose([sheet(text.replace(",kept", ",Quill,for Quill,kept"))])
    assert "Quill" not in proposal_words(proposal)
    assert "Quill" not in str(proposal_json(proposal))


def test_the_first_rows_are_shown_as_understood(sheet):
    words = proposal_words(propose([sheet(LONG)]))
    assert "row 2: date 14 May 2027 · site Cove · haul_no 1 · name cunner · n 6 · fate back" in words


def test_a_file_that_is_no_table_is_refused_in_words(tmp_path):
    with pytest.raises(Refusal, match="there is no file"):
        propose([tmp_path / "none.csv"])
    (tmp_path / "empty.csv").write_bytes(b"")
    with pytest.raises(Refusal, match=r"empty\.csv: is empty"):
        propose([tmp_path / "empty.csv"])


def test_a_file_that_holds_no_catch_makes_a_question(sheet):
    proposal = propose([sheet("who,what\na,b\n")], pack="nwatlantic")
    assert "no file is read as a catch" in _asked(proposal)
